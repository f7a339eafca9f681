package verify

import (
	"fmt"
	"math"
	"slices"
)

// matrix returns the table of rows (assessors) by columns (samples) with the
// columns' names: inline rows, or three columns assessor, sample, value of
// which repeated cells are averaged. Missing cells are NaN. first gives the
// order of known samples.
func (c *call) matrix(first []string) ([][]float64, []string, error) {
	if v, ok := c.e.data.get("values"); ok {
		m, err := rowsOf("values", v)
		if err != nil {
			return nil, nil, err
		}
		names, err := c.sampleNames(m)
		return m, names, err
	}
	if c.hasColumn("value") && c.hasColumn("assessor") && c.hasColumn("sample") {
		return c.pivot(first)
	}
	return c.wide(c.columnList("values"))
}

// rowsOf reads a list of rows. A row may be a bare number or an object, as
// some writers give rows of one column and tables with names.
func rowsOf(name string, v any) ([][]float64, error) {
	list, ok := v.([]any)
	if !ok {
		return nil, bad("data %q must be a list of rows", name)
	}
	out := make([][]float64, len(list))
	for i, item := range list {
		if o, ok := item.(*object); ok {
			row := make([]any, len(o.keys))
			for j, key := range o.keys {
				row[j] = o.values[key]
			}
			item = row
		}
		row, err := numberList(fmt.Sprintf("%s[%d]", name, i), item)
		if err != nil {
			return nil, err
		}
		out[i] = row
	}
	return out, nil
}

// sampleNames are the names listed in the data, else s1, s2, …
func (c *call) sampleNames(m [][]float64) ([]string, error) {
	v, ok := c.e.data.get("samples")
	if !ok || v == nil {
		k := 0
		for _, row := range m {
			k = max(k, len(row))
		}
		names := make([]string, k)
		for j := range names {
			names[j] = fmt.Sprintf("s%d", j+1)
		}
		return names, nil
	}
	list, ok := v.([]any)
	if !ok {
		return nil, bad("data \"samples\" must be a list of names")
	}
	names := make([]string, len(list))
	for j, item := range list {
		if names[j], ok = cellText(item); !ok {
			return nil, bad("data samples[%d]: a name belongs here", j)
		}
	}
	return names, nil
}

func (c *call) pivot(first []string) ([][]float64, []string, error) {
	values, err := c.numbers("value")
	if err != nil {
		return nil, nil, err
	}
	assessors, err := c.names("assessor")
	if err != nil {
		return nil, nil, err
	}
	samples, err := c.names("sample")
	if err != nil {
		return nil, nil, err
	}
	who, what := levels(assessors, nil), levels(samples, first)
	return pivotTable(values, codes(assessors, who), codes(samples, what), len(who), len(what)), what, nil
}

// pivotTable averages the values of each cell; empty cells are NaN.
func pivotTable(values []float64, row, column []int, rows, columns int) [][]float64 {
	sum, count := grid(rows, columns), grid(rows, columns)
	for i, v := range values {
		if !math.IsNaN(v) && row[i] >= 0 && column[i] >= 0 {
			sum[row[i]][column[i]] += v
			count[row[i]][column[i]]++
		}
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

// columnList is a list of column names given for a role.
func (c *call) columnList(role string) []string {
	list, _ := c.e.columns.values[role].([]any)
	var out []string
	for _, item := range list {
		if s, ok := item.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

// wide takes columns as the samples: those named, else every numeric column
// that has no other role.
func (c *call) wide(names []string) ([][]float64, []string, error) {
	t, err := c.table()
	if err != nil {
		return nil, nil, err
	}
	if len(names) == 0 {
		for _, name := range t.names {
			if t.isNumeric(name) && !c.hasRole(name) {
				names = append(names, name)
			}
		}
	}
	if len(names) == 0 {
		return nil, nil, bad("no data: give rows in \"values\", or columns")
	}
	m := grid(t.rows, len(names))
	for j, name := range names {
		column, err := t.numbers(name)
		if err != nil {
			return nil, nil, badEntry{err}
		}
		for i, v := range column {
			m[i][j] = v
		}
	}
	return m, names, nil
}

// hasRole reports whether "columns" gives the column a role (a name, an
// assessor), so that it is no sample.
func (c *call) hasRole(column string) bool {
	for _, v := range c.e.columns.values {
		if v == column {
			return true
		}
	}
	return false
}

// completeRows leaves out the rows with a missing cell.
func completeRows(m [][]float64) [][]float64 {
	return slices.DeleteFunc(slices.Clone(m), func(row []float64) bool {
		return slices.ContainsFunc(row, math.IsNaN)
	})
}
