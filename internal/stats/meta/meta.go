package meta

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// ErrVariance is returned for sampling variances that are not above zero.
var ErrVariance = errors.New("sampling variances must be above zero")

// Warning codes of combined studies.
const (
	WarnOneStudy   = "one-study"
	WarnFewStudies = "few-studies"
)

// fewStudies is the number below which the between-study variance is too
// poorly known for its interval to be taken at face value (IntHout, Ioannidis
// & Borm 2014, BMC Med. Res. Methodol. 14:25).
const fewStudies = 5

// Study is one study's estimate with its sampling variance (SE²).
type Study struct{ Estimate, Variance float64 }

// PooledEffect is a weighted mean of studies.
type PooledEffect struct {
	Estimate, SE float64
	CI           stats.Interval
	Z, P         float64 // normal test of no effect
}

// RandomEffects is a pooled effect under one estimate of τ², the variance of
// the true effects between studies.
type RandomEffects struct {
	PooledEffect
	Tau2 float64
	// I2 (percent) and H2 from τ² and the typical sampling variance (Higgins &
	// Thompson 2002, Stat. Med. 21, eq. 9).
	I2, H2 float64

	// HartungKnapp is as published; where studies agree more than chance puts them its interval is
	// absurdly short. Held has its factor at 1 or more (Knapp & Hartung 2003, Stat. Med. 22,
	// 2693–2710, from memory): that is the one to report.
	HartungKnapp, Held HartungKnapp
	// PredictionNormal is where a further study's true effect is expected, by
	// normal quantiles; PredictionT by Student's t with k−2 df (Higgins,
	// Thompson & Spiegelhalter 2009), absent for fewer than three studies.
	// PredictionHeld is PredictionT with the standard error of Held, so that it never lies
	// within that one's interval (Partlett & Riley 2017, Stat. Med. 36, 301–317, from memory).
	PredictionNormal, PredictionT, PredictionHeld stats.Interval
}

// HartungKnapp is the pooled effect tested with the weighted spread of the
// studies and Student's t: Hartung & Knapp (2001), Stat. Med. 20, 1771–1782
// (from memory).
type HartungKnapp struct {
	Factor       float64 // Σw(y−μ)²/(k−1), by whose root the standard error is multiplied
	SE, T, DF, P float64
	CI           stats.Interval
}

// Result combines studies of one question.
type Result struct {
	K           int
	Q, DF, P    float64 // Cochran's test of heterogeneity
	Fixed       PooledEffect
	DL          RandomEffects  // DerSimonian & Laird (1986)
	REML        RandomEffects  // restricted maximum likelihood
	PauleMandel float64        // τ² by Paule & Mandel (1982)
	Tau2CI      stats.Interval // by the quantiles of Q
	Warnings    []stats.Warning
}

// Combine pools independent studies by the fixed- and the
// random-effects model. level 0 means 0.95.
//
// τ²: moments, DerSimonian & Laird (1986), Control. Clin. Trials 7, 177–188;
// restricted maximum likelihood (Raudenbush 2009; the global maximum on τ² ≥ 0
// is searched); Paule & Mandel (1982), J. Res. NBS 87, 377–385. All are cut off
// at 0.
//
// One study: the fixed estimate is that study; everything about variation
// between studies is marked absent.
func Combine(studies []Study, level float64) (Result, error) {
	level, err := stats.LevelOr95(level)
	if err = errors.Join(err, checkStudies(studies)); err != nil {
		return Result{}, err
	}
	s := studySet{studies, level, dist.NormalQuantile((1 + level) / 2)}
	r := Result{K: len(studies), DF: float64(len(studies) - 1), Fixed: s.pool(0)}
	if r.K == 1 {
		nan := math.NaN()
		absent := absentRandomEffects(level)
		r.Q, r.P, r.PauleMandel, r.DL, r.REML, r.Tau2CI = nan, nan, nan, absent, absent, absent.CI
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnOneStudy,
			Text: "One study alone says nothing of how studies differ; combine at least two, better five."})
		return r, nil
	}
	r.Q = s.spread(0)
	r.P = dist.ChiSquaredSurvival(r.Q, r.DF)
	r.DL = s.random(s.tau2DL())
	r.REML = s.random(s.tau2REML())
	r.PauleMandel = s.tau2PM()
	r.Tau2CI = s.tau2Interval()
	if r.DL.HartungKnapp.SE == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnConstant,
			Text: "All studies give the same estimate: there is no spread for a Hartung–Knapp test."})
	}
	if r.K < fewStudies {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnFewStudies,
			Text: fmt.Sprintf("With %d studies the variation between studies is poorly known; lean on the "+
				"Hartung–Knapp interval.", r.K)})
	}
	return r, nil
}

func checkStudies(studies []Study) error {
	if len(studies) == 0 {
		return stats.ErrEmpty
	}
	for i, s := range studies {
		if err := stats.CheckUsable([]float64{s.Estimate, s.Variance}); err != nil {
			return fmt.Errorf("study %d: %w", i+1, err)
		}
		if s.Variance < 1/stats.MaxMagnitude {
			return fmt.Errorf("study %d, variance %g: %w", i+1, s.Variance, ErrVariance)
		}
	}
	return nil
}

func absentRandomEffects(level float64) RandomEffects {
	nan := math.NaN()
	iv := stats.NoInterval(level)
	return RandomEffects{PooledEffect{nan, nan, iv, nan, nan}, nan, nan, nan,
		HartungKnapp{nan, nan, nan, nan, nan, iv}, HartungKnapp{nan, nan, nan, nan, nan, iv}, iv, iv, iv}
}

type studySet struct {
	studies []Study
	level   float64
	z       float64
}

// weighted returns Σw and the weighted mean with w = 1/(v+τ²).
func (s studySet) weighted(tau2 float64) (sum, mean float64) {
	for _, st := range s.studies {
		w := 1 / (st.Variance + tau2)
		sum += w
		mean += w * st.Estimate
	}
	return sum, mean / sum
}

// spread is Σw(y−μ)² at τ²: Cochran's Q at 0.
func (s studySet) spread(tau2 float64) float64 {
	_, mean := s.weighted(tau2)
	q := 0.0
	for _, st := range s.studies {
		q += (st.Estimate - mean) * (st.Estimate - mean) / (st.Variance + tau2)
	}
	return q
}

func (s studySet) pool(tau2 float64) PooledEffect {
	sum, mean := s.weighted(tau2)
	se := 1 / math.Sqrt(sum)
	return PooledEffect{mean, se, stats.Interval{Lo: mean - s.z*se, Hi: mean + s.z*se, Level: s.level},
		mean / se, math.Erfc(math.Abs(mean/se) / math.Sqrt2)}
}

func (s studySet) random(tau2 float64) RandomEffects {
	r := RandomEffects{PooledEffect: s.pool(tau2), Tau2: tau2}
	k := float64(len(s.studies))
	typical := s.typicalVariance()
	r.I2, r.H2 = 100*tau2/(tau2+typical), tau2/typical+1
	factor := s.spread(tau2) / (k - 1)
	r.HartungKnapp = s.hartungKnapp(r.PooledEffect, factor, factor)
	r.Held = s.hartungKnapp(r.PooledEffect, factor, math.Max(1, factor))
	further := math.Sqrt(r.SE*r.SE + tau2)
	r.PredictionNormal = stats.Interval{Lo: r.Estimate - s.z*further, Hi: r.Estimate + s.z*further, Level: s.level}
	r.PredictionT = stats.NoInterval(s.level)
	r.PredictionHeld = r.PredictionT
	if k > 2 {
		q := dist.TQuantile((1+s.level)/2, k-2)
		r.PredictionT = stats.Interval{Lo: r.Estimate - q*further, Hi: r.Estimate + q*further, Level: s.level}
		further = math.Sqrt(r.Held.SE*r.Held.SE + tau2)
		r.PredictionHeld = stats.Interval{Lo: r.Estimate - q*further, Hi: r.Estimate + q*further, Level: s.level}
	}
	return r
}

// hartungKnapp tests a pooled effect with its standard error multiplied by √used.
func (s studySet) hartungKnapp(e PooledEffect, factor, used float64) HartungKnapp {
	df := float64(len(s.studies) - 1)
	se := e.SE * math.Sqrt(used)
	if se <= 1e-14*math.Abs(e.Estimate) { // rounding of equal estimates
		se = 0
	}
	q := dist.TQuantile((1+s.level)/2, df)
	h := HartungKnapp{factor, se, e.Estimate / se, df, dist.TTwoSided(e.Estimate/se, df),
		stats.Interval{Lo: e.Estimate - q*se, Hi: e.Estimate + q*se, Level: s.level}}
	if se == 0 {
		h.T, h.P = math.NaN(), math.NaN()
	}
	return h
}

// typicalVariance is the "typical" sampling variance of Higgins & Thompson
// (2002), eq. 9.
func (s studySet) typicalVariance() float64 {
	var w, w2 float64
	for _, st := range s.studies {
		w += 1 / st.Variance
		w2 += 1 / (st.Variance * st.Variance)
	}
	return (float64(len(s.studies)) - 1) * w / (w*w - w2)
}

func (s studySet) tau2DL() float64 {
	var w, w2 float64
	for _, st := range s.studies {
		w += 1 / st.Variance
		w2 += 1 / (st.Variance * st.Variance)
	}
	return math.Max(0, (s.spread(0)-float64(len(s.studies)-1))/(w-w2/w))
}

// tau2PM solves spread(τ²) = k−1; the spread falls in τ².
func (s studySet) tau2PM() float64 {
	target := float64(len(s.studies) - 1)
	if s.spread(0) <= target {
		return 0
	}
	lo, hi := 0.0, s.scale()
	for s.spread(hi) > target {
		hi *= 2
	}
	for range 200 {
		mid := (lo + hi) / 2
		if s.spread(mid) > target {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// scale is a τ² of the size of the estimates' own spread, above 0.
func (s studySet) scale() float64 {
	y := make([]float64, len(s.studies))
	least := math.Inf(1)
	for i, st := range s.studies {
		y[i] = st.Estimate
		least = math.Min(least, st.Variance)
	}
	return math.Max(stats.Variance(y), least)
}

// tau2REML maximises the restricted likelihood on τ² ≥ 0: a logarithmic grid
// finds the highest hill (the likelihood can have two), golden-section search
// refines it.
func (s studySet) tau2REML() float64 {
	const points = 120
	top := 20 * s.scale()
	grid := make([]float64, points+1)
	for i := 1; i <= points; i++ {
		grid[i] = top * math.Pow(1e-8, 1-float64(i)/points)
	}
	best := 0
	for i := range grid {
		if s.remlLogLik(grid[i]) > s.remlLogLik(grid[best]) {
			best = i
		}
	}
	lo, hi := grid[max(best-1, 0)], grid[min(best+1, points)]
	tau2 := goldenMax(s.remlLogLik, lo, hi)
	if s.remlLogLik(0) >= s.remlLogLik(tau2) {
		return 0
	}
	return s.polishREML(tau2)
}

// polishREML takes Newton steps on the score, which golden section cannot
// resolve below about √ε.
func (s studySet) polishREML(tau2 float64) float64 {
	for range 20 {
		h := 1e-4 * (tau2 + 1e-12)
		up, down := s.remlScore(tau2+h), s.remlScore(tau2-h)
		slope := (up - down) / (2 * h)
		step := s.remlScore(tau2) / slope
		if !(slope < 0) || math.Abs(step) > tau2/10 {
			return tau2
		}
		tau2 -= step
		if math.Abs(step) < 1e-13*tau2 {
			return tau2
		}
	}
	return tau2
}

func (s studySet) remlLogLik(tau2 float64) float64 {
	sum, mean := s.weighted(tau2)
	l := -math.Log(sum) / 2
	for _, st := range s.studies {
		v := st.Variance + tau2
		l -= (math.Log(v) + (st.Estimate-mean)*(st.Estimate-mean)/v) / 2
	}
	return l
}

func (s studySet) remlScore(tau2 float64) float64 {
	sum, mean := s.weighted(tau2)
	var score, w2 float64
	for _, st := range s.studies {
		w := 1 / (st.Variance + tau2)
		score += (w*w*(st.Estimate-mean)*(st.Estimate-mean) - w) / 2
		w2 += w * w
	}
	return score + w2/sum/2
}

// goldenMax returns the maximiser of f on [lo, hi] by golden-section search.
func goldenMax(f func(float64) float64, lo, hi float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	a, b := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	fa, fb := f(a), f(b)
	for range 120 {
		if fa >= fb {
			hi, b, fb = b, a, fa
			a = hi - ratio*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + ratio*(hi-lo)
			fb = f(b)
		}
	}
	return (lo + hi) / 2
}
