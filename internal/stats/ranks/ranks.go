package ranks

import (
	"cmp"
	"slices"

	"cloche/internal/stats"
)

// Doubled returns twice the mid-ranks of v (whole numbers, also under
// ties) in the order of v, and the sizes of the groups of equal values in
// rising order.
func Doubled(v []float64) (ranks, groups []int) {
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

// DoubledRows ranks the samples within each row; the ranks are doubled, so
// that mid-ranks are whole numbers. Values that differ by rounding error tie.
func DoubledRows(rows [][]float64) [][]int {
	grid := stats.Resolution(rows...)
	ranks := make([][]int, len(rows))
	for i, row := range rows {
		gridded := make([]float64, len(row))
		for j, v := range row {
			gridded[j] = stats.OnGrid(v, grid)
		}
		ranks[i], _ = Doubled(gridded)
	}
	return ranks
}
