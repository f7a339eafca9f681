package stats

import "math"

// Effect is an effect size with its interval. What cannot be computed is NaN
// and a warning says why.
type Effect struct {
	Value    float64
	CI       Interval
	Warnings []Warning
}

// CohenDz returns d_z = mean(x − y)/SD(x − y) of paired samples (Cohen 1988,
// Statistical Power Analysis, sect. 2.3.5) with the interval of the noncentral
// t distribution (Cumming & Finch 2001, Educ. Psychol. Meas. 61:532):
// t = d_z·√n has noncentrality δ_z·√n on n−1 degrees of freedom.
// With one pair or equal differences Value and CI are NaN with a warning.
func CohenDz(x, y []float64, level float64) (Effect, error) {
	level, err := levelOr95(level)
	if err != nil {
		return Effect{}, err
	}
	d, gridded, err := differences(x, y)
	if err != nil {
		return Effect{}, err
	}
	return cohenDz(len(d), Mean(d), sdUnlessConstant(d, gridded), level), nil
}

// cohenDz is d_z from the mean and the standard deviation of n differences.
func cohenDz(n int, mean, sd, level float64) Effect {
	if n < 2 {
		return noEffect(level, warnTooFew(2, "pairs"))
	}
	if sd == 0 {
		return noEffect(level, warnConstant("differences"))
	}
	root := math.Sqrt(float64(n))
	lo, hi := noncentralTInterval(mean/sd*root, float64(n-1), level)
	return Effect{Value: mean / sd, CI: Interval{lo / root, hi / root, level}}
}

// HedgesGz returns g_z = J·d_z, with the interval of d_z times J
// (Hedges 1981, J. Educ. Stat. 6:107): see [HedgesJ]. Absent where [CohenDz] is.
func HedgesGz(x, y []float64, level float64) (Effect, error) {
	e, err := CohenDz(x, y, level)
	if err != nil || len(x) < 2 {
		return e, err
	}
	return e.times(HedgesJ(float64(len(x) - 1))), nil
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
	return math.Exp(logGammaRatio((df-1)/2) - 0.5*math.Log(df/2))
}

// times multiplies an effect and its interval by a positive factor.
func (e Effect) times(factor float64) Effect {
	e.Value *= factor
	e.CI.Lo *= factor
	e.CI.Hi *= factor
	return e
}

func noEffect(level float64, w Warning) Effect {
	return Effect{Value: math.NaN(), CI: absent(level), Warnings: []Warning{w}}
}

// PercentOfScale writes a difference in scale points, with its interval, as
// percent of the length of a scale from lo to hi. It is absent with a warning
// unless the scale is finite and hi > lo.
func PercentOfScale(difference Effect, lo, hi float64) Effect {
	length := hi - lo
	if !(length > 0) || math.IsInf(length, 0) {
		return noEffect(difference.CI.Level, Warning{WarnConstant, "the scale has no length, so no percent of it can be given"})
	}
	return difference.times(100 / length)
}

// DzOf is d_z alone, NaN where it is undefined: a statistic for
// [BootstrapPaired].
func DzOf(x, y []float64) float64 {
	n := float64(len(x))
	mean := 0.0
	for i := range x {
		mean += x[i] - y[i]
	}
	mean /= n
	ss := 0.0
	for i := range x {
		d := x[i] - y[i] - mean
		ss += d * d
	}
	if ss <= 1e-24*n*(1+mean*mean) {
		return math.NaN()
	}
	return mean / math.Sqrt(ss/(n-1))
}
