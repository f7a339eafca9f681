package verify

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// fields are computed values by name: float64 (NaN is a marked absence), bool,
// string, []any, fields, rows.
type fields = map[string]any

// rows are computed rows that are matched to the expected ones by the values
// of their key columns, not by their order.
type rows struct {
	keys []string
	list []fields
}

// wrong counts a value as compared that cannot be right.
func (r *Result) wrong(path string, expected, computed any, format string, args ...any) {
	r.Compared++
	r.fail(path, expected, computed, format, args...)
}

func (r *Result) because() string {
	if r.absence == "" {
		return ""
	}
	return ": " + r.absence
}

// object compares every expected field of an object with the computed ones.
func (r *Result) object(path string, expected object, computed fields, known []string, t tolerance) {
	for _, key := range sortedKeys(expected) {
		at := strings.TrimPrefix(path+"."+key, ".")
		want := expected[key]
		got, has := computed[key]
		switch {
		case has:
			r.value(at, want, got, t.within(key))
		case !slices.Contains(known, key):
			r.wrong(at, want, nil, "this method has no such field")
		case want != nil:
			r.wrong(at, want, nil, "not computed%s", r.because())
		}
	}
}

// value compares one expected value of any shape. An expected null is not
// compared.
func (r *Result) value(path string, want, got any, t tolerance) {
	switch want := want.(type) {
	case nil:
		return
	case object:
		if sub, ok := got.(fields); ok {
			r.object(path, want, sub, nil, t)
			return
		}
	case []any:
		switch got := got.(type) {
		case rows:
			r.rows(path, want, got, t)
			return
		case []any:
			r.list(path, want, got, t)
			return
		}
	default:
		r.scalar(path, want, got, t)
		return
	}
	r.wrong(path, want, got, "has another shape%s", r.because())
}

func (r *Result) scalar(path string, want, got any, t tolerance) {
	r.Compared++
	g, isNumber := got.(float64)
	_, isAnswer := want.(bool)
	w, ok := number(want)
	switch {
	case isNumber && (!ok || isAnswer), !isNumber && reflect.TypeOf(got) != reflect.TypeOf(want):
		r.fail(path, want, got, "has another shape%s", r.because())
	case !isNumber:
		if got != want {
			r.fail(path, want, got, "differs")
		}
	case math.IsNaN(g):
		r.fail(path, want, nil, "not computable%s", r.because())
	case math.IsInf(w, 0) || math.IsInf(g, 0):
		if w != g {
			r.fail(path, want, g, "differs")
		}
	default:
		d := math.Abs(g - w)
		if d > r.Largest || r.LargestAt == "" {
			r.Largest, r.LargestAt = d, path
		}
		if d > t.allows(w) {
			r.fail(path, w, g, "differs by %.3g, allowed %.3g", d, t.allows(w))
		}
	}
}

// list compares arrays element by element.
func (r *Result) list(path string, want, got []any, t tolerance) {
	if len(got) != len(want) {
		r.wrong(path, want, got, "has %d values, not %d", len(got), len(want))
		return
	}
	for i := range want {
		r.value(path+"["+strconv.Itoa(i)+"]", want[i], got[i], t)
	}
}

func (r *Result) rows(path string, want []any, got rows, t tolerance) {
	if len(want) != len(got.list) {
		r.wrong(path, nil, nil, "has %d rows, not %d", len(got.list), len(want))
	}
	for i, w := range want {
		at := path + "[" + strconv.Itoa(i) + "]"
		o, ok := w.(object)
		if !ok {
			r.wrong(at, w, nil, "a row must be an object")
			continue
		}
		n := slices.IndexFunc(got.list, func(row fields) bool {
			return !slices.ContainsFunc(got.keys, func(k string) bool { return !sameKey(o[k], row[k]) })
		})
		if n < 0 {
			r.wrong(at, fmt.Sprint(o), nil, "no such row was computed")
			continue
		}
		r.object(at, o, got.list[n], nil, t)
	}
}

// sameKey compares the values of a key column; an expected null is the empty name.
func sameKey(want, got any) bool {
	if want == nil {
		want = ""
	}
	return want == got
}
