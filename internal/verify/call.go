package verify

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
)

// answer is what a method computed for an entry.
type answer struct {
	fields   fields
	warnings []stats.Warning
	err      error // the method's refusal
}

// badEntry is a mistake of the entry itself, such as a missing input. It never
// counts as a refusal of the method.
type badEntry struct{ error }

func bad(format string, args ...any) error { return badEntry{fmt.Errorf(format, args...)} }

// call gives a method access to one entry's data and inputs.
type call struct {
	e      *entry
	folder string
	loaded *table
}

// input returns a number among the inputs, or the fallback when it is absent.
func (c *call) input(name string, fallback float64) (float64, error) {
	v, has := c.e.inputs.get(name)
	if !has || v == nil {
		if math.IsNaN(fallback) {
			return 0, bad("input %q is missing", name)
		}
		return fallback, nil
	}
	f, ok := number(v)
	if !ok {
		return 0, bad("input %q must be a number", name)
	}
	return f, nil
}

// required is the fallback of inputs that have none.
var required = math.NaN()

// level is the confidence level asked for.
func (c *call) level() (float64, error) { return c.input("conf", 0.95) }

func (c *call) text(name, fallback string) (string, error) {
	v, has := c.e.inputs.get(name)
	if !has || v == nil {
		return fallback, nil
	}
	s, ok := v.(string)
	if !ok {
		return "", bad("input %q must be a text", name)
	}
	return s, nil
}

func (c *call) alternative() (stats.Alternative, error) {
	name, err := c.text("alternative", "two.sided")
	if err != nil {
		return 0, err
	}
	return alternative(name)
}

func alternative(name string) (stats.Alternative, error) {
	switch name {
	case "two.sided", "two_sided", "two-sided":
		return stats.TwoSided, nil
	case "greater":
		return stats.Greater, nil
	case "less":
		return stats.Less, nil
	}
	return 0, bad("unknown alternative %q: two.sided, greater or less", name)
}

// datum returns a single number of the inline data.
func (c *call) datum(name string) (float64, error) {
	v, has := c.e.data.get(name)
	if !has {
		return c.fileDatum(name)
	}
	f, ok := number(v)
	if list, isList := v.([]any); isList && len(list) == 1 {
		f, ok = number(list[0])
	}
	if !ok {
		return 0, bad("data %q must be a number", name)
	}
	return f, nil
}

// fileDatum takes the number from a data file of a single row.
func (c *call) fileDatum(name string) (float64, error) {
	column, err := c.numbers(name)
	if err != nil {
		return 0, err
	}
	if len(column) != 1 {
		return 0, bad("data %q must be one number, not %d", name, len(column))
	}
	return column[0], nil
}

// count returns a whole number of the data.
func (c *call) count(name string) (int, error) {
	f, err := c.datum(name)
	if err != nil {
		return 0, err
	}
	return whole(f, name)
}

func whole(f float64, name string) (int, error) {
	if f != math.Trunc(f) || math.Abs(f) > 1e9 {
		return 0, bad("%q must be a whole number, not %g", name, f)
	}
	return int(f), nil
}

// table is the entry's data: inline lists, or the data file.
func (c *call) table() (*table, error) {
	if c.loaded != nil {
		return c.loaded, nil
	}
	var err error
	switch {
	case c.e.dataFile != "":
		c.loaded, err = readCSV(c.folder, c.e.dataFile)
	default:
		c.loaded, err = inlineTable(c.e.data)
	}
	if err != nil {
		return nil, badEntry{err}
	}
	return c.loaded, nil
}

// column is the name of the column with a role: that of "columns", else the
// role itself.
func (c *call) column(role string) string {
	if name, ok := c.e.columns.values[role].(string); ok {
		return name
	}
	return role
}

// hasColumn reports whether the data have a column for a role.
func (c *call) hasColumn(role string) bool {
	t, err := c.table()
	if err != nil {
		return false
	}
	_, ok := t.cells[c.column(role)]
	return ok
}

// numbers returns the column of a role; missing cells are NaN.
func (c *call) numbers(role string) ([]float64, error) {
	if v, ok := c.e.data.get(role); ok && c.e.dataFile == "" {
		return numberList(role, v)
	}
	t, err := c.table()
	if err != nil {
		return nil, err
	}
	x, err := t.numbers(c.column(role))
	if err != nil {
		return nil, badEntry{err}
	}
	return x, nil
}

// numberList also takes a bare number as a list of one, as some writers give
// it.
func numberList(name string, v any) ([]float64, error) {
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	out := make([]float64, len(list))
	for i, item := range list {
		f, ok := number(item)
		if yes, isBool := item.(bool); isBool { // an answer, 1 for yes
			if ok = true; yes {
				f = 1
			}
		}
		if !ok {
			return nil, bad("data %s[%d]: a number belongs here", name, i)
		}
		out[i] = f
	}
	return out, nil
}

// names returns the column of a role as text.
func (c *call) names(role string) ([]string, error) {
	t, err := c.table()
	if err != nil {
		return nil, err
	}
	cells, ok := t.cells[c.column(role)]
	if !ok {
		return nil, bad("no column %q for %s: there are %s", c.column(role), role, strings.Join(t.names, ", "))
	}
	return cells, nil
}

// pairs returns the complete pairs of x and y; pairs with a missing side are
// left out. A single list d stands for differences against 0.
func (c *call) pairs(xRole, yRole string) (x, y []float64, err error) {
	if _, only := c.e.data.get("d"); only && xRole == "x" {
		d, err := c.numbers("d")
		if err != nil {
			return nil, nil, err
		}
		x, y = complete(d, make([]float64, len(d)))
		return x, y, nil
	}
	x, errX := c.numbers(xRole)
	y, errY := c.numbers(yRole)
	if err := errors.Join(errX, errY); err != nil {
		return nil, nil, err
	}
	if len(x) != len(y) {
		return x, y, nil // the method says what is wrong
	}
	x, y = complete(x, y)
	return x, y, nil
}

func complete(x, y []float64) (cx, cy []float64) {
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			cx, cy = append(cx, x[i]), append(cy, y[i])
		}
	}
	return cx, cy
}

// twoSamples returns x and y without missing values: from two lists, or from
// one column of values with one of groups.
func (c *call) twoSamples() (x, y []float64, err error) {
	if !c.hasColumnOrList("x") && c.hasColumn("group") {
		return c.splitGroups()
	}
	x, errX := c.numbers("x")
	y, errY := c.numbers("y")
	return filled(x), filled(y), errors.Join(errX, errY)
}

func (c *call) hasColumnOrList(role string) bool {
	_, ok := c.e.data.get(role)
	return ok || c.e.dataFile != "" && c.hasColumn(role)
}

func (c *call) splitGroups() (x, y []float64, err error) {
	groups, order, err := c.groups(nil)
	if err != nil {
		return nil, nil, err
	}
	if len(order) != 2 {
		return nil, nil, bad("%d groups: two samples have two", len(order))
	}
	return groups[0], groups[1], nil
}

func filled(x []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(x), math.IsNaN)
}

// groups splits the column "value" by the column "group"; rows with a missing
// cell are left out. first gives the order of known groups.
func (c *call) groups(first []string) ([][]float64, []string, error) {
	values, err := c.numbers("value")
	if err != nil {
		return nil, nil, err
	}
	names, err := c.names("group")
	if err != nil {
		return nil, nil, err
	}
	if len(names) != len(values) {
		return nil, nil, bad("%d values and %d groups", len(values), len(names))
	}
	order := levels(names, first)
	out := make([][]float64, len(order))
	for i, code := range codes(names, order) {
		if code >= 0 && !math.IsNaN(values[i]) {
			out[code] = append(out[code], values[i])
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		if len(out[i]) == 0 { // a group of missing values only
			out, order = slices.Delete(out, i, i+1), slices.Delete(order, i, i+1)
		}
	}
	return out, order, nil
}

// expectedKeys are the keys of an expected object or the texts of an expected
// list: the order in which the file names its groups.
func (c *call) expectedKeys(field string) []string {
	switch v := c.e.expected.values[field].(type) {
	case *object:
		return v.keys
	case []any:
		var out []string
		for _, item := range v {
			if s, ok := item.(string); ok {
				out = append(out, s)
			}
		}
		return out
	}
	return nil
}
