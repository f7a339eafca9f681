package model

import (
	"math"
	"slices"
	"strings"
)

const InterceptName = "(Intercept)"

// DesignColumn is one column of a model matrix.
type DesignColumn struct {
	Name   string
	Term   int // index of the term; −1 for the intercept
	Values []float64
}

// DesignColumns returns the columns of a model with an intercept (or without)
// and the terms, at the observations listed in rows. Factors are coded by
// treatment contrasts: one column for each level but the first, the reference.
// A factor in a term is coded so when the term without it is in the model too, else by all
// its levels, so that the columns span what the terms say (Chambers & Hastie
// 1992, Statistical Models in S, section 2.4).
func DesignColumns(d Data, terms []Term, intercept bool, rows []int) []DesignColumn {
	var columns []DesignColumn
	if intercept {
		columns = append(columns, DesignColumn{InterceptName, -1, Ones(len(rows))})
	}
	for t, term := range terms {
		product := []DesignColumn{{"", t, Ones(len(rows))}}
		for i, name := range term {
			product = MultiplyColumns(product, VariableColumns(d, name, contrasted(terms, intercept, term, i), rows))
		}
		columns = append(columns, product...)
	}
	return columns
}

func Ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

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
func (t Term) Contains(u Term) bool {
	return !slices.ContainsFunc(u, func(name string) bool { return !slices.Contains(t, name) })
}

// String is the term as its variables joined by colons.
func (t Term) String() string { return strings.Join(t, ":") }

// VariableColumns returns the columns of one variable: a covariate itself, a
// factor by all its levels or by all but the first.
func VariableColumns(d Data, name string, contrast bool, rows []int) []DesignColumn {
	if v, ok := d.Covariate(name); ok {
		column := DesignColumn{Name: name, Values: make([]float64, len(rows))}
		for i, row := range rows {
			column.Values[i] = v.Values[row]
		}
		return []DesignColumn{column}
	}
	f, _ := d.Factor(name)
	first := 0
	if contrast {
		first = 1
	}
	var columns []DesignColumn
	for level := first; level < len(f.Levels); level++ {
		column := DesignColumn{Name: name + f.Levels[level], Values: make([]float64, len(rows))}
		for i, row := range rows {
			if f.Code[row] == level {
				column.Values[i] = 1
			}
		}
		columns = append(columns, column)
	}
	return columns
}

// MultiplyColumns returns all products, the columns of a varying fastest.
func MultiplyColumns(a, b []DesignColumn) []DesignColumn {
	var out []DesignColumn
	for _, y := range b {
		for _, x := range a {
			product := DesignColumn{Name: y.Name, Term: x.Term, Values: make([]float64, len(x.Values))}
			if x.Name != "" {
				product.Name = x.Name + ":" + y.Name
			}
			for i, v := range x.Values {
				product.Values[i] = v * y.Values[i]
			}
			out = append(out, product)
		}
	}
	return out
}

// WeightedColumns returns the columns with each class counted as often as it occurs.
func WeightedColumns(columns []DesignColumn, weights []float64) [][]float64 {
	out := make([][]float64, len(columns))
	for c, column := range columns {
		out[c] = make([]float64, len(column.Values))
		for i, v := range column.Values {
			out[c][i] = v * math.Sqrt(weights[i])
		}
	}
	return out
}
