package anova

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// RepeatedTwoWayResult is what [RepeatedTwoWay] finds.
type RepeatedTwoWayResult struct {
	N, Dropped int         // complete assessors, assessors left out
	CellMeans  [][]float64 // [level of A][level of B]
	A, B, AB   RepeatedEffect
	Warnings   []stats.Warning
}

// RepeatedEffect is the test of one effect within assessors against its own error.
// Figures that cannot be computed are NaN.
type RepeatedEffect struct {
	SS, SSError     float64
	DF1, DF2, F, P  float64
	GG, GGP         float64 // Greenhouse–Geisser ε and its p; 1 and P for one df
	HF, HFP         float64 // Huynh–Feldt ε as computed and the p with ε capped at 1
	PartialEta2     float64
	GeneralisedEta2 float64 // Olejnik & Algina (2003), both factors manipulated
}

// RepeatedTwoWay is the analysis of variance of two crossed factors within
// assessors, such as dish × name, with one rating a cell:
// values[assessor][level of A][level of B]. NaN is a missing cell, and an
// assessor with one is left out and counted. Each effect is tested against its
// own interaction with the assessors (Winer 1971, section 7.2); ε as in
// [Sphericity], for each effect on its own contrasts.
func RepeatedTwoWay(values [][][]float64) (RepeatedTwoWayResult, error) {
	flat, a, b, err := flattenCells(values)
	if err != nil {
		return RepeatedTwoWayResult{}, fmt.Errorf("two-way repeated-measures anova: %w", err)
	}
	rows, dropped, warn, err := stats.CompleteRows(flat)
	if err != nil {
		return RepeatedTwoWayResult{}, fmt.Errorf("two-way repeated-measures anova: %w", err)
	}
	r := RepeatedTwoWayResult{N: len(rows), Dropped: dropped, Warnings: warn, A: noEffectWithin(), B: noEffectWithin(),
		AB: noEffectWithin()}
	if r.N < 2 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "assessors with a rating in every cell"))
	}
	if r.N == 0 {
		return r, nil
	}
	means := stats.ColumnMeans(rows)
	for i := range a {
		r.CellMeans = append(r.CellMeans, means[i*b:(i+1)*b])
	}
	if r.N < 2 {
		return r, nil
	}
	r.test(rows, a, b)
	return r, nil
}

func noEffectWithin() RepeatedEffect {
	nan := math.NaN()
	return RepeatedEffect{SS: nan, SSError: nan, DF1: nan, DF2: nan, F: nan, P: nan, GG: nan, GGP: nan, HF: nan,
		HFP: nan, PartialEta2: nan, GeneralisedEta2: nan}
}

// flattenCells lays each assessor's table out row by row.
func flattenCells(values [][][]float64) (flat [][]float64, a, b int, err error) {
	if len(values) == 0 || len(values[0]) == 0 {
		return nil, 0, 0, stats.ErrEmpty
	}
	a, b = len(values[0]), len(values[0][0])
	if a < 2 || b < 2 {
		return nil, 0, 0, fmt.Errorf("%d × %d cells: %w", a, b, stats.ErrFewSamples)
	}
	for i, table := range values {
		var row []float64
		for _, cells := range table {
			if len(cells) != b {
				return nil, 0, 0, fmt.Errorf("assessor %d: %w", i+1, stats.ErrRagged)
			}
			row = append(row, cells...)
		}
		flat = append(flat, row)
	}
	return flat, a, b, nil
}

// test projects the ratings on the three effects and tests each.
func (r *RepeatedTwoWayResult) test(rows [][]float64, a, b int) {
	pa, pb, pab := make([][]float64, r.N), make([][]float64, r.N), make([][]float64, r.N)
	assessors := make([]float64, r.N)
	raw := 0.0
	for i, row := range rows {
		raw += stats.SumOfSquares(row)
		assessors[i] = stats.Mean(row)
		pa[i], pb[i], pab[i] = projectCells(row, a, b)
	}
	da, db := float64(a-1), float64(b-1)
	effects := []within{withinEffect(pa, da), withinEffect(pb, db), withinEffect(pab, da*db)}
	errors := float64(a*b) * (float64(r.N) - 1) * stats.Variance(assessors)
	for _, e := range effects {
		errors += e.ssError
	}
	for i, to := range []*RepeatedEffect{&r.A, &r.B, &r.AB} {
		*to = effects[i].test(raw, errors)
	}
	if math.IsNaN(r.A.F) || math.IsNaN(r.B.F) || math.IsNaN(r.AB.F) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "all assessors move alike for at least one effect: nothing is left to test it against"})
	}
}

// projectCells splits an assessor's cells into main effects and interaction,
// each laid out over all cells.
func projectCells(row []float64, a, b int) (pa, pb, pab []float64) {
	m := stats.Mean(row)
	meanA, meanB := make([]float64, a), make([]float64, b)
	for i, v := range row {
		meanA[i/b] += (v - m) / float64(b)
		meanB[i%b] += (v - m) / float64(a)
	}
	pa, pb, pab = make([]float64, a*b), make([]float64, a*b), make([]float64, a*b)
	for i, v := range row {
		pa[i], pb[i] = meanA[i/b], meanB[i%b]
		pab[i] = v - m - pa[i] - pb[i]
	}
	return pa, pb, pab
}

// test returns the effect with its corrections. raw is the sum of squared
// ratings, errors the sum of squares between assessors and of all errors.
func (e within) test(raw, errors float64) RepeatedEffect {
	r := noEffectWithin()
	r.SS, r.SSError, r.DF1, r.DF2 = e.ss, e.ssError, e.df1, e.df2
	if stats.RoundingOnly(r.SS, raw) {
		r.SS = 0
	}
	if stats.RoundingOnly(r.SSError, raw) {
		r.SSError = 0
		return r
	}
	r.F = r.SS / r.DF1 / (r.SSError / r.DF2)
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
	r.GG, r.HF = 1, 1
	if r.DF1 > 1 {
		r.GG, r.HF = e.epsilons()
	}
	r.GGP = dist.FSurvival(r.F, r.GG*r.DF1, r.GG*r.DF2)
	h := math.Min(1, r.HF)
	r.HFP = dist.FSurvival(r.F, h*r.DF1, h*r.DF2)
	r.PartialEta2 = r.SS / (r.SS + r.SSError)
	r.GeneralisedEta2 = r.SS / (r.SS + errors)
	return r
}
