package verify

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
)

// badEntry is a mistake of the entry itself, such as a missing input. It never
// counts as a refusal of the method. Methods break off with it; [method.answer]
// catches it.
type badEntry struct{ error }

// mistake breaks off with a mistake of the entry.
func mistake(format string, args ...any) { panic(badEntry{fmt.Errorf(format, args...)}) }

// must breaks off when the entry has a mistake.
func must[T any](v T, err error) T {
	if err != nil {
		panic(badEntry{err})
	}
	return v
}

// call gives a method access to one entry's data and inputs by their names. It
// notes what was read, so that names which the method does not know are found.
type call struct {
	e      *entry
	folder string
	file   object          // the columns of the data file, once read
	read   map[string]bool // names of data and inputs
	known  fields          // values that hold even when the method refuses
	labels []any           // names of the samples compared, for the output
}

func newCall(e *entry, folder string) *call {
	return &call{e: e, folder: folder, read: map[string]bool{}, known: fields{}}
}

// value is what the entry gives under a name, nil for nothing: an input, or a list
// of the data, which may stand in the column that "columns" names for this role.
func (c *call) value(name string) any {
	name = cmp.Or(c.e.Columns[name], name)
	c.read[name] = true
	if v, ok := c.e.Inputs[name]; ok {
		return v
	}
	return c.data()[name]
}

// data are lists by the names of columns: inline, or those of the data file.
func (c *call) data() object {
	if c.e.DataFile == "" {
		return c.e.Data
	}
	if c.file == nil {
		c.file = must(readCSV(c.folder, c.e.DataFile))
	}
	return c.file
}

// number returns a number, or the fallback when it is absent; without a fallback it
// must be there.
func (c *call) number(name string, fallback ...float64) float64 {
	v := c.value(name)
	f, ok := number(v)
	switch {
	case v == nil && len(fallback) > 0:
		return fallback[0]
	case v == nil:
		mistake("%q is missing", name)
	case !ok:
		mistake("%q must be a number", name)
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
	v := c.value(name)
	s, ok := v.(string)
	switch {
	case v == nil:
		return fallback
	case !ok:
		mistake("%q must be a text", name)
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

// list is a list of the data. A bare value is a list of one, as some writers
// give it.
func (c *call) list(role string) []any {
	v := c.value(role)
	if v == nil {
		mistake("no column %q: there are %s", cmp.Or(c.e.Columns[role], role), strings.Join(sortedKeys(c.data()), ", "))
	}
	return listed(v)
}

func listed(v any) []any {
	if list, ok := v.([]any); ok {
		return list
	}
	return []any{v}
}

// numbers is a list of numbers of the data; missing ones are NaN.
func (c *call) numbers(role string) []float64 { return numberList(role, c.list(role)) }

// names is a list of texts of the data; "" is missing.
func (c *call) names(role string) []string { return texts(role, c.list(role)) }

// rows are rows of numbers among the data.
func (c *call) rows(role string) [][]float64 { return rowsOf(role, c.list(role)) }

func numberList(name string, v any) []float64 {
	list := listed(v)
	out := make([]float64, len(list))
	for i, item := range list {
		var ok bool
		if out[i], ok = number(item); !ok {
			mistake("%s, row %d: %q is not a number", name, i+1, fmt.Sprint(item))
		}
	}
	return out
}

func rowsOf(name string, v any) [][]float64 {
	list := listed(v)
	out := make([][]float64, len(list))
	for i, row := range list {
		out[i] = numberList(fmt.Sprintf("%s[%d]", name, i), row)
	}
	return out
}

// texts reads a list of cells.
func texts(name string, v any) []string {
	list := listed(v)
	out := make([]string, len(list))
	for i, item := range list {
		switch item.(type) {
		case nil:
		case string, float64, bool:
			out[i] = fmt.Sprint(item)
		default:
			mistake("%s[%d]: a number, a text or null belongs here", name, i)
		}
	}
	return out
}

// pairs returns the complete pairs of x and y; pairs with a missing side are
// left out. A single list d stands for differences against 0.
func (c *call) pairs(xRole, yRole string) (x, y []float64) {
	if xRole == "x" && c.value("d") != nil {
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
	if c.value("x") == nil && c.value("group") != nil {
		groups := c.groups()
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
// cell are left out.
func (c *call) groups() [][]float64 {
	y, code, names := c.coded("group")
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

// filled returns columns as texts, rows with a missing cell left out.
func (c *call) filled(roles ...string) [][]string {
	columns := make([][]string, len(roles))
	for r, role := range roles {
		if columns[r] = c.names(role); len(columns[r]) != len(columns[0]) {
			mistake("%d of %s and %d of %s", len(columns[0]), roles[0], len(columns[r]), role)
		}
	}
	out := make([][]string, len(roles))
	for i := range columns[0] {
		if slices.ContainsFunc(columns, func(column []string) bool { return column[i] == "" }) {
			continue
		}
		for r := range roles {
			out[r] = append(out[r], columns[r][i])
		}
	}
	return out
}

// coded returns the column "value" with the 0-based codes and levels of other
// columns, rows with a missing cell left out; a level of missing values only is
// no level.
func (c *call) coded(roles ...string) (y []float64, code [][]int, names [][]string) {
	columns := c.filled(append([]string{"value"}, roles...)...)
	for _, cells := range columns[1:] {
		order := levels(cells, nil)
		names, code = append(names, order), append(code, codes(cells, order))
	}
	y, ok := parsed(columns[0])
	if !ok {
		mistake("the values must be numbers")
	}
	return y, code, names
}

// matrix returns the table of rows (assessors) by columns (samples): inline
// rows, or three columns assessor, sample, value of which repeated cells are
// averaged. Missing cells are NaN.
func (c *call) matrix() (m [][]float64) {
	var names []string
	if c.value("values") == nil {
		y, code, levels := c.coded("assessor", "sample")
		names = levels[1]
		m = pivot(y, code[0], code[1], len(levels[0]), len(names))
	} else if m = c.rows("values"); c.value("samples") != nil {
		names = c.names("samples")
	} else {
		for j := range slices.MaxFunc(append(m, nil), func(a, b []float64) int { return len(a) - len(b) }) {
			names = append(names, fmt.Sprintf("s%d", j+1))
		}
	}
	c.labels = labels(names)
	c.known["n"] = len(completeRows(m))
	if len(m) > 0 {
		c.known["k"] = len(m[0])
	}
	return m
}
