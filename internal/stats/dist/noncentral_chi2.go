package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// NoncentralChi2CDF returns P(X ≤ x) of the noncentral chi-square
// distribution with df degrees of freedom and noncentrality lambda: the
// Poisson(λ/2) mixture of central distributions on df + 2j degrees of freedom
// (Johnson, Kotz & Balakrishnan 1995, eq. 29.2). The mixture is summed from
// high j down, so that P(a, x) = P(a+1, x) + x^a·e^(−x)/Γ(a+1) only adds.
// NaN unless df > 0 and λ ≥ 0.
func NoncentralChi2CDF(x, df, lambda float64) float64 {
	switch {
	case math.IsNaN(x) || !(df > 0) || !(lambda >= 0) || math.IsInf(lambda, 1):
		return math.NaN()
	case x <= 0:
		return 0
	case math.IsInf(x, 1):
		return 1
	}
	h := x / 2
	return poissonMixture(lambda/2, poissonCeiling(lambda/2),
		func(j float64) float64 { return mathext.GammaIncReg(df/2+j, h) },
		func(j float64) float64 { return gammaFactor(df/2+j, h) },
		func(j float64) float64 { return (df/2 + j) / h })
}

// NoncentralChi2Survival returns P(X > x), summed from j = 0 up by
// Q(a+1, x) = Q(a, x) + x^a·e^(−x)/Γ(a+1).
func NoncentralChi2Survival(x, df, lambda float64) float64 {
	switch {
	case math.IsNaN(x) || !(df > 0) || !(lambda >= 0) || math.IsInf(lambda, 1):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	}
	h := x / 2
	return risingMixture(lambda/2, mathext.GammaIncRegComp(df/2, h),
		func(j float64) float64 { return gammaFactor(df/2+j, h) },
		func(j float64) float64 { return h / (df/2 + j + 1) })
}

// gammaFactor is x^a·e^(−x)/Γ(a+1).
func gammaFactor(a, x float64) float64 {
	return math.Exp(-stirlingError(a)-deviance(a, x)) / math.Sqrt(2*math.Pi*a)
}

// poissonMixture sums Poisson(mean) weights times F(j) for j from last down
// to 0, where F(j) = F(j+1) + factor(j) and factor(j−1) = factor(j)·ratio(j).
// It stops once the terms no longer count.
func poissonMixture(mean, last float64, f, factor, ratio func(j float64) float64) float64 {
	value := f(last)
	weight := poissonPMF(last, mean)
	sum := weight * value
	if last == 0 {
		return min(1, sum)
	}
	step := factor(last - 1)
	for j := last - 1; j >= 0; j-- {
		value = min(1, value+step)
		switch {
		case j == 0:
		case step < tooSmall:
			step = factor(j - 1)
		default:
			step *= ratio(j)
		}
		weight *= (j + 1) / mean
		sum += weight * value
		if j < mean && weight < 1e-18*sum {
			break
		}
	}
	return min(1, sum)
}

// risingMixture sums Poisson(mean) weights times Q(j) for j from 0 up, where
// Q(j+1) = Q(j) + factor(j) and factor(j+1) = factor(j)·ratio(j). It stops
// once the terms fall and no longer count.
func risingMixture(mean, upper float64, factor, ratio func(j float64) float64) float64 {
	sum, last := 0.0, 0.0
	step := factor(0)
	for j := 0.0; ; j++ {
		weight := poissonPMF(j, mean)
		term := weight * upper
		sum += term
		if j > mean && (weight == 0 || term < last && term < 1e-18*sum) {
			return min(1, sum)
		}
		last = term
		upper = min(1, upper+step)
		if step < tooSmall {
			step = factor(j + 1)
			continue
		}
		step *= ratio(j)
	}
}

// tooSmall is too close to the smallest float to be the base of a recurrence.
const tooSmall = 1e-280

// poissonCeiling returns a j beyond which the Poisson(mean) weights do not
// count: the first with a weight below 10⁻⁴⁰.
func poissonCeiling(mean float64) float64 {
	j := math.Ceil(mean)
	if mean == 0 {
		return 0
	}
	for weight := poissonPMF(j, mean); weight > 1e-40; {
		j++
		weight *= mean / j
	}
	return j
}

// poissonPMF is e^(−mean)·mean^j/j! in Loader's saddle-point form.
func poissonPMF(j, mean float64) float64 {
	if j == 0 {
		return math.Exp(-mean)
	}
	if mean == 0 {
		return 0
	}
	return math.Exp(-stirlingError(j)-deviance(j, mean)) / math.Sqrt(2*math.Pi*j)
}
