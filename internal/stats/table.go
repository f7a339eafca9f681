package stats

import (
	"errors"
	"fmt"
	"math"
)

// Errors for tables of ratings (rows are assessors, columns are samples).
var (
	ErrRagged     = errors.New("rows of the table have unequal lengths")
	ErrFewSamples = errors.New("at least two samples are needed")
)

// Codes of the warnings that the methods for three or more samples give,
// beside those in [WarnTooFew] and its neighbours.
const (
	WarnIncompleteRows = "incomplete-rows"      // assessors with a missing cell left out
	WarnNoErrorSpread  = "no-residual-spread"   // residuals are all zero
	WarnAllTied        = "all-tied"             // every assessor ties all samples
	WarnSphericity     = "sphericity-unchecked" // too few assessors to test it
	WarnNonSpherical   = "not-spherical"        // use a corrected p
)

// completeRows returns the rows of a table without missing cells (NaN) and a
// warning that counts the others. It returns [ErrEmpty], [ErrFewSamples],
// [ErrRagged], [ErrNotFinite] or [ErrTooLarge] for a table that is not one.
func completeRows(values [][]float64) (rows [][]float64, dropped int, warn []Warning, err error) {
	if len(values) == 0 {
		return nil, 0, nil, ErrEmpty
	}
	k := len(values[0])
	if k < 2 {
		return nil, 0, nil, ErrFewSamples
	}
	for i, row := range values {
		if len(row) != k {
			return nil, 0, nil, fmt.Errorf("row %d has %d cells, the first has %d: %w", i+1, len(row), k, ErrRagged)
		}
		missing := false
		for _, v := range row {
			if err := usableOrMissing(v); err != nil {
				return nil, 0, nil, fmt.Errorf("row %d: %w", i+1, err)
			}
			missing = missing || math.IsNaN(v)
		}
		if missing {
			dropped++
			continue
		}
		rows = append(rows, row)
	}
	if dropped > 0 {
		warn = append(warn, Warning{WarnIncompleteRows, fmt.Sprintf("%d of %d assessors did not rate every sample and are left out of this analysis", dropped, len(values))})
	}
	return rows, dropped, warn, nil
}

// usableOrMissing returns [ErrNotFinite] for an infinity and [ErrTooLarge] for
// a value beyond maxMagnitude; NaN, a missing value, passes.
func usableOrMissing(v float64) error {
	switch size := math.Abs(v); {
	case math.IsInf(v, 0):
		return ErrNotFinite
	case size > maxMagnitude:
		return ErrTooLarge
	}
	return nil
}

// columnMeans returns the mean of each column.
func columnMeans(rows [][]float64) []float64 {
	means := make([]float64, len(rows[0]))
	for j := range means {
		means[j] = Mean(column(rows, j))
	}
	return means
}

// column returns a copy of column j.
func column(rows [][]float64, j int) []float64 {
	c := make([]float64, len(rows))
	for i, row := range rows {
		c[i] = row[j]
	}
	return c
}

// sumOfSquares returns Σ v².
func sumOfSquares(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return s
}

// roundingOnly reports whether a sum of squares is no more than the rounding
// errors of values whose sum of squares is total: 45 units in the last place
// each.
func roundingOnly(ss, total float64) bool { return ss <= 1e-28*total }

// doubledRankRows ranks the samples within each row; the ranks are doubled, so
// that mid-ranks are whole numbers. Values that differ by rounding error tie.
func doubledRankRows(rows [][]float64) [][]int {
	grid := resolution(rows...)
	ranks := make([][]int, len(rows))
	for i, row := range rows {
		gridded := make([]float64, len(row))
		for j, v := range row {
			gridded[j] = onGrid(v, grid)
		}
		ranks[i], _ = doubledRanks(gridded)
	}
	return ranks
}
