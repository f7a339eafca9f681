package dose

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Series are the ratings of people who rated every amount of a series.
type Series struct {
	Levels []float64   // the amounts; three or more that differ
	Plain  [][]float64 // person × amount
}

// MeanOfPeople is a mean of one number of each person, with its t interval and its test
// against 0.
type MeanOfPeople struct {
	Value, SE, DF, T, P float64
	CI                  stats.Interval
}

// LinesResult is what the lines of people say together.
type LinesResult struct {
	N             int
	Levels        []float64 // those of the series
	Slopes        []float64 // of each person's least-squares line
	Middles       []float64 // of each person's line, at the mean amount
	Slope         MeanOfPeople
	Mean          float64 // amount at which Middles are
	Straight      Straightness
	Sigma         float64 // of a rating about its own line
	SlopeVariance float64 // of people's true slopes, by moments; 0 when the scatter alone explains theirs
	slopeSS       float64 // Σ(x − mean)²

}

// Straightness is the test of whether the means lie on a line: the amounts beyond the
// line against assessor × amount.
type Straightness struct{ F, DF1, DF2, P float64 }

// PeopleLines fits a line to the ratings of each person and averages their slopes:
// in a complete series the estimates of the mixed model in which each person has a
// level and a slope of their own, with n − 1 degrees of freedom, whatever the variance
// of the slopes. Straightness: mean square of the amounts' means about the line over
// that of assessor × amount (Winer 1971, sect. 4.2 and the linear part of sect. 3.7,
// from memory; equal to the reference entries).
func PeopleLines(s Series, level float64) (LinesResult, error) {
	if err := s.check(); err != nil {
		return LinesResult{}, err
	}
	r := LinesResult{N: len(s.Plain), Levels: s.Levels, Mean: stats.Mean(s.Levels)}
	for _, x := range s.Levels {
		r.slopeSS += (x - r.Mean) * (x - r.Mean)
	}
	left := 0.0
	for _, row := range s.Plain {
		b, middle := 0.0, stats.Mean(row)
		for j, x := range s.Levels {
			b += (x - r.Mean) * row[j] / r.slopeSS
		}
		for j, x := range s.Levels {
			e := row[j] - middle - b*(x-r.Mean)
			left += e * e
		}
		r.Slopes, r.Middles = append(r.Slopes, b), append(r.Middles, middle)
	}
	if df := float64(r.N * (len(s.Levels) - 2)); df > 0 {
		r.Sigma = math.Sqrt(left / df)
	}
	var err error
	if r.Slope, err = meanOfPeople(r.Slopes, level); err != nil {
		return LinesResult{}, err
	}
	if r.N > 1 {
		sd := stats.SD(r.Slopes)
		r.SlopeVariance = max(0, sd*sd-r.Sigma*r.Sigma/r.slopeSS)
	}
	r.Straight = s.straightness(r)
	return r, nil
}

func (s Series) check() error {
	if len(s.Levels) < 2 || len(s.Plain) == 0 {
		return stats.ErrEmpty
	}
	if err := stats.CheckUsable(s.Levels); err != nil {
		return err
	}
	distinct := map[float64]bool{}
	for _, x := range s.Levels {
		distinct[x] = true
	}
	if len(distinct) < len(s.Levels) {
		return errors.New("two amounts of the series are the same")
	}
	for i, row := range s.Plain {
		if len(row) != len(s.Levels) {
			return fmt.Errorf("person %d: %w", i+1, stats.ErrUnequalLengths)
		}
		if err := stats.CheckUsable(row); err != nil {
			return err
		}
	}
	return nil
}

func meanOfPeople(x []float64, level float64) (MeanOfPeople, error) {
	level, err := stats.LevelOr95(level)
	nan, n := math.NaN(), float64(len(x))
	m := MeanOfPeople{Value: stats.Mean(x), SE: nan, DF: n - 1, T: nan, P: nan, CI: stats.NoInterval(level)}
	if len(x) < 2 || err != nil {
		return m, err
	}
	m.SE = stats.SD(x) / math.Sqrt(n)
	half := dist.TQuantile((1+level)/2, m.DF) * m.SE
	m.CI = stats.Interval{Lo: m.Value - half, Hi: m.Value + half, Level: level}
	if m.SE > 0 {
		m.T = m.Value / m.SE
		m.P = dist.TTwoSided(m.T, m.DF)
	}
	return m, nil
}

// straightness tests the means about the line against what is left of an additive
// analysis of assessors and amounts.
func (s Series) straightness(r LinesResult) Straightness {
	m, n := len(s.Levels), len(s.Plain)
	none := Straightness{math.NaN(), float64(m - 2), float64((n - 1) * (m - 1)), math.NaN()}
	if m < 3 || n < 2 {
		return none
	}
	means := make([]float64, m)
	for _, row := range s.Plain {
		for j, y := range row {
			means[j] += y / float64(n)
		}
	}
	grand := stats.Mean(means)
	beyond := 0.0
	for j, x := range s.Levels {
		e := means[j] - grand - r.Slope.Value*(x-r.Mean)
		beyond += float64(n) * e * e
	}
	left := 0.0
	for i, row := range s.Plain {
		for j, y := range row {
			e := y - r.Middles[i] - means[j] + grand
			left += e * e
		}
	}
	if !(left > 0) {
		return none
	}
	none.F = beyond / none.DF1 / (left / none.DF2)
	none.P = dist.FSurvival(none.F, none.DF1, none.DF2)
	return none
}

// Shifted moves a ratio that was counted from an amount.
func (r RatioResult) Shifted(by float64) RatioResult {
	r.Ratio += by
	r.CI.Lo, r.CI.Hi = r.CI.Lo+by, r.CI.Hi+by
	r.Excluded.Lo, r.Excluded.Hi = r.Excluded.Lo+by, r.Excluded.Hi+by
	r.DeltaCI.Lo, r.DeltaCI.Hi = r.DeltaCI.Lo+by, r.DeltaCI.Hi+by
	return r
}

// EquivalentResult is what a serving of one amount, served otherwise than the series,
// was worth in that amount.
type EquivalentResult struct {
	Lines       LinesResult
	Shift       MeanOfPeople  // how far its ratings lie above each person's own line
	Shifts      []float64     // of each person
	Dose        float64       // Shift over the slope
	Fieller     RatioResult   // of the same
	Pooled      *PooledResult // with one slope and one shift of all; nil where nothing is left for an error
	WithinRange bool          // the amount that it tasted like lies within the series
}

// PooledResult takes one slope and one shift for all people: what differs between them is
// part of the error.
type PooledResult struct {
	DF, Sigma, SlopeSE, ShiftSE, Covariance float64
	Fieller                                 RatioResult
}

// EquivalentDose finds the amount that a serving at one amount is worth by which it is
// rated above the line of each person: mean shift over mean slope, with Fieller's set of
// the n pairs. It holds whatever slopes and shifts people have of their own.
func EquivalentDose(s Series, named []float64, at, level float64) (EquivalentResult, error) {
	lines, err := PeopleLines(s, level)
	if err != nil {
		return EquivalentResult{}, err
	}
	if len(named) != lines.N {
		return EquivalentResult{}, stats.ErrUnequalLengths
	}
	if err := stats.CheckUsable([]float64{at}); err != nil {
		return EquivalentResult{}, err
	}
	r := EquivalentResult{Lines: lines}
	for i, y := range named {
		r.Shifts = append(r.Shifts, y-lines.Middles[i]-lines.Slopes[i]*(at-lines.Mean))
	}
	if r.Shift, err = meanOfPeople(r.Shifts, level); err != nil {
		return r, err
	}
	if r.Fieller, err = RatioOfMeans(r.Shifts, lines.Slopes, level); err != nil {
		return r, err
	}
	r.Dose = r.Fieller.Ratio
	tasted, least, most := at+r.Dose, s.Levels[0], s.Levels[0]
	for _, x := range s.Levels {
		least, most = min(least, x), max(most, x)
	}
	r.WithinRange = tasted >= least && tasted <= most
	r.Pooled, err = s.pooled(named, at, level, r)
	return r, err
}

// pooled is the additive analysis: assessors as blocks, one slope and one shift.
func (s Series) pooled(named []float64, at, level float64, r EquivalentResult) (*PooledResult, error) {
	n, m := float64(r.Lines.N), float64(len(s.Levels))
	p := PooledResult{DF: n*(m+1) - n - 2}
	off := at - r.Lines.Mean
	ss, slope, shift := 0.0, r.Lines.Slope.Value, r.Shift.Value
	for i, row := range s.Plain {
		var left []float64
		for j, x := range s.Levels {
			left = append(left, row[j]-slope*(x-r.Lines.Mean))
		}
		left = append(left, named[i]-slope*off-shift)
		own := stats.Mean(left)
		for _, e := range left {
			ss += (e - own) * (e - own)
		}
	}
	if !(p.DF > 0 && ss > 0) {
		return nil, nil
	}
	v := ss / p.DF
	p.Sigma = math.Sqrt(v)
	slopeVar := v / (n * r.Lines.slopeSS)
	shiftVar := v/n*(1+1/m) + off*off*slopeVar
	p.SlopeSE, p.ShiftSE, p.Covariance = math.Sqrt(slopeVar), math.Sqrt(shiftVar), -off*slopeVar
	var err error
	p.Fieller, err = Fieller(Estimates{A: shift, B: slope, VarA: shiftVar, VarB: slopeVar, Cov: p.Covariance,
		DegreesOfFreedom: p.DF}, level)
	return &p, err
}
