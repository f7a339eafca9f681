package verify

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// fields are computed values by name: float64 (NaN is a marked absence), bool,
// string, []any, fields, rows.
type fields map[string]any

// rows are computed rows that are matched to the expected ones by the values
// of their key columns, not by their order.
type rows struct {
	keys []string
	list []fields
}

// Difference is a field that does not pass.
type Difference struct {
	Field    string
	Expected any // float64, bool, string or nil
	Computed any // nil when there is no computed value
	Problem  string
}

// comparison collects what was compared for an entry.
type comparison struct {
	compared int
	largest  float64 // largest |computed − expected|
	where    string
	failures []Difference
	absence  string // why values are absent, for the messages
}

func (c *comparison) fail(path string, expected, computed any, format string, args ...any) {
	c.failures = append(c.failures, Difference{path, plain(expected), plain(computed), fmt.Sprintf(format, args...)})
}

// wrong counts a value as compared that cannot be right.
func (c *comparison) wrong(path string, expected, computed any, format string, args ...any) {
	c.compared++
	c.fail(path, expected, computed, format, args...)
}

func (c *comparison) because() string {
	if c.absence == "" {
		return ""
	}
	return ": " + c.absence
}

// object compares every expected field of an object with the computed ones.
func (c *comparison) object(path string, expected *object, computed fields, known []string, t tolerance) {
	for _, key := range expected.keys {
		at := key
		if path != "" {
			at = path + "." + key
		}
		want := expected.values[key]
		got, has := computed[key]
		switch {
		case has:
			c.value(at, want, got, t.within(key))
		case !slices.Contains(known, key):
			c.wrong(at, want, nil, "this method has no such field")
		case want != nil:
			c.wrong(at, want, nil, "not computed%s", c.because())
		}
	}
}

// value compares one expected value of any shape. An expected null is not
// compared.
func (c *comparison) value(path string, want, got any, t tolerance) {
	switch want := want.(type) {
	case nil:
		return
	case *object:
		if sub, ok := got.(fields); ok {
			c.object(path, want, sub, nil, t)
			return
		}
	case []any:
		switch got := got.(type) {
		case rows:
			c.rows(path, want, got, t)
			return
		case []any:
			c.list(path, want, got, t)
			return
		}
	case bool:
		if got != want {
			c.wrong(path, want, got, "differs")
			return
		}
		c.compared++
		return
	case string, float64:
		c.scalar(path, want, got, t)
		return
	}
	c.wrong(path, want, got, "has another shape%s", c.because())
}

func (c *comparison) scalar(path string, want, got any, t tolerance) {
	c.compared++
	w, isNumber := number(want)
	g, ok := got.(float64)
	_, isText := got.(string)
	switch {
	case isText:
		if got != want {
			c.fail(path, want, got, "differs")
		}
	case !isNumber || !ok:
		c.fail(path, want, got, "has another shape")
	case math.IsNaN(g):
		c.fail(path, want, nil, "not computable%s", c.because())
	case math.IsInf(w, 0) || math.IsInf(g, 0):
		if w != g {
			c.fail(path, want, g, "differs")
		}
	default:
		d := math.Abs(g - w)
		if d > c.largest || c.where == "" {
			c.largest, c.where = d, path
		}
		if d > t.allows(w) {
			c.fail(path, w, g, "differs by %.3g, allowed %.3g", d, t.allows(w))
		}
	}
}

// list compares arrays element by element.
func (c *comparison) list(path string, want, got []any, t tolerance) {
	if len(got) != len(want) {
		c.wrong(path, want, got, "has %d values, not %d", len(got), len(want))
		return
	}
	for i := range want {
		c.value(path+"["+strconv.Itoa(i)+"]", want[i], got[i], t)
	}
}

func (c *comparison) rows(path string, want []any, got rows, t tolerance) {
	if len(want) != len(got.list) {
		c.wrong(path, nil, nil, "has %d rows, not %d", len(got.list), len(want))
	}
	for i, w := range want {
		at := path + "[" + strconv.Itoa(i) + "]"
		o, ok := w.(*object)
		if !ok {
			c.wrong(at, w, nil, "a row must be an object")
			continue
		}
		n := slices.IndexFunc(got.list, func(row fields) bool {
			return !slices.ContainsFunc(got.keys, func(k string) bool { return !sameKey(o.values[k], row[k]) })
		})
		if n < 0 {
			c.wrong(at, rowName(o, got.keys), nil, "no such row was computed")
			continue
		}
		c.object(at, o, got.list[n], nil, t)
	}
}

// sameKey compares the values of a key column; an expected null is the empty name.
func sameKey(want, got any) bool {
	if want == nil {
		want = ""
	}
	return want == got
}

func rowName(o *object, keys []string) string {
	name := ""
	for _, k := range keys {
		name += fmt.Sprintf("%s %v ", k, o.values[k])
	}
	return name
}

// plain makes a value fit for printing in one line: unbounded numbers as the
// reference files write them, what has parts as their number.
func plain(v any) any {
	switch v := v.(type) {
	case float64:
		switch {
		case math.IsNaN(v):
			return nil
		case math.IsInf(v, 1):
			return "Infinity"
		case math.IsInf(v, -1):
			return "-Infinity"
		}
	case *object:
		return fmt.Sprintf("object of %d fields", len(v.keys))
	case fields:
		return fmt.Sprintf("object of %d fields", len(v))
	case rows:
		return fmt.Sprintf("list of %d", len(v.list))
	case []any:
		return fmt.Sprintf("list of %d", len(v))
	}
	return v
}
