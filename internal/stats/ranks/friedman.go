package ranks

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// FriedmanResult is what [Friedman] finds. Pairs and rank sums are in the
// order of the columns.
type FriedmanResult struct {
	N, K, Dropped int       // complete assessors, samples, assessors left out
	RankSums      []float64 // mid-ranks summed over assessors; a high rank is a high value
	MeanRanks     []float64
	ChiSq, DF, P  float64 // corrected for ties; P from the chi-squared distribution
	W             float64 // Kendall's coefficient of concordance, corrected for ties, 0 to 1
	F, FDF1, FDF2 float64 // Iman & Davenport's F; +Inf when all assessors agree entirely
	FP            float64
	ConoverLSD    float64 // least significant difference of rank sums at 5 %, ties corrected
	NormalLSD     float64 // the same from the normal distribution, ties not corrected
	// permutation p for small panels (up to 30 assessors with 3 samples, 11 with 4, 6 with 5, 4 with 6), else NaN
	ExactP   float64
	Pairs    []FriedmanPair
	Warnings []stats.Warning
}

// FriedmanPair compares columns A < B after a Friedman test.
type FriedmanPair struct {
	A, B  int
	Diff  float64 // rank sum of B less that of A
	T     float64 // Conover's t on the pooled variance of the ranks
	P     float64 // two-sided, t with (n−1)(k−1) df
	PHolm float64 // P adjusted over all pairs
}

// Friedman tests whether k samples that the same n assessors rated differ in
// rank: Friedman (1937), J. Am. Stat. Assoc. 32, 675–701, with the correction
// for ties and the F form of Iman & Davenport (1980), Commun. Statist. A 9,
// 571–595; pairs by Conover (1999), Practical Nonparametric Statistics, 3rd
// ed., section 5.8.
//
// Rows are assessors, columns samples; NaN is a missing cell, and an assessor
// with one is left out and counted. When every assessor ties all samples
// there is no test: the figures are NaN with the warning [stats.WarnAllTied].
func Friedman(values [][]float64) (FriedmanResult, error) {
	rows, dropped, warn, err := stats.CompleteRows(values)
	if err != nil {
		return FriedmanResult{}, fmt.Errorf("friedman test: %w", err)
	}
	nan := math.NaN()
	r := FriedmanResult{N: len(rows), K: len(values[0]), Dropped: dropped, Warnings: warn,
		ChiSq: nan, DF: nan, P: nan, W: nan, F: nan, FDF1: nan, FDF2: nan, FP: nan, ConoverLSD: nan, NormalLSD: nan,
		ExactP: nan}
	if r.N < 2 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "assessors with a rating for every sample"))
	}
	if r.N == 0 {
		return r, nil
	}
	ranks := DoubledRows(rows)
	s := sumRanks(ranks)
	for _, v := range s.sums {
		r.RankSums = append(r.RankSums, float64(v)/2)
		r.MeanRanks = append(r.MeanRanks, float64(v)/2/float64(r.N))
	}
	if r.N < 2 {
		return r, nil
	}
	if s.total == s.center {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnAllTied,
			Text: "every assessor rates all samples the same, so their order cannot be tested"})
		return r, nil
	}
	r.test(s)
	r.compare(s)
	if r.N <= exactFriedmanAssessors(r.K) {
		r.ExactP = exactFriedman(ranks, s.squares)
	}
	return r, nil
}

// rankTotals are the sums over a table of doubled ranks, exact whole numbers.
type rankTotals struct {
	sums    []int
	total   float64 // Σ of squared doubled ranks
	squares float64 // Σ of squared column sums
	center  float64 // what total would be if all ranks were equal: n k (k+1)²
}

func sumRanks(ranks [][]int) rankTotals {
	n, k := float64(len(ranks)), float64(len(ranks[0]))
	s := rankTotals{sums: make([]int, len(ranks[0])), center: n * k * (k + 1) * (k + 1)}
	for _, row := range ranks {
		for j, v := range row {
			s.sums[j] += v
			s.total += float64(v * v)
		}
	}
	for _, v := range s.sums {
		s.squares += float64(v) * float64(v)
	}
	return s
}

// test fills in the tests of all samples at once. All sums are whole numbers,
// so that complete agreement is recognised exactly.
func (r *FriedmanResult) test(s rankTotals) {
	n, k := float64(r.N), float64(r.K)
	between := s.squares - n*s.center
	r.W = between / (n * (s.total - s.center))
	r.ChiSq = (k - 1) * between / (s.total - s.center)
	r.DF = k - 1
	r.P = dist.ChiSquaredSurvival(r.ChiSq, r.DF)
	within := n*s.total - s.squares
	r.F = (n - 1) * between / within
	r.FDF1, r.FDF2 = k-1, (k-1)*(n-1)
	r.FP = dist.FSurvival(r.F, r.FDF1, r.FDF2)
	if within == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "all assessors put the samples in the same order: F is infinite"})
	}
}

// compare fills in the pairs and their least significant differences.
func (r *FriedmanResult) compare(s rankTotals) {
	n, k := float64(r.N), float64(r.K)
	r.NormalLSD = -dist.NormalQuantile(0.025) * math.Sqrt(n*k*(k+1)/6)
	se := math.Sqrt(2 * (n*s.total/4 - s.squares/4) / r.FDF2)
	r.ConoverLSD = dist.TQuantileUpper(0.025, r.FDF2) * se
	var p []float64
	for a := range r.K {
		for b := a + 1; b < r.K; b++ {
			d := r.RankSums[b] - r.RankSums[a]
			pair := FriedmanPair{A: a, B: b, Diff: d, T: d / se}
			pair.P = dist.TTwoSided(pair.T, r.FDF2)
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.P)
		}
	}
	for i, adjusted := range stats.Holm(p) {
		r.Pairs[i].PHolm = adjusted
	}
}
