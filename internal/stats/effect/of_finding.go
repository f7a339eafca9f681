package effect

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// FindingErrors are what a t test finds when the true difference is known.
type FindingErrors struct {
	Power        float64 // chance that it finds a difference
	WrongSign    float64 // chance that what is found has the wrong sign; 0 for a one-sided test
	Exaggeration float64 // mean of what is found, in absolute value, over the true difference
}

// OfFinding returns how wrong what a t test finds is in sign and size, when the true
// difference is d standard errors, d > 0 (Gelman & Carlin 2014, Perspect. Psychol. Sci.
// 9:641: errors of sign and of magnitude). As there, the estimate is d plus a t variate on
// df degrees of freedom, in standard errors, and is found when it lies beyond the quantile q
// of the test on either side, or above it when the test is one-sided.
//
// They simulate the mean; with f the density of t it is, exactly,
//
//	∫_a^∞ t f(t) dt = f(a)(df + a²)/(df − 1)
//
// NaN unless d > 0, df > 1 and alpha lies in (0, 1).
func OfFinding(d, df, alpha float64, side stats.Alternative) FindingErrors {
	nan := math.NaN()
	if !(d > 0 && df > 1) || stats.CheckLevel(alpha) != nil || math.IsInf(d, 0) {
		return FindingErrors{nan, nan, nan}
	}
	q := dist.TQuantileUpper(alpha/2, df)
	if side != stats.TwoSided {
		q = dist.TQuantileUpper(alpha, df)
	}
	right := dist.TSurvival(q-d, df)
	sum := d*right + beyond(q-d, df)
	if side != stats.TwoSided {
		return FindingErrors{right, 0, sum / right / d}
	}
	wrong := dist.TSurvival(q+d, df)
	sum += beyond(q+d, df) - d*wrong
	power := right + wrong
	return FindingErrors{power, wrong / power, sum / power / d}
}

// beyond is the integral of t times its density from a on.
func beyond(a, df float64) float64 {
	g1, _ := math.Lgamma((df + 1) / 2)
	g2, _ := math.Lgamma(df / 2)
	density := math.Exp(g1 - g2 - math.Log(df*math.Pi)/2 - (df+1)/2*math.Log1p(a*a/df))
	return density * (df + a*a) / (df - 1)
}
