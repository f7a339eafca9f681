package verify

import (
	"cmp"
	"math"
	"slices"
)

// parsed reads cells as numbers, if all are.
func parsed(cells []string) (out []float64, ok bool) {
	out = make([]float64, len(cells))
	for i, cell := range cells {
		if out[i], ok = number(cell); !ok {
			return nil, false
		}
	}
	return out, true
}

// levels returns the distinct filled cells of a column in order: the names
// listed in first come first, the rest sorted (as numbers when all are).
func levels(cells []string, first []string) (out []string) {
	for _, name := range first {
		if slices.Contains(cells, name) && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	rest := slices.DeleteFunc(slices.Clone(cells), func(c string) bool { return c == "" || slices.Contains(out, c) })
	_, numeric := parsed(rest)
	slices.SortFunc(rest, func(a, b string) int {
		if numeric {
			x, _ := number(a)
			y, _ := number(b)
			return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
		}
		return cmp.Compare(a, b)
	})
	return append(out, slices.Compact(rest)...)
}

// codes maps cells to positions in levels.
func codes(cells, levels []string) []int {
	at := map[string]int{}
	for i, l := range levels {
		at[l] = i
	}
	out := make([]int, len(cells))
	for i, c := range cells {
		out[i] = at[c]
	}
	return out
}

// pivot averages the values of each cell of a table; empty cells are NaN.
func pivot(values []float64, row, column []int, rows, columns int) [][]float64 {
	sum, count := grid(rows, columns), grid(rows, columns)
	for i, v := range values {
		sum[row[i]][column[i]] += v
		count[row[i]][column[i]]++
	}
	for i := range sum {
		for j := range sum[i] {
			sum[i][j] /= count[i][j] // 0/0: no value, NaN
		}
	}
	return sum
}

func grid(rows, columns int) [][]float64 {
	g := make([][]float64, rows)
	for i := range g {
		g[i] = make([]float64, columns)
	}
	return g
}

// completeRows leaves out the rows with a missing cell.
func completeRows(m [][]float64) [][]float64 {
	return slices.DeleteFunc(slices.Clone(m), func(row []float64) bool {
		return slices.ContainsFunc(row, math.IsNaN)
	})
}
