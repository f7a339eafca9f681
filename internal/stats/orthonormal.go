package stats

import "math"

// aliasTolerance is how small the part of a column that the columns before it
// do not explain may be, relative to the column, before it counts as aliased.
const aliasTolerance = 1e-7

// orthonormal is the factorisation X = QR of the columns of X that are not
// linear combinations of earlier ones.
type orthonormal struct {
	kept []int       // indices of the independent columns of X
	q    [][]float64 // orthonormal columns
	r    [][]float64 // r[j][i], i ≤ j: coefficient of q[i] in kept column j
}

// orthonormalise runs the modified Gram–Schmidt process twice over each
// column, which keeps Q orthonormal to rounding (Giraud, Langou, Rozložník &
// van den Eshof 2005, Numer. Math. 101, 87–100). Columns are not altered.
func orthonormalise(columns [][]float64) orthonormal {
	var o orthonormal
	for c, column := range columns {
		v := append([]float64(nil), column...)
		size := math.Sqrt(sumOfSquares(v))
		coefficients := make([]float64, len(o.q)+1)
		for range 2 {
			for i, q := range o.q {
				d := dot(q, v)
				coefficients[i] += d
				for t := range v {
					v[t] -= d * q[t]
				}
			}
		}
		norm := math.Sqrt(sumOfSquares(v))
		if norm <= aliasTolerance*size {
			continue
		}
		for t := range v {
			v[t] /= norm
		}
		coefficients[len(o.q)] = norm
		o.kept, o.q, o.r = append(o.kept, c), append(o.q, v), append(o.r, coefficients)
	}
	return o
}

// residual returns y less its projection on the columns.
func (o orthonormal) residual(y []float64) []float64 {
	v := append([]float64(nil), y...)
	for range 2 {
		for _, q := range o.q {
			d := dot(q, v)
			for t := range v {
				v[t] -= d * q[t]
			}
		}
	}
	return v
}

// solve returns the b with R b = z.
func (o orthonormal) solve(z []float64) []float64 {
	b := append([]float64(nil), z...)
	for j := len(b) - 1; j >= 0; j-- {
		b[j] /= o.r[j][j]
		for i := range j {
			b[i] -= o.r[j][i] * b[j]
		}
	}
	return b
}

// solveTransposed returns the z with Rᵗ z = l.
func (o orthonormal) solveTransposed(l []float64) []float64 {
	z := append([]float64(nil), l...)
	for j := range z {
		for i := range j {
			z[j] -= o.r[j][i] * z[i]
		}
		z[j] /= o.r[j][j]
	}
	return z
}

func dot(x, y []float64) float64 {
	s := 0.0
	for i, v := range x {
		s += v * y[i]
	}
	return s
}
