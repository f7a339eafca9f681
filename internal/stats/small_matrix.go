package stats

import "math"

// smallMatrix is a dense row-major matrix for the many tiny products of the
// mixed models, where the set-up of a general library costs more than the
// arithmetic.
type smallMatrix struct {
	rows, cols int
	v          []float64
}

func newSmallMatrix(rows, cols int) smallMatrix {
	return smallMatrix{rows, cols, make([]float64, rows*cols)}
}

func (a smallMatrix) at(i, j int) float64     { return a.v[i*a.cols+j] }
func (a smallMatrix) set(i, j int, x float64) { a.v[i*a.cols+j] = x }
func (a smallMatrix) add(i, j int, x float64) { a.v[i*a.cols+j] += x }
func (a smallMatrix) row(i int) []float64     { return a.v[i*a.cols : (i+1)*a.cols] }

func (a smallMatrix) clone() smallMatrix {
	return smallMatrix{a.rows, a.cols, append([]float64(nil), a.v...)}
}

// reshape returns a zeroed matrix that uses the storage of a where it is large
// enough.
func (a smallMatrix) reshape(rows, cols int) smallMatrix {
	if n := rows * cols; cap(a.v) >= n {
		v := a.v[:n]
		clear(v)
		return smallMatrix{rows, cols, v}
	}
	return newSmallMatrix(rows, cols)
}

// addProduct adds factor·x·y to a.
func (a smallMatrix) addProduct(factor float64, x, y smallMatrix) {
	for i := range x.rows {
		to := a.row(i)
		for k, w := range x.row(i) {
			if w *= factor; w != 0 {
				axpy(w, y.row(k), to)
			}
		}
	}
}

// addTransposedProduct adds factor·xᵗ·y to a.
func (a smallMatrix) addTransposedProduct(factor float64, x, y smallMatrix) {
	for k := range x.rows {
		from := y.row(k)
		for i, w := range x.row(k) {
			if w *= factor; w != 0 {
				axpy(w, from, a.row(i))
			}
		}
	}
}

// addProductTransposed adds factor·x·yᵗ to a.
func (a smallMatrix) addProductTransposed(factor float64, x, y smallMatrix) {
	for i := range x.rows {
		for j := range y.rows {
			a.add(i, j, factor*dot(x.row(i), y.row(j)))
		}
	}
}

// axpy adds w·x to y.
func axpy(w float64, x, y []float64) {
	for i, v := range x {
		y[i] += w * v
	}
}

// timesVector returns a·x.
func (a smallMatrix) timesVector(x []float64) []float64 {
	out := make([]float64, a.rows)
	a.timesInto(x, out)
	return out
}

// timesInto sets to to a·x.
func (a smallMatrix) timesInto(x, to []float64) {
	for i := range to {
		to[i] = dot(a.row(i), x)
	}
}

// addTransposedTimes adds factor·aᵗ·x to to.
func (a smallMatrix) addTransposedTimes(factor float64, x, to []float64) {
	for i, w := range x {
		axpy(factor*w, a.row(i), to)
	}
}

// traceOfProduct returns tr(x·y).
func traceOfProduct(x, y smallMatrix) float64 {
	sum := 0.0
	for i := range x.rows {
		for j, v := range x.row(i) {
			sum += v * y.at(j, i)
		}
	}
	return sum
}

// quadratic returns xᵗ·a·y.
func (a smallMatrix) quadratic(x, y []float64) float64 {
	sum := 0.0
	for i, w := range x {
		if w != 0 {
			sum += w * dot(a.row(i), y)
		}
	}
	return sum
}

// block copies rows and columns from..to−1.
func (a smallMatrix) block(from, to int) smallMatrix {
	b := newSmallMatrix(to-from, to-from)
	for i := from; i < to; i++ {
		copy(b.row(i-from), a.row(i)[from:to])
	}
	return b
}

// factorise replaces the lower triangle of a by its Cholesky factor and
// returns log |a|; ok is false when a is not positive definite.
func (a smallMatrix) factorise() (logDet float64, ok bool) {
	for j := range a.rows {
		for i := j; i < a.rows; i++ {
			s := a.at(i, j) - dot(a.row(i)[:j], a.row(j)[:j])
			if i > j {
				a.set(i, j, s/a.at(j, j))
				continue
			}
			if !(s > 0) {
				return 0, false
			}
			a.set(j, j, math.Sqrt(s))
			logDet += math.Log(s)
		}
	}
	return logDet, true
}

// forwardSolve replaces the rows of b by L⁻¹·b, with L the lower triangle.
func (a smallMatrix) forwardSolve(b smallMatrix) {
	for i := range a.rows {
		to := b.row(i)
		for k, w := range a.row(i)[:i] {
			if w != 0 {
				axpy(-w, b.row(k), to)
			}
		}
		for j := range to {
			to[j] /= a.at(i, i)
		}
	}
}

// inverseOfFactorised returns (L·Lᵗ)⁻¹ from the factor in the lower triangle.
func (a smallMatrix) inverseOfFactorised() smallMatrix {
	l := newSmallMatrix(a.rows, a.rows)
	for i := range a.rows {
		l.set(i, i, 1)
	}
	a.forwardSolve(l)
	inverse := newSmallMatrix(a.rows, a.rows)
	inverse.addTransposedProduct(1, l, l)
	return inverse
}
