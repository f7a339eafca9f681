package mixed

import "math"

// Covariance is that of the estimates of two fixed effects, by their places in
// [Result.Fixed]; NaN where one of them cannot be estimated.
func (f *Result) Covariance(i, j int) float64 {
	unit := func(k int) ([]float64, bool) {
		w := make([]float64, len(f.Fixed))
		w[k] = 1
		return f.inBasis(w)
	}
	a, okA := unit(i)
	b, okB := unit(j)
	if !okA || !okB || f.point == nil {
		return math.NaN()
	}
	return f.cov.Quadratic(a, b)
}
