package ranks

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// FriedmanCritical returns the least chi-squared of Friedman's test with which k samples
// ranked without ties by n assessors differ at a level: from the exact distribution where
// [Friedman] gives an exact p, and from chi-squared elsewhere. +Inf where no ranks, however
// much they agree, reach the level.
func FriedmanCritical(n, k int, alpha float64) (chiSq float64, exact bool) {
	if n > exactFriedmanAssessors(k) {
		return distuv.ChiSquared{K: float64(k - 1)}.Quantile(1 - alpha), false
	}
	type outcome struct {
		squares int
		p       float64
	}
	var all []outcome
	sums := make([]int, k)
	for _, s := range untiedSums(n, k) {
		s.sums.unpack(sums)
		squares := 0
		for _, v := range sums {
			squares += v * v
		}
		all = append(all, outcome{squares, s.p})
	}
	slices.SortFunc(all, func(a, b outcome) int { return cmp.Compare(b.squares, a.squares) })
	chiSq = math.Inf(1)
	tail := 0.0
	for i, o := range all {
		tail += o.p
		if i+1 < len(all) && all[i+1].squares == o.squares {
			continue
		}
		if tail > alpha*(1+1e-12) {
			break
		}
		chiSq = FriedmanChiSquared(float64(o.squares)/4, n, k)
	}
	return chiSq, true
}

// FriedmanChiSquared turns the sum of squared rank sums of n assessors, none of whom ties
// two of the k samples, into Friedman's chi-squared (Friedman 1937, eq. 5).
func FriedmanChiSquared(squares float64, n, k int) float64 {
	return 12*squares/float64(n*k*(k+1)) - 3*float64(n*(k+1))
}
