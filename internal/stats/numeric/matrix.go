package numeric

import (
	"math"
)

// Matrix is a dense row-major matrix for the many tiny products of the
// mixed models, where the set-up of a general library costs more than the
// arithmetic.
type Matrix struct {
	Rows, Cols int
	V          []float64
}

func NewMatrix(rows, cols int) Matrix {
	return Matrix{rows, cols, make([]float64, rows*cols)}
}

func (a Matrix) At(i, j int) float64     { return a.V[i*a.Cols+j] }
func (a Matrix) Set(i, j int, x float64) { a.V[i*a.Cols+j] = x }
func (a Matrix) Add(i, j int, x float64) { a.V[i*a.Cols+j] += x }
func (a Matrix) Row(i int) []float64     { return a.V[i*a.Cols : (i+1)*a.Cols] }

func (a Matrix) Clone() Matrix {
	return Matrix{a.Rows, a.Cols, append([]float64(nil), a.V...)}
}

// reshape returns a zeroed matrix that uses the storage of a where it is large
// enough.
func (a Matrix) Reshape(rows, cols int) Matrix {
	if n := rows * cols; cap(a.V) >= n {
		v := a.V[:n]
		clear(v)
		return Matrix{rows, cols, v}
	}
	return NewMatrix(rows, cols)
}

// addProduct adds factor·x·y to a.
func (a Matrix) AddProduct(factor float64, x, y Matrix) {
	for i := range x.Rows {
		to := a.Row(i)
		for k, w := range x.Row(i) {
			if w *= factor; w != 0 {
				Axpy(w, y.Row(k), to)
			}
		}
	}
}

// addTransposedProduct adds factor·xᵗ·y to a.
func (a Matrix) AddTransposedProduct(factor float64, x, y Matrix) {
	for k := range x.Rows {
		from := y.Row(k)
		for i, w := range x.Row(k) {
			if w *= factor; w != 0 {
				Axpy(w, from, a.Row(i))
			}
		}
	}
}

// AddGram adds factor·xᵗ·x to a, which is symmetric.
func (a Matrix) AddGram(factor float64, x Matrix) {
	for k := range x.Rows {
		from := x.Row(k)
		for i, w := range from {
			if w *= factor; w != 0 {
				Axpy(w, from[:i+1], a.Row(i))
			}
		}
	}
	for i := range a.Rows {
		for j := range i {
			a.Set(j, i, a.At(i, j))
		}
	}
}

// addProductTransposed adds factor·x·yᵗ to a.
func (a Matrix) AddProductTransposed(factor float64, x, y Matrix) {
	for i := range x.Rows {
		for j := range y.Rows {
			a.Add(i, j, factor*Dot(x.Row(i), y.Row(j)))
		}
	}
}

// Axpy adds w·x to y.
func Axpy(w float64, x, y []float64) {
	y = y[:len(x)] // checked once
	for i, v := range x {
		y[i] += w * v
	}
}

// timesVector returns a·x.
func (a Matrix) TimesVector(x []float64) []float64 {
	out := make([]float64, a.Rows)
	a.TimesInto(x, out)
	return out
}

// timesInto sets to to a·x.
func (a Matrix) TimesInto(x, to []float64) {
	for i := range to {
		to[i] = Dot(a.Row(i), x)
	}
}

// addTransposedTimes adds factor·aᵗ·x to to.
func (a Matrix) AddTransposedTimes(factor float64, x, to []float64) {
	for i, w := range x {
		Axpy(factor*w, a.Row(i), to)
	}
}

// TraceOfProduct returns tr(x·y).
func TraceOfProduct(x, y Matrix) float64 {
	sum := 0.0
	for i := range x.Rows {
		for j, v := range x.Row(i) {
			sum += v * y.At(j, i)
		}
	}
	return sum
}

// quadratic returns xᵗ·a·y.
func (a Matrix) Quadratic(x, y []float64) float64 {
	sum := 0.0
	for i, w := range x {
		if w != 0 {
			sum += w * Dot(a.Row(i), y)
		}
	}
	return sum
}

// block copies rows and columns from..to−1.
func (a Matrix) Block(from, to int) Matrix {
	b := NewMatrix(to-from, to-from)
	for i := from; i < to; i++ {
		copy(b.Row(i-from), a.Row(i)[from:to])
	}
	return b
}

// factorise replaces the lower triangle of a by its Cholesky factor and
// returns log |a|; ok is false when a is not positive definite.
func (a Matrix) Factorise() (logDet float64, ok bool) {
	for j := range a.Rows {
		for i := j; i < a.Rows; i++ {
			s := a.At(i, j) - Dot(a.Row(i)[:j], a.Row(j)[:j])
			if i > j {
				a.Set(i, j, s/a.At(j, j))
				continue
			}
			if !(s > 0) {
				return 0, false
			}
			a.Set(j, j, math.Sqrt(s))
			logDet += math.Log(s)
		}
	}
	return logDet, true
}

// forwardSolve replaces the rows of b by L⁻¹·b, with L the lower triangle.
func (a Matrix) ForwardSolve(b Matrix) {
	for i := range a.Rows {
		to := b.Row(i)
		for k, w := range a.Row(i)[:i] {
			if w != 0 {
				Axpy(-w, b.Row(k), to)
			}
		}
		for j := range to {
			to[j] /= a.At(i, i)
		}
	}
}

// inverseOfFactorised returns (L·Lᵗ)⁻¹ from the factor in the lower triangle.
func (a Matrix) InverseOfFactorised() Matrix {
	l := NewMatrix(a.Rows, a.Rows)
	for i := range a.Rows {
		l.Set(i, i, 1)
	}
	a.ForwardSolve(l)
	inverse := NewMatrix(a.Rows, a.Rows)
	inverse.AddTransposedProduct(1, l, l)
	return inverse
}
