package verify

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
)

// badEntry is a mistake of the entry itself, such as a missing input. It never
// counts as a refusal of the method. Methods break off with it; [method.answer]
// catches it.
type badEntry struct{ error }

func bad(format string, args ...any) error { return badEntry{fmt.Errorf(format, args...)} }

// must breaks off when the entry has a mistake.
func must[T any](v T, err error) T {
	var mistake badEntry
	switch {
	case errors.As(err, &mistake):
		panic(mistake)
	case err != nil:
		panic(badEntry{err})
	}
	return v
}

// mistake breaks off with a mistake of the entry.
func mistake(format string, args ...any) { panic(bad(format, args...)) }

// call gives a method access to one entry's data and inputs by their names. It
// notes what was read, so that names which the method does not know are found.
type call struct {
	e      *entry
	folder string
	loaded *table
	read   map[string]bool // "data.x", "inputs.conf"
	known  fields          // values that hold even when the method refuses
	labels []any           // names of the samples compared, for the output
}

func newCall(e *entry, folder string) *call {
	return &call{e: e, folder: folder, read: map[string]bool{}, known: fields{}}
}

func (c *call) input(name string) any {
	c.read["inputs."+name] = true
	return c.e.Inputs.values[name]
}

func (c *call) datum(name string) (any, bool) {
	c.read["data."+name] = true
	v, has := c.e.Data.values[name]
	return v, has
}

// number returns a number among the inputs, or the fallback when it is absent;
// without a fallback it must be there.
func (c *call) number(name string, fallback ...float64) float64 {
	v := c.input(name)
	f, ok := number(v)
	switch {
	case v == nil && len(fallback) > 0:
		return fallback[0]
	case v == nil:
		mistake("input %q is missing", name)
	case !ok:
		mistake("input %q must be a number", name)
	}
	return f
}

// level is the confidence level asked for.
func (c *call) level() float64 { return c.number("conf", 0.95) }

func (c *call) whole(name string, fallback ...float64) int {
	return whole(c.number(name, fallback...), name)
}

func whole(f float64, name string) int {
	if f != math.Trunc(f) || math.Abs(f) > 1e9 {
		mistake("%q must be a whole number, not %g", name, f)
	}
	return int(f)
}

// exactSize is a sample size that an exact distribution can be counted for: its
// work grows with the cube of the size.
func (c *call) exactSize(name string) int {
	n := c.whole(name)
	if n < 0 || n > 1000 {
		mistake("%s = %d lies outside 0 to 1000", name, n)
	}
	return n
}

func (c *call) text(name, fallback string) string {
	v := c.input(name)
	s, ok := v.(string)
	switch {
	case v == nil:
		return fallback
	case !ok:
		mistake("input %q must be a text", name)
	}
	return s
}

// choose reads an input that is one of several words.
func choose[T any](c *call, name, fallback string, words map[string]T) T {
	word := c.text(name, fallback)
	v, ok := words[word]
	if !ok {
		mistake("unknown %s %q: it is one of %s", name, word, strings.Join(sortedKeys(words), ", "))
	}
	return v
}

func (c *call) alternative(fallback string) stats.Alternative {
	return choose(c, "alternative", fallback, map[string]stats.Alternative{"two.sided": stats.TwoSided,
		"greater": stats.Greater, "less": stats.Less})
}

// count returns a whole number of the data: inline, or a data file of one row.
func (c *call) count(name string) int {
	column := c.numbers(name)
	if len(column) != 1 {
		mistake("data %q must be one number, not %d", name, len(column))
	}
	return whole(column[0], name)
}

// numberList also takes a bare number as a list of one, as some writers give
// it. An answer of yes is 1.
func numberList(name string, v any) []float64 {
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	out := make([]float64, len(list))
	for i, item := range list {
		if yes, isAnswer := item.(bool); isAnswer {
			item = map[bool]float64{true: 1}[yes]
		}
		if out[i], ok = number(item); !ok {
			mistake("data %s[%d]: a number belongs here", name, i)
		}
	}
	return out
}

// rows are rows of numbers among the data.
func (c *call) rows(name string) [][]float64 {
	v, _ := c.datum(name)
	return rowsOf(name, v)
}

// rowsOf reads a list of rows.
func rowsOf(name string, v any) [][]float64 {
	list, ok := v.([]any)
	if !ok {
		mistake("data %q must be a list of rows", name)
	}
	out := make([][]float64, len(list))
	for i, item := range list {
		out[i] = numberList(fmt.Sprintf("%s[%d]", name, i), item)
	}
	return out
}

// table is the entry's data: inline lists, or the data file. It may hold more
// columns than the method reads.
func (c *call) table() *table {
	if c.loaded == nil && c.e.DataFile != "" {
		c.loaded = must(readCSV(c.folder, c.e.DataFile))
	} else if c.loaded == nil {
		c.loaded = must(inlineTable(c.e.Data))
		for _, name := range c.loaded.names {
			c.read["data."+name] = true
		}
	}
	return c.loaded
}

// column is the name of the column with a role: that of "columns", else the
// role itself.
func (c *call) column(role string) string {
	if name, ok := c.e.Columns.values[role].(string); ok {
		return name
	}
	return role
}

func (c *call) hasColumn(role string) bool {
	_, ok := c.table().cells[c.column(role)]
	return ok
}

// numbers returns the column of a role; missing cells are NaN.
func (c *call) numbers(role string) []float64 {
	if v, ok := c.datum(role); ok && c.e.DataFile == "" {
		return numberList(role, v)
	}
	return must(c.table().numbers(c.column(role)))
}

// names returns the column of a role as text.
func (c *call) names(role string) []string { return must(c.table().column(c.column(role))) }

// pairs returns the complete pairs of x and y; pairs with a missing side are
// left out. A single list d stands for differences against 0.
func (c *call) pairs(xRole, yRole string) (x, y []float64) {
	if _, only := c.e.Data.values["d"]; only && xRole == "x" {
		x = c.numbers("d")
		y = make([]float64, len(x))
	} else {
		x, y = c.numbers(xRole), c.numbers(yRole)
	}
	if len(x) == len(y) { // else the method says what is wrong
		missing := func(i int) bool { return math.IsNaN(x[i]) || math.IsNaN(y[i]) }
		x, y = without(x, missing), without(y, missing)
	}
	c.known["n"] = len(x)
	return x, y
}

// without leaves out the values at the positions that are missing.
func without(x []float64, missing func(int) bool) (kept []float64) {
	for i, v := range x {
		if !missing(i) {
			kept = append(kept, v)
		}
	}
	return kept
}

// twoSamples returns x and y without missing values: from two lists, or from
// one column of values with one of groups.
func (c *call) twoSamples() (x, y []float64) {
	if _, listed := c.datum("x"); !listed && !c.hasColumn("x") && c.hasColumn("group") {
		groups := c.groups(nil)
		if len(groups) != 2 {
			mistake("%d groups: two samples have two", len(groups))
		}
		x, y = groups[0], groups[1]
	} else {
		x, y = slices.DeleteFunc(c.numbers("x"), math.IsNaN), slices.DeleteFunc(c.numbers("y"), math.IsNaN)
	}
	c.known["n_x"], c.known["n_y"] = len(x), len(y)
	return x, y
}

// groups splits the column "value" by the column "group"; rows with a missing
// cell are left out. first gives the order of known groups.
func (c *call) groups(first []string) [][]float64 {
	y, code, names := c.coded(map[string][]string{"group": first}, "group")
	out, counts := make([][]float64, len(names[0])), fields{}
	for i, v := range y {
		out[code[0][i]] = append(out[code[0][i]], v)
	}
	for i, name := range names[0] {
		counts[name] = len(out[i])
	}
	c.labels = labels(names[0])
	c.known["n"], c.known["k"], c.known["counts"] = len(y), len(out), counts
	return out
}

func labels(names []string) []any {
	out := make([]any, len(names))
	for i, name := range names {
		out[i] = name
	}
	return out
}

// coded returns the column "value" with the 0-based codes and levels of other
// columns, rows with a missing cell left out. first gives the order of known
// levels; a level of missing values only is no level.
func (c *call) coded(first map[string][]string, roles ...string) (y []float64, code [][]int, names [][]string) {
	values := c.numbers("value")
	raw := make([][]int, len(roles))
	code, names = make([][]int, len(roles)), make([][]string, len(roles))
	for r, role := range roles {
		cells := slices.Clone(c.names(role))
		if len(cells) != len(values) {
			mistake("%d values and %d of %s", len(values), len(cells), role)
		}
		for i := range cells {
			if math.IsNaN(values[i]) {
				cells[i] = ""
			}
		}
		names[r] = levels(cells, first[role])
		raw[r] = codes(cells, names[r])
	}
	for i, v := range values {
		if math.IsNaN(v) || slices.ContainsFunc(raw, func(codes []int) bool { return codes[i] < 0 }) {
			continue
		}
		y = append(y, v)
		for r := range roles {
			code[r] = append(code[r], raw[r][i])
		}
	}
	return y, code, names
}

// matrix returns the table of rows (assessors) by columns (samples): inline
// rows, or three columns assessor, sample, value of which repeated cells are
// averaged, or columns as samples. Missing cells are NaN; first gives the order
// of known samples.
func (c *call) matrix(first []string) (m [][]float64) {
	var names []string
	if v, ok := c.datum("values"); ok {
		m = rowsOf("values", v)
		given, _ := c.datum("samples")
		names = must(textList("data samples", given))
		for j := 0; given == nil && slices.ContainsFunc(m, func(row []float64) bool { return j < len(row) }); j++ {
			names = append(names, fmt.Sprintf("s%d", j+1))
		}
	} else if c.hasColumn("value") && c.hasColumn("assessor") && c.hasColumn("sample") {
		assessors, samples := c.names("assessor"), c.names("sample")
		who := levels(assessors, nil)
		names = levels(samples, first)
		m = pivot(c.numbers("value"), codes(assessors, who), codes(samples, names), len(who), len(names))
	} else {
		m, names = c.wide(nil)
	}
	c.labels = labels(names)
	c.known["n"] = len(completeRows(m))
	if len(m) > 0 {
		c.known["k"] = len(m[0])
	}
	return m
}

// wide takes columns as the samples: those named, else every numeric column
// that has no other role.
func (c *call) wide(names []string) ([][]float64, []string) {
	t := c.table()
	if len(names) == 0 {
		roles := slices.Collect(maps.Values(c.e.Columns.values))
		for _, name := range t.names {
			if t.isNumeric(name) && !slices.Contains(roles, any(name)) {
				names = append(names, name)
			}
		}
	}
	if len(names) == 0 {
		mistake("no data: give rows in \"values\", or columns")
	}
	m := grid(t.rows, len(names))
	for j, name := range names {
		for i, v := range must(t.numbers(name)) {
			m[i][j] = v
		}
	}
	return m, names
}

// expectedKeys are the keys of an expected object or the texts of an expected
// list: the order in which the file names its groups.
func (c *call) expectedKeys(field string) []string {
	if o, ok := c.e.Expected.values[field].(*object); ok {
		return o.keys
	}
	list, _ := textList(field, c.e.Expected.values[field])
	return list
}

// expectedRows are the objects of an expected list.
func (c *call) expectedRows(field string) (out []*object) {
	list, _ := c.e.Expected.values[field].([]any)
	for _, item := range list {
		if o, ok := item.(*object); ok {
			out = append(out, o)
		}
	}
	return out
}

// contrastLabels names a contrast of two levels as the expected pairs do: in
// the first of the forms of [contrastForms] that the file uses.
func (c *call) contrastLabels(factors ...string) func(b, a string) string {
	return func(b, a string) string {
		forms := contrastForms(b, a, factors...)
		for _, o := range c.expectedRows("pairs") {
			if s, ok := o.values["contrast"].(string); ok && slices.Contains(forms, s) {
				return s
			}
		}
		return forms[0]
	}
}

// contrastForms are the ways to write a contrast of two levels: "B - A", with
// the factor's name before levels that are numbers, and with brackets around
// levels that hold a sign of arithmetic.
func contrastForms(b, a string, factors ...string) []string {
	bracketed := func(s string) string {
		if strings.ContainsAny(s, "+-*/") {
			return "(" + s + ")"
		}
		return s
	}
	var out []string
	for _, f := range append([]string{""}, factors...) {
		out = append(out, f+b+" - "+f+a, bracketed(f+b)+" - "+bracketed(f+a))
	}
	return out
}
