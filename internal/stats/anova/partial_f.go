package anova

import (
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// PartialFResult is the outcome of [PartialF]. What cannot be computed is NaN.
type PartialFResult struct {
	F, P      float64
	DF1, DF2  float64 // estimable dimensions of the tested columns; of the residual
	NoScatter bool    // the columns explain the response wholly, so that F is NaN
}

// noScatter is the share of the sum of squares below which a residual is rounding error.
const noScatter = 1e-20

// PartialF is the extra-sum-of-squares F test of the columns in tested, with the
// columns in base allowed for (Searle 1971, Linear Models, sects. 3.6 and 5.5). Where
// columns are partly aliased it tests the part that is estimable: DF1 is the rank
// of all columns less that of base. All columns and y have length n; absorbed is how
// many dimensions were taken out of them before, such as the means of assessors
// (Frisch & Waugh 1933, Econometrica 1:387). Cost: n times the columns squared.
func PartialF(y []float64, base, tested [][]float64, absorbed int) PartialFResult {
	return NewPartial(base, tested).F(y, absorbed)
}

// Partial holds the columns of [PartialF] for several responses: the cost that goes with the
// square of the columns is paid once.
type Partial struct{ before, all numeric.Orthonormal }

// NewPartial prepares the test of the columns in tested, with those in base allowed for.
func NewPartial(base, tested [][]float64) Partial {
	all := numeric.Orthonormalise(slices.Concat(base, tested))
	return Partial{all.First(len(base)), all}
}

// F is [PartialF] of a response.
func (p Partial) F(y []float64, absorbed int) PartialFResult {
	nan := math.NaN()
	r := PartialFResult{F: nan, P: nan, DF1: float64(len(p.all.Q) - len(p.before.Q)),
		DF2: float64(len(y) - absorbed - len(p.all.Q))}
	if r.DF1 < 1 || r.DF2 < 1 {
		return r
	}
	without, with := stats.SumOfSquares(p.before.Residual(y)), stats.SumOfSquares(p.all.Residual(y))
	if with <= noScatter*stats.SumOfSquares(y) {
		r.NoScatter = true
		return r
	}
	r.F = max(0, without-with) / r.DF1 / (with / r.DF2)
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
	return r
}

// Comparable groups the columns of a factor's levels: two levels are in one group
// when their difference is estimable with the columns in base allowed for, that is,
// when it lies in the row space of what base leaves of the columns (Searle 1971,
// sect. 5.4). Groups and their members are in ascending order.
func Comparable(base, levels [][]float64) [][]int {
	b := numeric.Orthonormalise(base)
	left := make([][]float64, len(levels))
	for j, c := range levels {
		left[j] = b.Residual(c)
		if stats.SumOfSquares(left[j]) <= numeric.AliasTolerance*numeric.AliasTolerance*stats.SumOfSquares(c) {
			left[j] = make([]float64, len(c))
		}
	}
	products := make([][]float64, len(levels)) // their columns span the row space
	for j := range left {
		products[j] = make([]float64, len(levels))
		for k := range left {
			products[j][k] = numeric.Dot(left[j], left[k])
		}
	}
	rows := numeric.Orthonormalise(products)
	var groups [][]int
	for j := range levels {
		at := slices.IndexFunc(groups, func(g []int) bool { return rows.Spans(difference(g[0], j, len(levels))) })
		if at < 0 {
			groups = append(groups, []int{j})
			continue
		}
		groups[at] = append(groups[at], j)
	}
	return groups
}

// difference is the contrast of two of k levels.
func difference(a, b, k int) []float64 {
	c := make([]float64, k)
	c[a]++
	c[b]--
	return c
}
