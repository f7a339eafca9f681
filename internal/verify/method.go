package verify

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// method maps one word of the vocabulary to calls of package stats.
type method struct {
	data   []string // names allowed in "data" (any column when free)
	free   bool     // data hold arbitrary columns
	inputs []string // names allowed in "inputs"
	fields []string // names allowed in "expected"
	key    []string // results that must all be absent for a refusal; a.b is b within a
	run    func(*call) answer
}

// documentation are names that any entry may carry in "data" or "inputs":
// they explain and change nothing.
var documentation = []string{"note", "formula_r", "p0_text"}

// words splits a list of names.
func words(s string) []string { return strings.Fields(s) }

// Result is the outcome of one entry.
type Result struct {
	ID, Method, Source string
	Line               int // of the entry in its file
	Compared           int // values compared
	Largest            float64
	LargestAt          string // field of the largest difference; empty when no numbers were compared
	Failures           []Difference
}

// Pass reports whether the entry passes.
func (r Result) Pass() bool { return len(r.Failures) == 0 }

// check runs one entry.
func check(e *entry, folder string) (r Result) {
	r = Result{ID: e.id, Method: e.method, Source: e.source, Line: e.line}
	var c comparison
	defer func() {
		if p := recover(); p != nil { // a bug of the method must not hide the other entries
			c.fail("", nil, nil, fmt.Sprintf("the method broke: %v", p))
		}
		r.Compared, r.Largest, r.LargestAt, r.Failures = c.compared, c.largest, c.where, c.failures
	}()
	m, ok := methods()[e.method]
	if !ok {
		c.fail("method", e.method, nil, "unknown method")
		return r
	}
	if unknownNames(&c, e, m); len(c.failures) > 0 {
		return r
	}
	a := m.run(&call{e: e, folder: folder})
	var mistake badEntry
	if errors.As(a.err, &mistake) {
		c.fail("", nil, nil, mistake.Error())
		return r
	}
	c.absence = reason(a)
	compareAnswer(&c, e, m, a)
	if c.compared == 0 {
		c.fail("expected", nil, nil, "nothing to compare: every expected value is null")
	}
	return r
}

// unknownNames fails data and inputs that the method does not know.
func unknownNames(c *comparison, e *entry, m method) {
	for _, part := range []struct {
		name  string
		given *object
		known []string
		free  bool
	}{{"data", e.data, m.data, m.free}, {"inputs", e.inputs, m.inputs, false}} {
		for _, key := range part.given.keys {
			if !part.free && !slices.Contains(part.known, key) && !slices.Contains(documentation, key) {
				c.fail(part.name+"."+key, plain(part.given.values[key]), nil, "this method has no such input")
			}
		}
	}
}

func compareAnswer(c *comparison, e *entry, m method, a answer) {
	rest := &object{values: e.expected.values}
	for _, key := range e.expected.keys {
		switch key {
		case "outcome":
			c.outcome(e.expected.values[key], m, a)
		case "reason":
		default:
			rest.keys = append(rest.keys, key)
		}
	}
	known := m.fields
	if _, refusalExpected := e.expected.get("outcome"); !refusalExpected && a.err != nil && len(a.fields) == 0 {
		c.compared++
		c.fail("", nil, nil, "refused: "+a.err.Error())
		return
	}
	c.object("", rest, a.fields, known, e.tolerance)
}

// outcome passes only on a clean refusal.
func (c *comparison) outcome(want any, m method, a answer) {
	c.compared++
	if want != "not_computable" {
		c.fail("outcome", plain(want), nil, "unknown outcome: only not_computable is known")
		return
	}
	if !refused(m, a) {
		c.fail("outcome", want, keyValues(m, a), "the method gives a result instead of refusing")
	}
}

// refused reports an error of the method, or its key results marked absent
// with a warning that says why.
func refused(m method, a answer) bool {
	if a.err != nil {
		return true
	}
	if len(a.warnings) == 0 {
		return false
	}
	for _, key := range m.key {
		for _, v := range lookUp(a.fields, strings.Split(key, ".")) {
			if !isAbsent(v) {
				return false
			}
		}
	}
	return len(m.key) > 0
}

// lookUp returns the values under a path; rows give one for each row.
func lookUp(f fields, path []string) []any {
	v, ok := f[path[0]]
	if !ok {
		return nil
	}
	if len(path) == 1 {
		return []any{v}
	}
	switch v := v.(type) {
	case fields:
		return lookUp(v, path[1:])
	case rows:
		var out []any
		for _, row := range v.list {
			out = append(out, lookUp(row, path[1:])...)
		}
		return out
	}
	return []any{v}
}

func isAbsent(v any) bool {
	switch v := v.(type) {
	case nil:
		return true
	case float64:
		return math.IsNaN(v)
	case []float64:
		return !slices.ContainsFunc(v, func(f float64) bool { return !math.IsNaN(f) })
	case fields:
		for _, sub := range v {
			if !isAbsent(sub) {
				return false
			}
		}
		return true
	case rows:
		return len(v.list) == 0
	}
	return false
}

func keyValues(m method, a answer) string {
	var out []string
	for _, key := range m.key {
		for _, v := range lookUp(a.fields, strings.Split(key, ".")) {
			if !isAbsent(v) {
				out = append(out, fmt.Sprintf("%s = %v", key, plain(v)))
			}
		}
	}
	return strings.Join(out, ", ")
}

// reason says why values are absent: the error, or the warnings.
func reason(a answer) string {
	if a.err != nil {
		return a.err.Error()
	}
	var out []string
	for _, w := range a.warnings {
		out = append(out, strings.TrimSuffix(w.Text, "."))
	}
	return strings.Join(out, "; ")
}
