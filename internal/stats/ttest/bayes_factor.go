package ttest

import (
	"errors"
	"math"
)

// ErrBayesInput is returned when a Bayes factor is asked for with too few
// values, a statistic that is not finite or a prior scale that is not positive.
var ErrBayesInput = errors.New("a Bayes factor needs a finite t, at least 2 values and a positive prior scale")

// BayesFactor is the evidence for a difference against none.
type BayesFactor struct {
	BF10  float64 // how many times likelier the data are under a difference; +Inf beyond 10³⁰⁸
	LogBF float64 // natural logarithm of BF10; finite always
	Scale float64 // scale r of the Cauchy prior on the standardised effect
}

// DefaultBayesScale is the usual scale √2/2 of the Cauchy prior.
const DefaultBayesScale = math.Sqrt2 / 2

// BayesFactorPaired returns the JZS Bayes factor of a paired t statistic from
// n pairs (Rouder, Speckman, Sun, Morey & Iverson 2009, Psychon. Bull. Rev.
// 16:225, eq. 1, with the prior scale of their eq. 2): Cauchy(0, scale) on
// the standardised effect, Jeffreys' prior on the variance. scale 0 means √2/2.
func BayesFactorPaired(t float64, n int, scale float64) (BayesFactor, error) {
	return jzs(t, float64(n), float64(n-1), scale)
}

// BayesFactorTwoSample is the same for the pooled t statistic of two
// independent samples, with n = nₓnᵧ/(nₓ+nᵧ) and nₓ+nᵧ−2 degrees of freedom
// (Rouder et al. 2009, eq. 4).
func BayesFactorTwoSample(t float64, nx, ny int, scale float64) (BayesFactor, error) {
	if nx < 1 || ny < 1 {
		return BayesFactor{}, ErrBayesInput
	}
	a, b := float64(nx), float64(ny)
	return jzs(t, a*b/(a+b), a+b-2, scale)
}

// jzs integrates over v = ln g by the trapezoidal rule: the integrand is
// analytic and falls like exp(−e^(−v)/2) on the left and e^(−v) on the right.
func jzs(t, n, df, scale float64) (BayesFactor, error) {
	if scale == 0 {
		scale = DefaultBayesScale
	}
	if math.IsNaN(t) || math.IsInf(t, 0) || !(df >= 1) || !(scale > 0) || math.IsInf(scale, 0) {
		return BayesFactor{}, ErrBayesInput
	}
	logIntegrand := func(v float64) float64 {
		spread := 1 + n*scale*scale*math.Exp(v)
		return -0.5*math.Log(spread) - (df+1)/2*math.Log1p(t*t/(spread*df)) - v/2 - math.Exp(-v)/2
	}
	const step, from = 0.04, -7.0
	peak := math.Inf(-1)
	sum := 0.0
	for v := from; v < 700; v += step {
		l := logIntegrand(v)
		if l > peak {
			sum = sum*math.Exp(peak-l) + 1
			peak = l
			continue
		}
		sum += math.Exp(l - peak)
		if v > 0 && l < peak-40 {
			break
		}
	}
	logBF := peak + math.Log(sum*step) - 0.5*math.Log(2*math.Pi) + (df+1)/2*math.Log1p(t*t/df)
	return BayesFactor{BF10: math.Exp(logBF), LogBF: logBF, Scale: scale}, nil
}
