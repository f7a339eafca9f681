package profile

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
)

// PCAResult holds the principal components of a samples × attributes table.
type PCAResult struct {
	N           int         // rows (samples)
	Eigenvalues []float64   // descending, as many as columns
	Explained   []float64   // shares of the total
	Vectors     [][]float64 // [stats.Column][component]
	Loadings    [][]float64 // vector × √eigenvalue: correlations of columns with components
	Scores      [][]float64 // [row][component]
	centre, sd  []float64
}

// ErrConstantColumn is returned when a column of a correlation-based method
// does not vary.
var ErrConstantColumn = errors.New("a column does not vary: leave it out")

// PrincipalComponents analyses the correlation matrix of the columns: rows are
// samples, columns attributes, every column standardised with n−1.
//
// Pearson (1901), Hotelling (1933); computed from the eigenvectors of the
// correlation matrix. The sign of a component is free: here the entry of
// largest size is positive (the first one on ties).
func PrincipalComponents(table [][]float64) (PCAResult, error) {
	n, p, err := stats.CheckTable(table)
	if err != nil {
		return PCAResult{}, err
	}
	r := PCAResult{N: n, centre: make([]float64, p), sd: make([]float64, p)}
	column := make([]float64, n)
	for j := range p {
		scale := 0.0
		for i, row := range table {
			column[i] = row[j]
			r.centre[j] += row[j] / float64(n)
			scale += row[j] * row[j]
		}
		variance := stats.Variance(column)
		if variance*float64(n-1) <= stats.RoundingShare*scale {
			return PCAResult{N: n}, fmt.Errorf("column %d: %w", j+1, ErrConstantColumn)
		}
		r.sd[j] = math.Sqrt(variance)
	}
	if err := r.decompose(table); err != nil {
		return PCAResult{N: n}, err
	}
	for _, row := range table {
		r.Scores = append(r.Scores, r.Project(row))
	}
	return r, nil
}

// Project returns the scores of a further row on all components, standardised
// with the means and standard deviations of the analysed table.
func (r *PCAResult) Project(row []float64) []float64 {
	out := make([]float64, len(r.Eigenvalues))
	for j, v := range row {
		z := (v - r.centre[j]) / r.sd[j]
		for c := range out {
			out[c] += z * r.Vectors[j][c]
		}
	}
	return out
}

func (r *PCAResult) decompose(table [][]float64) error {
	p := len(r.sd)
	corr := mat.NewSymDense(p, nil)
	for a := range p {
		corr.SetSym(a, a, 1)
		for b := range a {
			sum := 0.0
			for _, row := range table {
				sum += (row[a] - r.centre[a]) / r.sd[a] * (row[b] - r.centre[b]) / r.sd[b]
			}
			corr.SetSym(a, b, sum/float64(r.N-1))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(corr, true) {
		return errors.New("the eigenvectors of the correlation matrix did not converge")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	r.Vectors, r.Loadings = squareTable(p), squareTable(p)
	for c := range p {
		from := p - 1 - c // eigenvalues come in ascending order
		value := math.Max(values[from], 0)
		r.Eigenvalues = append(r.Eigenvalues, value)
		r.Explained = append(r.Explained, value/float64(p))
		sign := largestSign(&vectors, from)
		for j := range p {
			r.Vectors[j][c] = sign * vectors.At(j, from)
			r.Loadings[j][c] = r.Vectors[j][c] * math.Sqrt(value)
		}
	}
	return nil
}

func squareTable(p int) [][]float64 {
	t := make([][]float64, p)
	for i := range t {
		t[i] = make([]float64, p)
	}
	return t
}

// largestSign is −1 when the largest entry of a column is negative. Entries
// within rounding of each other count as equal, the first one decides.
func largestSign(m *mat.Dense, column int) float64 {
	rows, _ := m.Dims()
	largest := 0.0
	for j := range rows {
		if v := m.At(j, column); math.Abs(v) > math.Abs(largest)*(1+1e-12) {
			largest = v
		}
	}
	if largest < 0 {
		return -1
	}
	return 1
}
