package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// CochranPair is one pairwise follow-up of [CochranQ]; A and B count columns
// from 0.
type CochranPair struct {
	A, B         int
	OnlyA, OnlyB int     // assessors with yes to one sample only
	P, PHolm     float64 // exact McNemar; 1 when nobody answers differently
}

// CochranQResult is the outcome of [CochranQ].
type CochranQResult struct {
	N, Informative int   // assessors; those who do not answer all samples alike
	Yes            []int // per sample
	Q, P           float64
	ExactP         float64 // over all shuffles within assessors; NaN where they are too many
	DF             int
	Pairs          []CochranPair
	Warnings       []stats.Warning
}

// CochranQ compares the shares of yes to k samples by the same assessors
// (Cochran 1950, Biometrika 37:256): Q = (k−1)(kΣG² − (ΣG)²)/(kΣL − ΣL²) with
// column sums G and row sums L, referred to χ² on k−1 degrees of freedom.
// Follow-up: exact McNemar tests of all pairs, Holm-adjusted. answers[i][j] is
// assessor i's answer to sample j.
//
// When every assessor answers all samples alike, Q and P are NaN with a
// warning. Errors: [stats.ErrEmpty], [stats.ErrShape].
func CochranQ(answers [][]bool) (CochranQResult, error) {
	if len(answers) == 0 {
		return CochranQResult{}, stats.ErrEmpty
	}
	k := len(answers[0])
	r := CochranQResult{N: len(answers), Yes: make([]int, k), DF: k - 1, Q: math.NaN(), P: math.NaN(),
		ExactP: math.NaN()}
	var rows, rowSquares float64
	for _, row := range answers {
		if len(row) != k || k < 2 {
			return CochranQResult{}, stats.ErrShape
		}
		sum := 0
		for j, yes := range row {
			if yes {
				sum++
				r.Yes[j]++
			}
		}
		if sum != 0 && sum != k {
			r.Informative++
		}
		rows += float64(sum)
		rowSquares += float64(sum) * float64(sum)
	}
	r.follow(answers)
	if r.Informative == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoDiscordant,
			Text: "every assessor gives the same answer to all samples, so there is nothing to test"})
		return r, nil
	}
	columnSquares := 0.0
	for _, g := range r.Yes {
		columnSquares += float64(g) * float64(g)
	}
	K := float64(k)
	r.Q = (K - 1) * (K*columnSquares - rows*rows) / (K*rows - rowSquares)
	r.P, r.ExactP = dist.ChiSquaredSurvival(r.Q, K-1), exactCochran(answers, k)
	return r, nil
}

// follow fills the pairs.
func (r *CochranQResult) follow(answers [][]bool) {
	var p []float64
	for a := range r.Yes {
		for b := a + 1; b < len(r.Yes); b++ {
			pair := CochranPair{A: a, B: b, P: 1}
			for _, row := range answers {
				switch {
				case row[a] && !row[b]:
					pair.OnlyA++
				case row[b] && !row[a]:
					pair.OnlyB++
				}
			}
			if n := pair.OnlyA + pair.OnlyB; n > 0 {
				pair.P = dist.BinomialPValue(pair.OnlyA, n, 0.5, stats.TwoSided)
			}
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.P)
		}
	}
	for i, adjusted := range stats.Holm(p) {
		r.Pairs[i].PHolm = adjusted
	}
}
