package dist

import (
	"math"
)

// FSurvival returns P(F > f) of the F distribution with df1 and df2 degrees
// of freedom, accurate where it is small; df2 may be +Inf, as Satterthwaite's
// formula may give. NaN unless both are positive.
func FSurvival(f, df1, df2 float64) float64 {
	switch {
	case math.IsNaN(f) || !(df1 > 0) || !(df2 > 0):
		return math.NaN()
	case f <= 0:
		return 1
	case math.IsInf(f, 1):
		return 0
	case math.IsInf(df2, 1):
		return ChiSquaredSurvival(f*df1, df1)
	}
	whole := df2 + df1*f
	return incompleteBeta(df2/2, df1/2, df2/whole, df1*f/whole)
}

// NoncentralFCDF returns P(F ≤ f) of the noncentral F distribution: the
// Poisson(λ/2) mixture of incomplete beta functions I_x(df1/2 + j, df2/2) at
// x = df1·f/(df1·f + df2) (Johnson, Kotz & Balakrishnan 1995, eq. 30.12),
// summed from high j down, where the recurrence only adds. NaN unless df1,
// df2 > 0 and λ ≥ 0.
func NoncentralFCDF(f, df1, df2, lambda float64) float64 {
	switch {
	case math.IsNaN(f) || !(df1 > 0) || !(df2 > 0) || !(lambda >= 0) || math.IsInf(lambda, 1):
		return math.NaN()
	case f <= 0:
		return 0
	case math.IsInf(f, 1):
		return 1
	}
	a, b := df1/2, df2/2
	whole := df1*f + df2
	x, y := df1*f/whole, df2/whole
	return poissonMixture(lambda/2, poissonCeiling(lambda/2),
		func(j float64) float64 { return incompleteBeta(a+j, b, x, y) },
		func(j float64) float64 { return betaFactor(a+j, b, x, y) / (a + j) },
		func(j float64) float64 { return (a + j) / ((a + j - 1 + b) * x) })
}

// NoncentralFSurvival returns P(F > f), summed from j = 0 up.
func NoncentralFSurvival(f, df1, df2, lambda float64) float64 {
	if !(f > 0) || math.IsInf(f, 1) || !(df1 > 0) || !(df2 > 0) || !(lambda >= 0) || math.IsInf(lambda, 1) {
		return 1 - NoncentralFCDF(f, df1, df2, lambda)
	}
	a, b := df1/2, df2/2
	whole := df1*f + df2
	x, y := df1*f/whole, df2/whole
	return risingMixture(lambda/2, incompleteBeta(b, a, y, x),
		func(j float64) float64 { return betaFactor(a+j, b, x, y) / (a + j) },
		func(j float64) float64 { return (a + j + b) * x / (a + j + 1) })
}
