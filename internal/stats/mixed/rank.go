package mixed

import (
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// saturatedWork bounds the multiplications spent on finding whether the random
// terms together explain every rating; beyond it the criterion itself tells.
const saturatedWork = 1e8

// saturated reports whether the columns of all random terms together have as
// many dimensions as there are ratings. Blocks of ratings are looked at one by
// one.
func (m *mixedDesign) saturated(kind []int) bool {
	columns := 0
	for _, r := range m.terms {
		columns += r.levels * r.size
	}
	if columns < m.n {
		return false
	}
	component, sizes := components(m.n, m.terms)
	work, rank := 0.0, 0
	for b, rows := range model.GroupRows(component) {
		if work += float64(len(rows)) * float64(sizes[b]) * float64(sizes[b]); work > saturatedWork {
			return false
		}
		rank += len(numeric.Orthonormalise(m.randomBlock(rows, kind)).Kept)
	}
	return rank >= m.n
}

// randomBlock returns the columns of all random terms at some observations.
func (m *mixedDesign) randomBlock(rows, kind []int) [][]float64 {
	var columns [][]float64
	for _, r := range m.terms {
		at := map[int]int{} // first column of each level
		for i, row := range rows {
			first, met := at[r.code[row]]
			if !met {
				first = len(columns)
				at[r.code[row]] = first
				for range r.size {
					columns = append(columns, make([]float64, len(rows)))
				}
			}
			for c, v := range r.columns.Row(kind[row]) {
				columns[first+c][i] = v
			}
		}
	}
	return columns
}
