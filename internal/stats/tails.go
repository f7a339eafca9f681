package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// The tail areas below keep their relative precision far out in the tail,
// where 1 minus the distribution function would have lost it. Identities with
// the incomplete beta and gamma functions: Abramowitz & Stegun (1964),
// Handbook of Mathematical Functions, 26.4.19, 26.5.27 and 26.6.2.

// fSurvival returns P(F > f) for an F variable with d1 and d2 degrees of
// freedom, which need not be whole numbers. d2 may be +Inf. A NaN argument or
// degrees of freedom that are not positive give NaN.
func fSurvival(f, d1, d2 float64) float64 {
	switch {
	case math.IsNaN(f) || !(d1 > 0) || !(d2 > 0):
		return math.NaN()
	case f <= 0:
		return 1
	case math.IsInf(f, 1):
		return 0
	case math.IsInf(d2, 1):
		return chiSquaredSurvival(f*d1, d1)
	}
	if f < 1 { // the complement is then the accurate side
		return 1 - mathext.RegIncBeta(d1/2, d2/2, d1*f/(d2+d1*f))
	}
	return mathext.RegIncBeta(d2/2, d1/2, d2/(d2+d1*f))
}

// chiSquaredSurvival returns P(X > x) for a chi-squared variable with df
// degrees of freedom.
func chiSquaredSurvival(x, df float64) float64 {
	switch {
	case math.IsNaN(x) || !(df > 0):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// tTwoSided returns P(|T| > |t|) for a Student variable with df degrees of
// freedom; df may be +Inf.
func tTwoSided(t, df float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return math.Erfc(math.Abs(t) / math.Sqrt2)
	case math.IsInf(t, 0):
		return 0
	}
	return fSurvival(t*t, 1, df)
}

// tQuantileUpper returns the t for which P(T > t) = tail, 0 < tail <= 1/2, by
// Newton's method on the log of the tail area from gonum's quantile.
func tQuantileUpper(tail, df float64) float64 {
	if !(tail > 0 && tail <= 0.5) || !(df > 0) {
		return math.NaN()
	}
	if math.IsInf(df, 1) {
		return math.Sqrt2 * math.Erfcinv(2*tail)
	}
	dist := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
	t := dist.Quantile(1 - tail)
	const steps = 4 // the start is good to eight digits; each step doubles them
	for range steps {
		p := tTwoSided(t, df) / 2
		d := dist.Prob(t)
		if !(p > 0 && d > 0) {
			break
		}
		t += p * math.Log(p/tail) / d
	}
	return t
}

// normalUpper returns P(Z > z) for a standard normal variable.
func normalUpper(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// normalQuantileUpper returns the z for which P(Z > z) = tail, 0 < tail < 1.
func normalQuantileUpper(tail float64) float64 { return math.Sqrt2 * math.Erfcinv(2*tail) }
