package numeric

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
)

// newtonPoint is a function's value with exact derivatives at a point.
type newtonPoint interface {
	At() []float64
	Height() float64
	Slope() (gradient []float64, hessian Matrix)
}

// MinimiseNewton runs Newton's method with the eigenvalues of the Hessian made
// positive (Nocedal & Wright 2006, Numerical Optimization, section 3.4) and
// backtracking. evaluate returns false where the function is not finite. It
// returns the lowest point, with derivatives, and whether it converged. It ends sooner where
// enough, unless nil, says so of a point: it has then not converged.
func MinimiseNewton[P newtonPoint](start P, evaluate func(x []float64, derivatives bool) (P, bool),
	enough func(P) bool) (best P, converged bool) {
	const maxSteps = 200
	best = start
	for range maxSteps {
		if enough != nil && enough(best) {
			return best, false
		}
		step, decrease := NewtonStep(best)
		if decrease <= 1e-13*(1+1e-3*math.Abs(best.Height())) && !(Largest(step) > 1e-5) {
			// The last step squares what error is left.
			if next, ok := backtrack(best, step, decrease, evaluate); ok {
				best = next
			}
			return best, true
		}
		next, ok := backtrack(best, step, decrease, evaluate)
		if !ok {
			return best, decrease < 1e-6
		}
		best = next
	}
	return best, false
}

// NewtonStep returns the step and twice the decrease it promises. The step is
// kept to unit length times the size of the point: far from the minimum the
// quadratic model is not to be trusted.
func NewtonStep[P newtonPoint](p P) (step []float64, decrease float64) {
	gradient, hessian := p.Slope()
	k := len(gradient)
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, (hessian.At(i, j)+hessian.At(j, i))/2)
		}
	}
	step = make([]float64, k)
	var eigen mat.EigenSym
	if !eigen.Factorize(sym, true) {
		return step, 0
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	floor := 1e-10 * math.Max(1e-10, math.Max(math.Abs(values[0]), math.Abs(values[k-1])))
	for e, value := range values {
		v := mat.Col(nil, e, &vectors)
		along := Dot(v, gradient)
		curvature := math.Max(math.Abs(value), floor)
		decrease += along * along / curvature
		Axpy(-along/curvature, v, step)
		if value < -1e-7*math.Abs(values[k-1]) && math.Abs(along) < 1e-9 {
			Axpy(0.3, v, step) // a saddle: leave it along the downward curve
		}
	}
	limit := 1 + math.Sqrt(stats.SumOfSquares(p.At()))
	if size := math.Sqrt(stats.SumOfSquares(step)); size > limit {
		for i := range step {
			step[i] *= limit / size
		}
	}
	return step, decrease
}

// backtrack halves the step until the function goes down (or stays within the
// rounding error of its value).
func backtrack[P newtonPoint](from P, step []float64, decrease float64, evaluate func([]float64, bool) (P, bool)) (P,
	bool) {
	noise := 1e-13 * (1 + math.Abs(from.Height()))
	for t := 1.0; t > 1e-10; t /= 2 {
		x := append([]float64(nil), from.At()...)
		Axpy(t, step, x)
		next, ok := evaluate(x, true)
		if ok && next.Height() <= from.Height()-1e-4*t*decrease+noise {
			return next, true
		}
	}
	return from, false
}

func Largest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x))
	}
	return m
}
