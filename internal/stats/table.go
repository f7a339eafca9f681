package stats

import (
	"errors"
	"fmt"
	"math"
)

// ErrShape is returned for tables that are empty or whose rows differ in length.
var ErrShape = errors.New("a table needs rows of one and the same length, at least two rows and two columns")

// CheckTable returns rows and columns of a full finite table of at least 2×2.
func CheckTable(values [][]float64) (n, k int, err error) {
	if len(values) < 2 || len(values[0]) < 2 {
		return 0, 0, ErrShape
	}
	k = len(values[0])
	for i, row := range values {
		if len(row) != k {
			return 0, 0, fmt.Errorf("row %d has %d values, the first %d: %w", i+1, len(row), k, ErrShape)
		}
		if err := CheckUsable(row); err != nil {
			return 0, 0, fmt.Errorf("row %d: %w", i+1, err)
		}
	}
	return len(values), k, nil
}

// RoundingShare is the share of the raw sum of squares below which a sum of
// squares is rounding error: about (100 ulp)², well under any recorded scale's
// resolution.
const RoundingShare = 1e-28

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

// CompleteRows returns the rows of a table without missing cells (NaN) and a
// warning that counts the others. It returns [ErrEmpty], [ErrFewSamples],
// [ErrRagged], [ErrNotFinite] or [ErrTooLarge] for a table that is not one.
func CompleteRows(values [][]float64) (rows [][]float64, dropped int, warn []Warning, err error) {
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
			if err := UsableOrMissing(v); err != nil {
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
		warn = append(warn, Warning{WarnIncompleteRows,
			fmt.Sprintf("%d of %d assessors did not rate every sample and are left out of this analysis", dropped,
				len(values))})
	}
	return rows, dropped, warn, nil
}

// UsableOrMissing returns [ErrNotFinite] for an infinity and [ErrTooLarge] for
// a value beyond MaxMagnitude; NaN, a missing value, passes.
func UsableOrMissing(v float64) error {
	switch size := math.Abs(v); {
	case math.IsInf(v, 0):
		return ErrNotFinite
	case size > MaxMagnitude:
		return ErrTooLarge
	}
	return nil
}

// ColumnMeans returns the mean of each column.
func ColumnMeans(rows [][]float64) []float64 {
	means := make([]float64, len(rows[0]))
	for j := range means {
		means[j] = Mean(Column(rows, j))
	}
	return means
}

// Column returns a copy of column j.
func Column(rows [][]float64, j int) []float64 {
	c := make([]float64, len(rows))
	for i, row := range rows {
		c[i] = row[j]
	}
	return c
}

// SumOfSquares returns Σ v².
func SumOfSquares(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return s
}

// RoundingOnly reports whether a sum of squares is no more than the rounding
// errors of values whose sum of squares is total: 45 units in the last place
// each.
func RoundingOnly(ss, total float64) bool { return ss <= 1e-28*total }

// ErrCodes marks level codes that do not fit the values: unequal lengths, a
// negative code or a level that never occurs.
var ErrCodes = errors.New("level codes must be 0, 1, … without gaps, one for each value")
