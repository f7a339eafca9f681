package dist

import (
	"math"
)

// incompleteBeta returns the regularised incomplete beta function I_x(a, b)
// for a, b > 0. y is 1−x, given apart so that neither end loses digits.
//
// Continued fraction of DiDonato & Morris 1992 (ACM TOMS 18:360, eq. 9) times
// the saddle-point form of x^a·y^b/B(a,b) (Loader 2000), on the side where
// the fraction converges fast. Small values keep their relative accuracy;
// the general-purpose routine at hand loses it below 10⁻¹⁰ for large a.
func incompleteBeta(a, b, x, y float64) float64 {
	switch {
	case math.IsNaN(x + y):
		return math.NaN()
	case x <= 0:
		return 0
	case y <= 0:
		return 1
	case x > (a+1)/(a+b+2):
		// Not by calling itself: rounding can put both sides beyond the limit.
		return 1 - betaFactor(b, a, y, x)*betaFraction(b, a, y, x)
	}
	return betaFactor(a, b, x, y) * betaFraction(a, b, x, y)
}

// maxFractionSteps ends the continued fraction for parameters beyond 10¹⁰,
// where the remaining error is still small.
const maxFractionSteps = 1e5

// betaFactor is x^a·y^b/B(a,b).
func betaFactor(a, b, x, y float64) float64 {
	n := a + b
	log := stirlingError(n) - stirlingError(a) - stirlingError(b) - deviance(a, n*x) - deviance(b, n*y)
	return math.Exp(log) * math.Sqrt(a/n*b/(2*math.Pi))
}

// betaFraction evaluates α₁/(β₁+ α₂/(β₂+ …)) by the forward recurrence with
// rescaling. It takes about √max(a, b) steps.
func betaFraction(a, b, x, y float64) float64 {
	c := 1 + a*y - b*x // 1 + λ, λ = a − (a+b)x
	c0, c1 := b/a, 1+1/a
	p, s := 1.0, a+1
	numeratorLast, denominatorLast := 0.0, 1.0
	numerator, denominator := 1.0, c/c1
	r := c1 / c
	for n := 1.0; n < maxFractionSteps; n++ {
		t := n / a
		e := a / s
		alpha := p * (p + c0) * e * e * (n * (b - n) * x * x)
		e = (1 + t) / (c1 + t + t)
		beta := n + n*(b-n)*x/s + e*(c+n*(1+y))
		p, s = 1+t, s+2
		numerator, numeratorLast = alpha*numeratorLast+beta*numerator, numerator
		denominator, denominatorLast = alpha*denominatorLast+beta*denominator, denominator
		last := r
		r = numerator / denominator
		if math.Abs(r-last) <= 1e-16*r {
			break
		}
		numeratorLast, denominatorLast = numeratorLast/denominator, denominatorLast/denominator
		numerator, denominator = r, 1
	}
	return r
}
