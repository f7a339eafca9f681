package effect

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Size is an effect size with its interval. What cannot be computed is NaN
// and a warning says why.
type Size struct {
	Value    float64
	CI       stats.Interval
	Warnings []stats.Warning
}

// CohenDz returns d_z = mean(x − y)/SD(x − y) of paired samples (Cohen 1988,
// Statistical Power Analysis, sect. 2.3.5) with the interval of the noncentral
// t distribution (Cumming & Finch 2001, Educ. Psychol. Meas. 61:532):
// t = d_z·√n has noncentrality δ_z·√n on n−1 degrees of freedom.
// With one pair or equal differences Value and CI are NaN with a warning.
func CohenDz(x, y []float64, level float64) (Size, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return Size{}, err
	}
	d, gridded, err := stats.Differences(x, y)
	if err != nil {
		return Size{}, err
	}
	return cohenDz(len(d), stats.Mean(d), stats.SDUnlessConstant(d, gridded), level), nil
}

// cohenDz is d_z from the mean and the standard deviation of n differences.
func cohenDz(n int, mean, sd, level float64) Size {
	if n < 2 {
		return noEffect(level, stats.TooFew(2, "pairs"))
	}
	if sd == 0 {
		return noEffect(level, stats.NoSpread("differences"))
	}
	root := math.Sqrt(float64(n))
	lo, hi := dist.NoncentralTInterval(mean/sd*root, float64(n-1), level)
	return Size{Value: mean / sd, CI: stats.Interval{Lo: lo / root, Hi: hi / root, Level: level}}
}

// HedgesJ is the exact small-sample correction of a standardised mean
// difference on df degrees of freedom, J = Γ(df/2)/(√(df/2)·Γ((df−1)/2))
// (Hedges 1981, eq. 6e). It is 0 for df = 1 and NaN below.
func HedgesJ(df float64) float64 {
	if !(df >= 1) {
		return math.NaN()
	}
	if df == 1 {
		return 0
	}
	return math.Exp(dist.LogGammaRatio((df-1)/2) - 0.5*math.Log(df/2))
}

// times multiplies an effect and its interval by a positive factor.
func (e Size) times(factor float64) Size {
	e.Value *= factor
	e.CI.Lo *= factor
	e.CI.Hi *= factor
	return e
}

func noEffect(level float64, w stats.Warning) Size {
	return Size{Value: math.NaN(), CI: stats.NoInterval(level), Warnings: []stats.Warning{w}}
}
