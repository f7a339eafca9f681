package anova

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// RepeatedOptions are the options of [Repeated].
type RepeatedOptions struct {
	Level   float64 // of the intervals of the pairs; 0 means 0.95
	NoPairs bool    // the samples are not compared two by two
}

// RepeatedResult is what [Repeated] finds. Figures that cannot be computed are
// NaN, with a warning.
type RepeatedResult struct {
	N, K, Dropped   int // complete assessors, samples, assessors left out
	Means, SDs      []float64
	SSSample        float64
	SSAssessor      float64
	SSError         float64
	DF1, DF2        float64 // of F: k−1 and (n−1)(k−1)
	MSError         float64
	F, P            float64 // of the samples, if the assessors are blocks (spherical)
	FAssessor       float64
	PAssessor       float64
	PartialEta2     float64 // SSSample / (SSSample + SSError)
	GeneralisedEta2 float64 // SSSample / all sums of squares (Olejnik & Algina 2003)
	Omega2          float64 // Dodd & Schultz (1973)
	Sphericity      Sphericity
	LSD             float64 // Fisher's least significant difference of two means at 5 %
	Pairs           []RepeatedPair
	Warnings        []stats.Warning
}

// Repeated is the analysis of variance of k samples that the same n assessors
// rated once each; the same figures serve for assessors as randomised blocks.
// Rows are assessors, columns samples; NaN is a missing cell, and an assessor
// with one is left out and counted (mixed models, [mixed.Fit], keep them).
//
// Textbook sums of squares (Winer 1971, Statistical Principles in Experimental
// Design, section 4.2). Generalised η²: Olejnik & Algina (2003), Psychol.
// Methods 8, 434–447, equation for one factor within. ω²: Dodd & Schultz
// (1973), Psychol. Bull. 79, 391–395, df1 (MS − MSError)/(SS total +
// MSAssessor); formula from memory. Sphericity: see [Sphericity].
//
// When no rating is left unexplained (constant data, or every assessor moves
// alike) F and its p are NaN with [stats.WarnNoErrorSpread].
func Repeated(values [][]float64, o RepeatedOptions) (RepeatedResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return RepeatedResult{}, fmt.Errorf("repeated-measures anova: %w", err)
	}
	rows, dropped, warn, err := stats.CompleteRows(values)
	if err != nil {
		return RepeatedResult{}, fmt.Errorf("repeated-measures anova: %w", err)
	}
	nan := math.NaN()
	r := RepeatedResult{N: len(rows), K: len(values[0]), Dropped: dropped, Warnings: warn,
		SSSample: nan, SSAssessor: nan, SSError: nan, DF1: nan, DF2: nan, MSError: nan, F: nan, P: nan, FAssessor: nan,
		PAssessor:   nan,
		PartialEta2: nan, GeneralisedEta2: nan, Omega2: nan, Sphericity: noSphericity(), LSD: nan}
	if r.N < 2 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "assessors with a rating for every sample"))
	}
	if r.N == 0 {
		return r, nil
	}
	r.Means = stats.ColumnMeans(rows)
	for j := range r.K {
		r.SDs = append(r.SDs, stats.SD(stats.Column(rows, j)))
	}
	if r.N < 2 {
		return r, nil
	}
	effect := withinEffect(sampleDeviations(rows), float64(r.K-1))
	r.partition(rows, effect)
	r.sphericity(effect)
	if !o.NoPairs {
		r.comparePairs(rows, level)
	}
	return r, nil
}

// sampleDeviations returns each assessor's ratings less that assessor's mean.
func sampleDeviations(rows [][]float64) [][]float64 {
	d := make([][]float64, len(rows))
	for i, row := range rows {
		m := stats.Mean(row)
		d[i] = make([]float64, len(row))
		for j, v := range row {
			d[i][j] = v - m
		}
	}
	return d
}

// partition fills in the sums of squares, F tests and effect sizes.
func (r *RepeatedResult) partition(rows [][]float64, e within) {
	n, k := float64(r.N), float64(r.K)
	assessors := make([]float64, r.N)
	total := 0.0
	for i, row := range rows {
		assessors[i] = stats.Mean(row)
		total += stats.SumOfSquares(row)
	}
	r.SSSample, r.SSError = e.ss, e.ssError
	r.SSAssessor = k * (n - 1) * stats.Variance(assessors)
	r.DF1, r.DF2 = e.df1, e.df2
	all := r.SSSample + r.SSAssessor + r.SSError
	if stats.RoundingOnly(all, total) {
		r.SSSample, r.SSAssessor, r.SSError, r.MSError = 0, 0, 0, 0
		r.Warnings = append(r.Warnings, stats.NoSpread("ratings"))
		return
	}
	r.GeneralisedEta2 = r.SSSample / all
	if stats.RoundingOnly(r.SSError, total) {
		r.SSError, r.MSError = 0, 0
		if !stats.RoundingOnly(r.SSSample, total) {
			r.PartialEta2 = 1
		}
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "all assessors move alike between the samples: nothing is left to test the samples against"})
		return
	}
	r.MSError = r.SSError / r.DF2
	r.F = r.SSSample / r.DF1 / r.MSError
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
	msAssessor := r.SSAssessor / (n - 1)
	r.FAssessor = msAssessor / r.MSError
	r.PAssessor = dist.FSurvival(r.FAssessor, n-1, r.DF2)
	r.PartialEta2 = r.SSSample / (r.SSSample + r.SSError)
	r.Omega2 = (r.SSSample - r.DF1*r.MSError) / (all + msAssessor)
	r.LSD = dist.TQuantileUpper(0.025, r.DF2) * math.Sqrt(2*r.MSError/n)
}
