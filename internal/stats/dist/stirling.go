package dist

import (
	"math"
)

// stirlingError is ln Γ(a+1) − (a+½)·ln a + a − ½·ln 2π, by Stirling's series
// for a > 15 (relative error of Γ below 10⁻¹⁵).
func stirlingError(a float64) float64 {
	if a <= 15 {
		g, _ := math.Lgamma(a + 1)
		return g - (a+0.5)*math.Log(a) + a - 0.5*math.Log(2*math.Pi)
	}
	a2 := a * a
	return (1./12 - (1./360-(1./1260-(1./1680)/a2)/a2)/a2) / a
}

// LogGammaRatio is ln Γ(a+½) − ln Γ(a), without the cancellation of two large
// logarithms: for a > 15 from Stirling's form of Γ(a+1)/a and Γ(a+½+1)/(a+½).
func LogGammaRatio(a float64) float64 {
	if a <= 15 {
		above, _ := math.Lgamma(a + 0.5)
		below, _ := math.Lgamma(a)
		return above - below
	}
	h := a + 0.5
	return a*math.Log1p(0.5/a) + 0.5*math.Log(a) - 0.5 + stirlingError(h) - stirlingError(a)
}

// deviance is x·ln(x/mean) + mean − x, without cancellation near x = mean
// (Loader 2000, Fast and Accurate Computation of Binomial Probabilities, eq. 5).
func deviance(x, mean float64) float64 {
	v := (x - mean) / (x + mean)
	if math.Abs(v) > 0.1 {
		return x*math.Log(x/mean) + mean - x
	}
	sum, term := (x-mean)*v, 2*x*v
	const most = 100 // v² ≤ 0.01: eight terms do; the bound ends the loop on NaN
	for j := 1; j < most; j++ {
		term *= v * v
		next := sum + term/float64(2*j+1)
		if next == sum {
			break
		}
		sum = next
	}
	return sum
}
