package verify

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// fields are computed values by name: float64 (NaN is a marked absence), int,
// bool, string, []float64, []any, fields, rows.
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

func (c *comparison) fail(path string, expected, computed any, problem string) {
	c.failures = append(c.failures, Difference{path, expected, computed, problem})
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
		case !has && slices.Contains(known, key) && want == nil:
		case !has && slices.Contains(known, key):
			c.compared++
			c.fail(at, plain(want), nil, "not computed"+c.because())
		case !has:
			c.compared++
			c.fail(at, plain(want), nil, "this method has no such field")
		default:
			c.value(at, want, got, t.within(key))
		}
	}
}

func (c *comparison) because() string {
	if c.absence == "" {
		return ""
	}
	return ": " + c.absence
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
		c.list(path, want, got, t)
		return
	case bool:
		c.compared++
		if b, ok := got.(bool); !ok || b != want {
			c.fail(path, want, plain(got), "differs")
		}
		return
	case string, float64:
		c.scalar(path, want, got, t)
		return
	}
	c.compared++
	c.fail(path, plain(want), plain(got), "has another shape")
}

func (c *comparison) scalar(path string, want, got any, t tolerance) {
	c.compared++
	if s, ok := got.(string); ok {
		if s != want {
			c.fail(path, want, s, "differs")
		}
		return
	}
	w, isNumber := number(want)
	g, ok := toFloat(got)
	switch {
	case !isNumber || !ok:
		c.fail(path, plain(want), plain(got), "has another shape")
	case math.IsNaN(g):
		c.fail(path, want, nil, "not computable"+c.because())
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
			c.fail(path, w, g, fmt.Sprintf("differs by %.3g, allowed %.3g", d, t.allows(w)))
		}
	}
}

// list compares arrays element by element; rows are matched by their keys.
func (c *comparison) list(path string, want []any, got any, t tolerance) {
	if r, ok := got.(rows); ok {
		c.rows(path, want, r, t)
		return
	}
	list, ok := toList(got)
	if !ok {
		c.compared++
		c.fail(path, plain(want), plain(got), "has another shape"+c.because())
		return
	}
	if len(list) != len(want) {
		c.compared++
		c.fail(path, plain(want), plain(got), fmt.Sprintf("has %d values, not %d", len(list), len(want)))
		return
	}
	for i := range want {
		c.value(path+"["+strconv.Itoa(i)+"]", want[i], list[i], t)
	}
}

func (c *comparison) rows(path string, want []any, got rows, t tolerance) {
	if len(want) != len(got.list) {
		c.compared++
		c.fail(path, nil, nil, fmt.Sprintf("has %d rows, not %d", len(got.list), len(want)))
	}
	for i, w := range want {
		at := path + "[" + strconv.Itoa(i) + "]"
		o, ok := w.(*object)
		if !ok {
			c.compared++
			c.fail(at, plain(w), nil, "a row must be an object")
			continue
		}
		row, found := got.find(o)
		if !found {
			c.compared++
			c.fail(at, rowName(o, got.keys), nil, "no such row was computed")
			continue
		}
		c.object(at, o, row, nil, t)
	}
}

// find returns the computed row whose key columns equal the expected ones.
func (r rows) find(want *object) (fields, bool) {
	for _, row := range r.list {
		if slices.ContainsFunc(r.keys, func(k string) bool { return !sameKey(want.values[k], row[k]) }) {
			continue
		}
		return row, true
	}
	return nil, false
}

func sameKey(want, got any) bool {
	if want == nil {
		return got == nil || got == ""
	}
	if f, ok := toFloat(got); ok {
		w, isNumber := number(want)
		return isNumber && w == f
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

func toFloat(v any) (float64, bool) {
	switch v := v.(type) {
	case float64:
		return v, true
	case int:
		return float64(v), true
	}
	return 0, false
}

func toList(v any) ([]any, bool) {
	switch v := v.(type) {
	case []any:
		return v, true
	case []float64:
		return anyList(v), true
	case []int:
		return anyList(v), true
	case []string:
		return anyList(v), true
	case [][]float64:
		return anyList(v), true
	case []fields:
		return anyList(v), true
	}
	return nil, false
}

func anyList[T any](v []T) []any {
	out := make([]any, len(v))
	for i := range v {
		out[i] = v[i]
	}
	return out
}

// plain makes a value fit for printing in one line.
func plain(v any) any {
	switch v := v.(type) {
	case nil, bool, string, float64, int:
		return v
	case *object:
		return fmt.Sprintf("object of %d fields", len(v.keys))
	case fields:
		return fmt.Sprintf("object of %d fields", len(v))
	case rows:
		return fmt.Sprintf("list of %d", len(v.list))
	}
	if list, ok := toList(v); ok {
		return fmt.Sprintf("list of %d", len(list))
	}
	return fmt.Sprint(v)
}
