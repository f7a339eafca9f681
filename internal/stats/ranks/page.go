package ranks

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// PageResult is what [Page] finds.
type PageResult struct {
	N, K, Dropped int     // complete assessors, samples, assessors left out
	L             float64 // Σ j·(rank sum of column j)
	MeanL, VarL   float64 // under the hypothesis, given the ties
	Z, P          float64 // normal approximation; P for the predicted order
	VarLNoTies    float64 // Page's own variance, which ignores ties
	ZNoTies       float64
	PNoTies       float64
	Exact         bool    // whether the permutation distribution was computed
	ExactPGreater float64 // P(L at least as large); NaN unless Exact
	ExactPLess    float64 // P(L at most as large); NaN unless Exact
	Warnings      []stats.Warning
}

// pageWork bounds the multiplications spent on the exact distribution, about
// a second: beyond it the normal approximation is good to many digits.
const pageWork = 1e9

// pageSamples bounds the samples for the exact distribution, whose cost for
// one assessor grows as 2^k.
const pageSamples = 12

// Page tests for a trend in a predicted order: Page (1963), J. Am. Stat.
// Assoc. 58, 216–230. The columns stand in the order of the predicted
// increase; rows are assessors; NaN is a missing cell, and an assessor with
// one is left out and counted. The exact distribution is over the
// permutations of each assessor's ranks, ties as they are.
func Page(values [][]float64) (PageResult, error) {
	rows, dropped, warn, err := stats.CompleteRows(values)
	if err != nil {
		return PageResult{}, fmt.Errorf("page's trend test: %w", err)
	}
	nan := math.NaN()
	r := PageResult{N: len(rows), K: len(values[0]), Dropped: dropped, Warnings: warn,
		L: nan, MeanL: nan, VarL: nan, Z: nan, P: nan, VarLNoTies: nan, ZNoTies: nan, PNoTies: nan, ExactPGreater: nan,
		ExactPLess: nan}
	if r.N == 0 {
		r.Warnings = append(r.Warnings, stats.TooFew(1, "assessors with a rating for every sample"))
		return r, nil
	}
	ranks := DoubledRows(rows)
	n, k := float64(r.N), float64(r.K)
	r.MeanL = n * k * (k + 1) * (k + 1) / 4
	r.VarLNoTies = n * k * k * (k + 1) * (k*k - 1) / 144
	twiceL, v := 0, 0.0
	for _, row := range ranks {
		ss := 0.0
		for j, rank := range row {
			twiceL += (j + 1) * rank
			d := float64(rank)/2 - (k+1)/2
			ss += d * d
		}
		v += ss * k * (k + 1) / 12 // Σ(j − (k+1)/2)² / (k−1) = k(k+1)/12
	}
	r.L, r.VarL = float64(twiceL)/2, v
	if v == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnAllTied,
			Text: "every assessor rates all samples the same, so a trend cannot be tested"})
		return r, nil
	}
	r.Z = (r.L - r.MeanL) / math.Sqrt(v)
	r.P = dist.NormalSurvival(r.Z)
	r.ZNoTies = (r.L - r.MeanL) / math.Sqrt(r.VarLNoTies)
	r.PNoTies = dist.NormalSurvival(r.ZNoTies)
	r.exact(ranks, twiceL)
	return r, nil
}

// exact convolves the assessors' permutation distributions of Σ j·rank.
func (r *PageResult) exact(ranks [][]int, observed int) {
	if r.K > pageSamples {
		r.approximateOnly()
		return
	}
	var parts []dist.LatticeDistribution
	patterns := map[string]dist.LatticeDistribution{}
	length, work := 1.0, 0.0
	for _, row := range ranks {
		sorted := slices.Sorted(slices.Values(row))
		key := fmt.Sprint(sorted)
		d, known := patterns[key]
		if !known {
			d = trendDistribution(sorted)
			patterns[key] = d
		}
		parts = append(parts, d)
		work += length * float64(len(d.P))
		length += float64(len(d.P) - 1)
	}
	if work > pageWork {
		r.approximateOnly()
		return
	}
	sum := dist.LatticeDistribution{P: []float64{1}}
	for _, d := range parts {
		sum = sum.Plus(d)
	}
	r.Exact = true
	r.ExactPGreater = min(1, sum.Upper(observed))
	r.ExactPLess = min(1, sum.Lower(observed))
}

func (r *PageResult) approximateOnly() {
	r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnApproximate,
		Text: "the p-value is the normal approximation: the panel is too large to list every order"})
}

// trendDistribution returns the distribution of Σ j·v(π(j)) over the
// permutations π of the rising doubled ranks v. Positions are filled from the
// first; the state is how many of each tied value are used, in mixed radix.
func trendDistribution(v []int) dist.LatticeDistribution {
	var value, count []int
	for _, x := range v {
		if len(value) == 0 || value[len(value)-1] != x {
			value, count = append(value, x), append(count, 0)
		}
		count[len(count)-1]++
	}
	radix := make([]int, len(count)+1)
	radix[0] = 1
	for g, c := range count {
		radix[g+1] = radix[g] * (c + 1)
	}
	highest := 0
	for j, x := range v {
		highest += (j + 1) * x
	}
	table := make([][]float64, radix[len(count)])
	table[0] = make([]float64, highest+1)
	table[0][0] = 1
	for state, from := range table {
		fillPosition(table, state, from, value, count, radix)
	}
	return dist.NewLattice(table[len(table)-1])
}

// fillPosition gives each value that is left the next position.
func fillPosition(table [][]float64, state int, from []float64, value, count, radix []int) {
	used := 0
	for g, c := range count {
		used += state / radix[g] % (c + 1)
	}
	left := 0
	for _, c := range count {
		left += c
	}
	left -= used
	for g, c := range count {
		free := c - state/radix[g]%(c+1)
		if free == 0 {
			continue
		}
		to := state + radix[g]
		if table[to] == nil {
			table[to] = make([]float64, len(from))
		}
		share, shift := float64(free)/float64(left), (used+1)*value[g]
		for s, p := range from {
			if p != 0 {
				table[to][s+shift] += p * share
			}
		}
	}
}
