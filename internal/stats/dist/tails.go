package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// The tail areas below keep their relative precision far out in the tail,
// where 1 minus the distribution function would have lost it. Identities with
// the incomplete beta and gamma functions: Abramowitz & Stegun (1964),
// Handbook of Mathematical Functions, 26.4.19, 26.5.27 and 26.6.2.

// ChiSquaredSurvival returns P(X > x) for a chi-squared variable with df
// degrees of freedom.
func ChiSquaredSurvival(x, df float64) float64 {
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

// TTwoSided returns P(|T| > |t|) for a Student variable with df degrees of
// freedom; df may be +Inf.
func TTwoSided(t, df float64) float64 { return math.Min(1, 2*TSurvival(math.Abs(t), df)) }

// TQuantileUpper returns the t for which P(T > t) = tail. NaN unless
// 0 < tail < 1 and df > 0.
func TQuantileUpper(tail, df float64) float64 { return -TQuantile(tail, df) }
