package numeric

import (
	"math"
	"slices"

	"cloche/internal/stats"
)

func Indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// AliasTolerance is how small the part of a column that the columns before it
// do not explain may be, relative to the column, before it counts as aliased.
const AliasTolerance = 1e-7

// Orthonormal is the factorisation X = QR of the columns of X that are not
// linear combinations of earlier ones.
type Orthonormal struct {
	Kept []int       // indices of the independent columns of X
	Q    [][]float64 // Orthonormal columns
	R    [][]float64 // r[j][i], i ≤ j: coefficient of q[i] in kept column j
}

// Orthonormalise runs the modified Gram–Schmidt process twice over each
// column, which keeps Q orthonormal to rounding (Giraud, Langou, Rozložník &
// van den Eshof 2005, Numer. Math. 101, 87–100). Columns are not altered.
func Orthonormalise(columns [][]float64) Orthonormal {
	var o Orthonormal
	for c, column := range columns {
		v := append([]float64(nil), column...)
		size := math.Sqrt(stats.SumOfSquares(v))
		coefficients := make([]float64, len(o.Q)+1)
		for range 2 {
			for i, q := range o.Q {
				d := Dot(q, v)
				coefficients[i] += d
				for t := range v {
					v[t] -= d * q[t]
				}
			}
		}
		norm := math.Sqrt(stats.SumOfSquares(v))
		if norm <= AliasTolerance*size {
			continue
		}
		for t := range v {
			v[t] /= norm
		}
		coefficients[len(o.Q)] = norm
		o.Kept, o.Q, o.R = append(o.Kept, c), append(o.Q, v), append(o.R, coefficients)
	}
	return o
}

// First is the factorisation of the first n columns of X alone.
func (o Orthonormal) First(n int) Orthonormal {
	kept, _ := slices.BinarySearch(o.Kept, n)
	return Orthonormal{Kept: o.Kept[:kept], Q: o.Q[:kept], R: o.R[:kept]}
}

// residual returns y less its projection on the columns.
func (o Orthonormal) Residual(y []float64) []float64 {
	v := append([]float64(nil), y...)
	for range 2 {
		for _, q := range o.Q {
			d := Dot(q, v)
			for t := range v {
				v[t] -= d * q[t]
			}
		}
	}
	return v
}

// solve returns the b with R b = z.
func (o Orthonormal) Solve(z []float64) []float64 {
	b := append([]float64(nil), z...)
	for j := len(b) - 1; j >= 0; j-- {
		b[j] /= o.R[j][j]
		for i := range j {
			b[i] -= o.R[j][i] * b[j]
		}
	}
	return b
}

// solveTransposed returns the z with Rᵗ z = l.
func (o Orthonormal) SolveTransposed(l []float64) []float64 {
	z := append([]float64(nil), l...)
	for j := range z {
		for i := range j {
			z[j] -= o.R[j][i] * z[i]
		}
		z[j] /= o.R[j][j]
	}
	return z
}

func Dot(x, y []float64) float64 {
	s := 0.0
	y = y[:len(x)] // checked once
	for i, v := range x {
		s += v * y[i]
	}
	return s
}

// spans reports whether v is a combination of the columns, up to rounding.
func (o Orthonormal) Spans(v []float64) bool {
	return stats.SumOfSquares(o.Residual(v)) <= AliasTolerance*stats.SumOfSquares(v)
}

// XLogY is x·ln y with 0·ln 0 = 0.
func XLogY(x, y float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(y)
}
