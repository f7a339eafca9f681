package dose

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// Warning codes of psychometric curves.
const (
	WarnNoFiniteCurve = "no-finite-curve"
	WarnLackOfFit     = "lack-of-fit"
)

// CurvePoint is the number of correct answers at one concentration.
type CurvePoint struct {
	Concentration float64
	Correct, N    int
}

// CurveResult is a logistic psychometric function of log10 concentration,
// P = Guess + (1−Guess)/(1+exp(−(Intercept + Slope·log10 c))).
type CurveResult struct {
	Guess                float64
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64
	// Threshold is the concentration at which half of the assessors perceive
	// (P midway between Guess and 1); the interval is Fieller's on the log
	// scale, absent when the slope does not differ from 0.
	Threshold       float64
	ThresholdCI     stats.Interval
	G               float64 // Fieller's g of the slope: no interval from 1 on
	LogThresholdSE  float64 // of log10 threshold, delta method
	LogLik          float64 // without binomial coefficients
	Deviance, DF, P float64 // lack of fit against one rate per concentration
	Warnings        []stats.Warning
}

// maxCurveSteps bounds Fisher scoring; it converges in under twenty steps
// where a finite maximum exists.
const maxCurveSteps = 200

// PsychometricCurve fits the logistic function with a fixed guessing rate by
// maximum likelihood (Fisher scoring with step halving); guess is the chance
// of the protocol, 0 for yes–no answers; level 0 means 0.95.
//
// The model with guessing: Abbott (1925), J. Econ. Entomol. 18, 265–267;
// Treutwein (1995), Vision Res. 35, 2503–2522; ASTM E1432 for its use with
// thresholds. Interval by Fieller's theorem: Finney (1971), Probit Analysis.
//
// When answers jump from all at chance to all correct, or never rise, no finite
// maximum exists: the estimates are marked absent.
func PsychometricCurve(points []CurvePoint, guess, level float64) (CurveResult, error) {
	level, err := stats.LevelOr95(level)
	x, errPoints := checkCurve(points, guess)
	if err = errors.Join(err, errPoints); err != nil {
		return CurveResult{}, err
	}
	f := curveFit{points, x, guess}
	r := CurveResult{Guess: guess, DF: float64(len(points) - 2), P: math.NaN()}
	a, b, ok := f.maximise()
	if !ok {
		nan := math.NaN()
		r.Intercept, r.Slope, r.InterceptSE, r.SlopeSE, r.Threshold, r.G = nan, nan, nan, nan, nan, nan
		r.LogThresholdSE, r.LogLik, r.Deviance, r.ThresholdCI = nan, nan, nan, stats.NoInterval(level)
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnNoFiniteCurve,
			Text: "The answers do not rise gradually with the concentration, so no finite curve fits; add " +
				"concentrations around the threshold."})
		return r, nil
	}
	r.Intercept, r.Slope, r.LogLik = a, b, f.logLik(a, b)
	r.Threshold = math.Pow(10, -a/b)
	r.limits(f.covariance(a, b), dist.NormalQuantile((1+level)/2), level)
	f.goodness(&r)
	return r, nil
}

func checkCurve(points []CurvePoint, guess float64) ([]float64, error) {
	if len(points) == 0 {
		return nil, stats.ErrEmpty
	}
	if !(guess >= 0 && guess < 1) {
		return nil, fmt.Errorf("guessing rate %g: it must lie in [0, 1)", guess)
	}
	x := make([]float64, len(points))
	distinct := map[float64]bool{}
	for i, p := range points {
		if !(p.Concentration > 0) || math.IsInf(p.Concentration, 1) {
			return nil, fmt.Errorf("concentration %d is %g: %w", i+1, p.Concentration, ErrNotPositive)
		}
		if p.N < 1 || p.Correct < 0 || p.Correct > p.N {
			return nil, fmt.Errorf("concentration %d, %d of %d: %w", i+1, p.Correct, p.N, stats.ErrCounts)
		}
		x[i] = math.Log10(p.Concentration)
		distinct[x[i]] = true
	}
	if len(distinct) < 2 {
		return nil, fmt.Errorf("%d concentration: at least 2 are needed: %w", len(distinct), ErrConstant)
	}
	return x, nil
}

type curveFit struct {
	points []CurvePoint
	x      []float64
	guess  float64
}

// rate returns P and its derivative with respect to a + b·x.
func (f curveFit) rate(eta float64) (p, slope float64) {
	s := 1 / (1 + math.Exp(-eta))
	return f.guess + (1-f.guess)*s, (1 - f.guess) * s * (1 - s)
}

func (f curveFit) logLik(a, b float64) float64 {
	l := 0.0
	for i, pt := range f.points {
		p, _ := f.rate(a + b*f.x[i])
		l += numeric.XLogY(float64(pt.Correct), p) + numeric.XLogY(float64(pt.N-pt.Correct), 1-p)
	}
	return l
}

// information returns the score and the expected information of (a, b).
func (f curveFit) information(a, b float64) (score [2]float64, info [3]float64) {
	for i, pt := range f.points {
		p, d := f.rate(a + b*f.x[i])
		if p <= 0 || p >= 1 {
			continue
		}
		n := float64(pt.N)
		u, w := d*(float64(pt.Correct)-n*p)/(p*(1-p)), n*d*d/(p*(1-p))
		score[0] += u
		score[1] += u * f.x[i]
		info[0] += w
		info[1] += w * f.x[i]
		info[2] += w * f.x[i] * f.x[i]
	}
	return score, info
}

// maximise runs Fisher scoring; ok is false when the likelihood has no finite
// maximum with a rising curve.
func (f curveFit) maximise() (a, b float64, ok bool) {
	mean, spread := stats.Mean(f.x), stats.SD(f.x)
	a, b = -mean/spread, 1/spread
	l := f.logLik(a, b)
	for range maxCurveSteps {
		score, info := f.information(a, b)
		det := info[0]*info[2] - info[1]*info[1]
		if !(det > 1e-12*info[0]*info[2]) {
			return a, b, false
		}
		da := (info[2]*score[0] - info[1]*score[1]) / det
		db := (info[0]*score[1] - info[1]*score[0]) / det
		step, next := 1.0, math.Inf(-1)
		for ; step > 1e-8; step /= 2 {
			// Near the maximum the likelihood is flat to rounding, long before the steps are small.
			if next = f.logLik(a+step*da, b+step*db); next >= l-1e-13*math.Abs(l) {
				break
			}
		}
		if step <= 1e-8 { // no better point along the step: the maximum, to rounding
			return a, b, f.sensible(b, spread)
		}
		a, b = a+step*da, b+step*db
		if math.Abs(step*db)*spread < 1e-10 && math.Abs(step*da) < 1e-10*(1+math.Abs(a)) {
			return a, b, f.sensible(b, spread)
		}
		if l = next; math.Abs(b)*spread > maxCurveSlope {
			return a, b, false
		}
	}
	return a, b, false
}

// maxCurveSlope is the slope per standard deviation of log concentration beyond which the
// likelihood is climbing to a step function: between two of six concentrations it would go
// through 16 logits, of which no answers tell (a choice of ours). Where it is flat to
// rounding, at twice that, the steps end anywhere.
const maxCurveSlope = 30

func (f curveFit) sensible(b, spread float64) bool { return b > 0 && b*spread < maxCurveSlope }

// covariance is the inverse of the expected information: Var(a), Cov(a, b), Var(b).
func (f curveFit) covariance(a, b float64) [3]float64 {
	_, info := f.information(a, b)
	det := info[0]*info[2] - info[1]*info[1]
	return [3]float64{info[2] / det, -info[1] / det, info[0] / det}
}

// limits fills the standard errors, and Fieller's interval with the quantile z.
func (r *CurveResult) limits(cov [3]float64, z, level float64) {
	va, vab, vb := cov[0], cov[1], cov[2]
	r.InterceptSE, r.SlopeSE = math.Sqrt(va), math.Sqrt(vb)
	m := -r.Intercept / r.Slope
	r.LogThresholdSE = math.Sqrt(va+m*m*vb+2*m*vab) / r.Slope
	r.ThresholdCI = stats.NoInterval(level)
	g := z * z * vb / (r.Slope * r.Slope)
	r.G = g
	// Fieller: the values m for which (a + b·m)² ≤ z²·Var(a + b·m).
	centre := m + g/(1-g)*(m+vab/vb)
	half := z / (r.Slope * (1 - g)) * math.Sqrt(va+2*m*vab+m*m*vb-g*(va-vab*vab/vb))
	if lo, hi := math.Pow(10, centre-half), math.Pow(10, centre+half); g < 1 && lo > 0 && !math.IsInf(hi, 1) {
		r.ThresholdCI = stats.Interval{Lo: lo, Hi: hi, Level: level}
		return
	}
	r.Warnings = append(r.Warnings, stats.Warning{Code: WarnSlopeUnclear,
		Text: "The answers do not clearly improve with the concentration, so the threshold has no finite " +
			"interval; add answers or widen the series."})
}

// goodness compares the fit with one free rate per concentration.
func (f curveFit) goodness(r *CurveResult) {
	full := 0.0
	for _, pt := range f.points {
		p := math.Max(float64(pt.Correct)/float64(pt.N), 0)
		full += numeric.XLogY(float64(pt.Correct), p) + numeric.XLogY(float64(pt.N-pt.Correct), 1-p)
	}
	r.Deviance = math.Max(0, 2*(full-r.LogLik))
	if r.DF < 1 {
		return
	}
	if r.P = dist.ChiSquaredSurvival(r.Deviance, r.DF); r.P < 0.05 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnLackOfFit,
			Text: "The curve misses the answers by more than chance: read the threshold with care."})
	}
}
