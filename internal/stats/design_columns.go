package stats

import (
	"math"
	"slices"
	"strings"
)

const interceptName = "(Intercept)"

// designColumn is one column of a model matrix.
type designColumn struct {
	name   string
	term   int // index of the term; −1 for the intercept
	values []float64
}

// designColumns returns the columns of a model with an intercept (or without)
// and the terms, at the observations listed in rows. Factors are coded by
// treatment contrasts: one column for each level but the first, the reference.
// A factor in a term is coded so when the term without it is in the model too, else by all
// its levels, so that the columns span what the terms say (Chambers & Hastie
// 1992, Statistical Models in S, section 2.4).
func designColumns(d ModelData, terms []Term, intercept bool, rows []int) []designColumn {
	var columns []designColumn
	if intercept {
		columns = append(columns, designColumn{interceptName, -1, ones(len(rows))})
	}
	for t, term := range terms {
		product := []designColumn{{"", t, ones(len(rows))}}
		for i, name := range term {
			product = multiplyColumns(product, variableColumns(d, name, contrasted(terms, intercept, term, i), rows))
		}
		columns = append(columns, product...)
	}
	return columns
}

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// contrasted reports whether the term without its i-th variable is present.
func contrasted(terms []Term, intercept bool, term Term, i int) bool {
	rest := slices.Delete(slices.Clone(term), i, i+1)
	if len(rest) == 0 {
		return intercept
	}
	return slices.ContainsFunc(terms, func(t Term) bool { return t.same(rest) })
}

// same reports whether two terms have the same variables in any order.
func (t Term) same(u Term) bool {
	return slices.Equal(slices.Sorted(slices.Values(t)), slices.Sorted(slices.Values(u)))
}

// contains reports whether every variable of u is in t.
func (t Term) contains(u Term) bool {
	return !slices.ContainsFunc(u, func(name string) bool { return !slices.Contains(t, name) })
}

// String is the term as its variables joined by colons.
func (t Term) String() string { return strings.Join(t, ":") }

// variableColumns returns the columns of one variable: a covariate itself, a
// factor by all its levels or by all but the first.
func variableColumns(d ModelData, name string, contrast bool, rows []int) []designColumn {
	if v, ok := d.covariate(name); ok {
		column := designColumn{name: name, values: make([]float64, len(rows))}
		for i, row := range rows {
			column.values[i] = v.Values[row]
		}
		return []designColumn{column}
	}
	f, _ := d.factor(name)
	first := 0
	if contrast {
		first = 1
	}
	var columns []designColumn
	for level := first; level < len(f.Levels); level++ {
		column := designColumn{name: name + f.Levels[level], values: make([]float64, len(rows))}
		for i, row := range rows {
			if f.Code[row] == level {
				column.values[i] = 1
			}
		}
		columns = append(columns, column)
	}
	return columns
}

// multiplyColumns returns all products, the columns of a varying fastest.
func multiplyColumns(a, b []designColumn) []designColumn {
	var out []designColumn
	for _, y := range b {
		for _, x := range a {
			product := designColumn{name: y.name, term: x.term, values: make([]float64, len(x.values))}
			if x.name != "" {
				product.name = x.name + ":" + y.name
			}
			for i, v := range x.values {
				product.values[i] = v * y.values[i]
			}
			out = append(out, product)
		}
	}
	return out
}

// weightedColumns returns the columns with each class counted as often as it occurs.
func weightedColumns(columns []designColumn, weights []float64) [][]float64 {
	out := make([][]float64, len(columns))
	for c, column := range columns {
		out[c] = make([]float64, len(column.values))
		for i, v := range column.values {
			out[c][i] = v * math.Sqrt(weights[i])
		}
	}
	return out
}
