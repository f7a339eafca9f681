package ttest

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Stratified are two independent samples whose values lie in strata: X[i] in stratum
// XStratum[i], Y[i] in YStratum[i].
type Stratified struct {
	X, Y               []float64
	XStratum, YStratum []string
}

// StratifiedResult is the outcome of [Stratified.Test].
type StratifiedResult struct {
	Diff     float64        // mean of x − y within strata
	SE       float64        // standard error of Diff
	T, DF, P float64        // statistic, degrees of freedom, p-value
	CI       stats.Interval // of Diff
	Compared int            // strata with values of both samples: the others say nothing of the difference
	Warnings []stats.Warning
}

// Test tests the difference of the means with strata as fixed effects, in the linear model
//
//	value = stratum + sample + error
//
// with one spread throughout (Searle 1971, Linear Models, ch. 5). Within stratum h, of a
// values of x and b of y, the difference of means has the weight ab/(a+b); what is left
// has n − strata − 1 degrees of freedom. With one stratum it is Student's test, [Pooled].
//
// Where no stratum has values of both, or nothing is left to tell the scatter by, the test
// is NaN with a warning. Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty],
// [stats.ErrNotFinite], [stats.ErrLevel].
func (s Stratified) Test(o TwoSampleOptions) (StratifiedResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return StratifiedResult{}, err
	}
	if len(s.X) != len(s.XStratum) || len(s.Y) != len(s.YStratum) {
		return StratifiedResult{}, stats.ErrUnequalLengths
	}
	if len(s.X) == 0 || len(s.Y) == 0 {
		return StratifiedResult{}, stats.ErrEmpty
	}
	if err := stats.CheckSize(s.X, s.Y, []float64{o.Mu}); err != nil {
		return StratifiedResult{}, err
	}
	nan := math.NaN()
	r := StratifiedResult{Diff: nan, SE: nan, T: nan, DF: nan, P: nan, CI: stats.NoInterval(level)}
	strata := s.strata()
	weight, sum := 0.0, 0.0
	for _, h := range strata {
		if w := h.weight(); w > 0 {
			r.Compared++
			weight += w
			sum += w * (stats.Mean(h.X) - stats.Mean(h.Y))
		}
	}
	df := float64(len(s.X) + len(s.Y) - len(strata) - 1)
	if r.Compared > 0 {
		r.Diff = sum / weight
	}
	if r.Compared == 0 || df < 1 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "ratings of each sample within a stratum"))
		return r, nil
	}
	r.finish(o, strata, weight, df, level)
	return r, nil
}

func (r *StratifiedResult) finish(o TwoSampleOptions, strata []stratum, weight, df, level float64) {
	ss := 0.0
	for _, h := range strata {
		ss += h.left(r.Diff)
	}
	if ss == 0 {
		r.SE = 0
		r.Warnings = append(r.Warnings, stats.NoSpread("ratings of each sample"))
		return
	}
	r.SE, r.DF = math.Sqrt(ss/df/weight), df
	r.T = (r.Diff - o.Mu) / r.SE
	r.P = dist.TPValue(r.T, df, o.Alternative)
	r.CI = dist.TInterval(r.Diff, r.SE, df, level, o.Alternative)
}

type stratum stats.Stratum

func (s Stratified) strata() (all []stratum) {
	for _, h := range stats.Strata(s.X, s.Y, s.XStratum, s.YStratum) {
		all = append(all, stratum(h))
	}
	return all
}

func (h stratum) weight() float64 {
	a, b := float64(len(h.X)), float64(len(h.Y))
	return a * b / (a + b)
}

// left is the sum of squares that a difference leaves in a stratum.
func (h stratum) left(difference float64) float64 {
	values := make([]float64, 0, len(h.X)+len(h.Y))
	for _, v := range h.X {
		values = append(values, v-difference)
	}
	values = append(values, h.Y...)
	if stats.AllEqual(values) {
		return 0
	}
	m, ss := stats.Mean(values), 0.0
	for _, v := range values {
		ss += (v - m) * (v - m)
	}
	return ss
}
