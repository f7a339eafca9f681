package numeric

import (
	"math"
	"slices"

	"cloche/internal/stats"
)

// gradientFunction returns a value and adds its gradient to grad; false where
// it is not finite.
type gradientFunction func(x, grad []float64) (float64, bool)

// MinimiseQuasiNewton is the BFGS method (Nocedal & Wright 2006, Numerical
// Optimization, section 6.1) started from a guess of the Hessian.
func MinimiseQuasiNewton(x []float64, metric Matrix, f gradientFunction) (best []float64, value float64,
	converged bool) {
	const maxSteps = 200
	k := len(x)
	grad := make([]float64, k)
	value, ok := f(x, grad)
	factor := metric.Clone()
	if _, positive := factor.Factorise(); !ok || !positive {
		return x, value, false
	}
	inverse := factor.InverseOfFactorised()
	for range maxSteps {
		step := inverse.TimesVector(grad)
		decrease := Dot(step, grad)
		if decrease < 1e-9 {
			x, value = refine(x, value, grad, inverse, f)
			return x, value, true
		}
		next, newGrad, newValue, ok := goDown(x, step, decrease, value, f)
		if !ok {
			return x, value, decrease < 1e-5
		}
		moved, change := slices.Clone(next), slices.Clone(newGrad)
		Axpy(-1, x, moved)
		Axpy(-1, grad, change)
		updateInverse(inverse, moved, change)
		x, grad, value = next, newGrad, newValue
	}
	return x, value, false
}

// refine takes full steps near the lowest point, where rounding hides by the value which of
// two points is better and the gradient still tells. Standard errors move with the third
// derivative: with steps of 1e-9 left to go they have five digits, then ten.
func refine(x []float64, value float64, grad []float64, inverse Matrix, f gradientFunction) ([]float64, float64) {
	const mostSteps, flat = 6, 1e-16
	step := inverse.TimesVector(grad)
	for decrease, n := Dot(step, grad), 0; decrease > flat && n < mostSteps; n++ {
		next, newGrad := slices.Clone(x), make([]float64, len(x))
		Axpy(-1, step, next)
		newValue, ok := f(next, newGrad)
		moved, change := slices.Clone(next), slices.Clone(newGrad)
		Axpy(-1, x, moved)
		Axpy(-1, grad, change)
		updateInverse(inverse, moved, change)
		step = inverse.TimesVector(newGrad)
		left := Dot(step, newGrad)
		if !ok || !(left < decrease) {
			break
		}
		x, value, grad, decrease = next, newValue, newGrad, left
	}
	return x, value
}

// goDown shortens the step until the value falls enough.
func goDown(x, step []float64, decrease, value float64, f gradientFunction) (next, grad []float64, newValue float64,
	ok bool) {
	t := math.Min(1, 3/math.Sqrt(stats.SumOfSquares(step)))
	for ; t > 1e-8; t /= 3 {
		next = slices.Clone(x)
		Axpy(-t, step, next)
		grad = make([]float64, len(x))
		newValue, ok = f(next, grad)
		if ok && newValue <= value-1e-4*t*decrease {
			return next, grad, newValue, true
		}
	}
	return x, nil, value, false
}

// updateInverse is the BFGS update of the inverse Hessian.
func updateInverse(inverse Matrix, moved, change []float64) {
	curvature := Dot(moved, change)
	if curvature <= 1e-12*math.Sqrt(stats.SumOfSquares(moved)*stats.SumOfSquares(change)) {
		return
	}
	hy := inverse.TimesVector(change)
	factor := (1 + Dot(change, hy)/curvature) / curvature
	for i := range moved {
		for j := range moved {
			inverse.Add(i, j, factor*moved[i]*moved[j]-(hy[i]*moved[j]+moved[i]*hy[j])/curvature)
		}
	}
}

// DifferenceHessian returns the Hessian by central differences of the
// gradient, and the gradient.
func DifferenceHessian(x []float64, f gradientFunction) (hess Matrix, grad []float64) {
	k := len(x)
	hess, grad = NewMatrix(k, k), make([]float64, k)
	f(x, grad)
	for i := range k {
		h := 1e-4 * (1 + math.Abs(x[i])) // error of order h²: 1e-8
		up, down := make([]float64, k), make([]float64, k)
		y := slices.Clone(x)
		y[i] = x[i] + h
		_, okUp := f(y, up)
		y[i] = x[i] - h
		_, okDown := f(y, down)
		for j := range k {
			if okUp && okDown {
				hess.Add(i, j, (up[j]-down[j])/(4*h))
				hess.Add(j, i, (up[j]-down[j])/(4*h))
			}
		}
	}
	return hess, grad
}
