package profile

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
)

// CorrespondenceResult is the outcome of [Correspondence].
type CorrespondenceResult struct {
	N            float64   // total of the table
	TotalInertia float64   // χ² of the table divided by its total
	Inertias     []float64 // of each dimension, descending
	Explained    []float64 // shares of the total
	ChiSq        float64
	DF           int

	Rows, Columns                         [][]float64 // principal coordinates, [row or column][dimension]
	RowContributions, ColumnContributions [][]float64 // shares of a dimension's inertia
}

// ErrEmptyMargin is returned when a row or a column of a table of counts is all zero.
var ErrEmptyMargin = errors.New("a row or a column holds nothing: leave it out")

// Correspondence maps rows and columns of a table of counts, so that distances between rows
// are χ² distances of their profiles, and those between columns likewise (Greenacre 1984,
// ch. 4): the singular values and vectors of (p − r·c)/√(r·c), p the shares of the table, r
// and c its margins. Coordinates are principal ones on both sides; the sign of a dimension
// is free: here the column farthest from 0 is positive, the first one on ties.
//
// χ² of the table is no test where one person counts several times.
// Errors: [stats.ErrShape], [stats.ErrEmpty], [stats.ErrCounts], [ErrEmptyMargin].
func Correspondence(table [][]float64) (CorrespondenceResult, error) {
	n, p, err := stats.CheckTable(table)
	if err != nil {
		return CorrespondenceResult{}, err
	}
	r := CorrespondenceResult{DF: (n - 1) * (p - 1)}
	rows, columns := make([]float64, n), make([]float64, p)
	for i, row := range table {
		for j, v := range row {
			if v < 0 {
				return CorrespondenceResult{}, stats.ErrCounts
			}
			rows[i], columns[j], r.N = rows[i]+v, columns[j]+v, r.N+v
		}
	}
	for _, margins := range [][]float64{rows, columns} {
		for i, v := range margins {
			if v == 0 {
				return CorrespondenceResult{}, ErrEmptyMargin
			}
			margins[i] = v / r.N
		}
	}
	residuals := mat.NewDense(n, p, nil)
	for i, row := range table {
		for j, v := range row {
			expected := rows[i] * columns[j]
			x := (v/r.N - expected) / math.Sqrt(expected)
			residuals.Set(i, j, x)
			r.TotalInertia += x * x
		}
	}
	r.ChiSq = r.TotalInertia * r.N
	return r, r.decompose(residuals, rows, columns)
}

// ErrNoConvergence is returned when singular values are not found.
var ErrNoConvergence = errors.New("the singular values do not converge")

func (r *CorrespondenceResult) decompose(residuals *mat.Dense, rows, columns []float64) error {
	var svd mat.SVD
	if !svd.Factorize(residuals, mat.SVDThin) {
		return ErrNoConvergence
	}
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	values := svd.Values(nil)
	dims := min(len(rows), len(columns)) - 1 // the last singular value is 0: residuals add up to 0
	for d := range dims {
		r.Inertias = append(r.Inertias, values[d]*values[d])
		share := 0.
		if r.TotalInertia > 0 {
			share = values[d] * values[d] / r.TotalInertia
		}
		r.Explained = append(r.Explained, share)
	}
	sign := make([]float64, dims)
	for d := range sign {
		farthest := 0.
		for j, mass := range columns {
			if x := v.At(j, d) / math.Sqrt(mass); math.Abs(x) > math.Abs(farthest)*(1+1e-9) {
				farthest = x
			}
		}
		sign[d] = math.Copysign(1, farthest)
	}
	r.Rows, r.RowContributions = coordinates(&u, rows, values, sign)
	r.Columns, r.ColumnContributions = coordinates(&v, columns, values, sign)
	return nil
}

// coordinates are the principal ones of one side, and what each contributes.
func coordinates(vectors *mat.Dense, masses, values, sign []float64) (at, share [][]float64) {
	for i, mass := range masses {
		x, c := make([]float64, len(sign)), make([]float64, len(sign))
		for d := range sign {
			e := vectors.At(i, d)
			x[d], c[d] = sign[d]*e*values[d]/math.Sqrt(mass), e*e
		}
		at, share = append(at, x), append(share, c)
	}
	return at, share
}
