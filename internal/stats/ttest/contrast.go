package ttest

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ErrWeights marks contrast weights that are not one for each sample, are all
// zero or do not sum to zero.
var ErrWeights = errors.New("contrast weights must be one for each sample, not all zero, and sum to zero")

// ContrastResult is what [Contrast] finds.
type ContrastResult struct {
	N, Dropped int
	Estimate   float64 // Σ weight × mean, in scale units times the weights
	SE, T, DF  float64
	P          float64 // two-sided
	CI         stats.Interval
	Dz         float64 // estimate over the standard deviation of the assessors' own contrasts
	Warnings   []stats.Warning
}

// Contrast tests a contrast between samples on each assessor's own
// contrast, as a one-sample t test with n−1 df: no sphericity is assumed
// (Boik 1981, Psychometrika 46, 241–255, on why the pooled error misleads).
// Rows are assessors, columns samples; NaN is a missing cell, and an assessor
// with one is left out and counted. The weights sum to zero: for "the mean of
// the last two against the first", −1, ½, ½.
func Contrast(values [][]float64, weights []float64, level float64) (ContrastResult, error) {
	rows, dropped, warn, err := stats.CompleteRows(values)
	if err != nil {
		return ContrastResult{}, fmt.Errorf("contrast: %w", err)
	}
	if err := checkWeights(weights, len(values[0])); err != nil {
		return ContrastResult{}, fmt.Errorf("contrast: %w", err)
	}
	if level, err = stats.LevelOr95(level); err != nil {
		return ContrastResult{}, fmt.Errorf("contrast: %w", err)
	}
	nan := math.NaN()
	r := ContrastResult{N: len(rows), Dropped: dropped, Warnings: warn, Estimate: nan, SE: nan, T: nan, DF: nan, P: nan,
		CI: stats.NoInterval(level), Dz: nan}
	if r.N == 0 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "assessors with a rating for every sample"))
		return r, nil
	}
	scores, zeros := make([]float64, r.N), make([]float64, r.N)
	for i, row := range rows {
		scores[i] = numeric.Dot(row, weights)
	}
	stats.LevelIfConstant(scores, stats.Resolution(rows...))
	t, err := Paired(scores, zeros, PairedOptions{Level: level})
	if err != nil {
		return ContrastResult{}, fmt.Errorf("contrast: %w", err)
	}
	r.Estimate, r.SE, r.T, r.DF, r.CI = t.Diff, t.SE, t.T, t.DF, t.CI
	r.P = dist.TTwoSided(r.T, r.DF)
	if t.SD > 0 {
		r.Dz = t.Diff / t.SD
	}
	for _, w := range t.Warnings {
		if w.Code != stats.WarnNoCorrelation { // the zeros are ours
			r.Warnings = append(r.Warnings, w)
		}
	}
	return r, nil
}

func checkWeights(weights []float64, k int) error {
	sum, size := 0.0, 0.0
	for _, w := range weights {
		sum += w
		size += math.Abs(w)
	}
	if len(weights) != k || !(size > 0) || math.IsInf(size, 0) || math.Abs(sum) > 1e-12*size {
		return ErrWeights
	}
	return nil
}
