package stats

import (
	"cmp"
	"slices"
)

// doubledRanks returns twice the mid-ranks of v (whole numbers, also under
// ties) in the order of v, and the sizes of the groups of equal values in
// rising order.
func doubledRanks(v []float64) (ranks, groups []int) {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	ranks = make([]int, len(v))
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && v[order[to]] == v[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			ranks[i] = from + 1 + to // twice the mean of ranks from+1 … to
		}
		groups = append(groups, to-from)
		from = to
	}
	return ranks, groups
}
