package verify

import (
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"

	"cloche/internal/stats"
)

// method is a row of the table: how a word of the vocabulary is computed.
type method struct {
	id     string
	fields string // what may be expected, and where it stands in the result: see [outputs]
	key    string // results that must all be absent for a refusal; a.b is b within a
	grid   bool   // expected is a list of rows, each with the inputs of a call and its values
	run    func(*call) (any, error)
}

// answer is what a method computed for an entry.
type answer struct {
	fields   fields
	warnings []stats.Warning
	err      error // the method's refusal
	mistake  error // of the entry; nothing was computed
}

// answer runs a method. What it refuses leaves what the call knows of itself.
func (m method) answer(c *call) (a answer) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case badEntry:
			a = answer{mistake: p}
		default:
			panic(p)
		}
	}()
	if m.grid {
		return m.answerGrid(c)
	}
	list := outputs(m.fields)
	result, err := m.run(c)
	a = answer{err: err, fields: fields{}}
	for _, o := range list {
		if v, ok := c.known[o.name]; ok {
			a.fields[o.name] = o.convert(reflect.ValueOf(v), nil)
		}
	}
	if err == nil {
		maps.Copy(a.fields, pick(list, reflect.ValueOf(result), c.labels, 0))
		a.warnings = warningsOf(reflect.ValueOf(result))
	}
	return a
}

// answerGrid calls the method with each expected row for inputs. What it reads is
// given back, so that it is not taken for an unknown field.
func (m method) answerGrid(c *call) answer {
	list, ok := c.e.Expected["grid"].([]any)
	if !ok {
		mistake("expected.grid must be a list of rows")
	}
	out := make([]any, len(list))
	for i, item := range list {
		expected, ok := item.(object)
		if !ok {
			mistake("expected.grid[%d] must be an object", i)
		}
		inputs := object{}
		maps.Copy(inputs, c.e.Inputs) // those of all rows, where a row does not say
		maps.Copy(inputs, expected)
		row := newCall(&entry{Inputs: inputs}, "")
		result, err := m.run(row)
		if err != nil {
			return answer{err: err}
		}
		maps.Copy(c.read, row.read)
		computed := pick(outputs(m.fields), reflect.ValueOf(result), nil, 0)
		for name, given := range expected {
			if row.read[name] {
				computed[name] = given
			}
		}
		out[i] = computed
	}
	return answer{fields: fields{"grid": out}}
}

// names are the fields that may be expected.
func (m method) names() (out []string) {
	if m.grid {
		return []string{"grid"}
	}
	for _, o := range outputs(m.fields) {
		out = append(out, o.name)
	}
	return out
}

// check runs one entry.
func check(e *entry, folder string) (r Result) {
	r = Result{ID: e.ID, Method: e.Method, Source: e.Source}
	defer func() {
		if p := recover(); p != nil { // a bug of the method must not hide the other entries
			r.fail("", nil, nil, "the method broke: %v", p)
		}
	}()
	m, ok := methods()[e.Method]
	if !ok {
		r.fail("method", e.Method, nil, "unknown method")
		return r
	}
	call := newCall(e, folder)
	a := m.answer(call)
	if a.mistake != nil {
		r.fail("", nil, nil, "%s", a.mistake)
		return r
	}
	r.unknownNames(call)
	if len(r.Failures) > 0 {
		return r
	}
	r.absence = reason(a)
	r.answer(e, m, a)
	if r.Compared == 0 {
		r.fail("expected", nil, nil, "nothing to compare: every expected value is null")
	}
	return r
}

// unknownNames fails data and inputs that the method did not read.
func (r *Result) unknownNames(call *call) {
	for name, given := range map[string]object{"data": call.e.Data, "inputs": call.e.Inputs} {
		for _, key := range sortedKeys(given) {
			if !call.read[key] {
				r.fail(name+"."+key, given[key], nil, "this method has no such input")
			}
		}
	}
}

// answer compares what a method computed with what the entry expects.
func (r *Result) answer(e *entry, m method, a answer) {
	expected := maps.Clone(e.Expected)
	delete(expected, "reason")
	if outcome, ok := expected["outcome"]; ok {
		delete(expected, "outcome")
		r.outcome(outcome, m, a)
	} else if a.err != nil && len(a.fields) == 0 {
		r.wrong("", nil, nil, "refused: %v", a.err)
		return
	}
	r.object("", expected, a.fields, m.names(), e.Tolerance)
}

// outcome passes only on a clean refusal: an error of the method, or its key
// results marked absent with a warning that says why.
func (r *Result) outcome(want any, m method, a answer) {
	r.Compared++
	if want != "not_computable" {
		r.fail("outcome", want, nil, "unknown outcome: only not_computable is known")
		return
	}
	var given []string
	for _, key := range strings.Fields(m.key) {
		for _, v := range lookUp(a.fields, strings.Split(key, ".")) {
			if !isAbsent(v) {
				given = append(given, key+" = "+show(v))
			}
		}
	}
	if a.err == nil && (len(a.warnings) == 0 || len(given) > 0 || m.key == "") {
		r.fail("outcome", want, strings.Join(given, ", "), "the method gives a result instead of refusing")
	}
}

// lookUp returns the values under a path; rows give one for each row.
func lookUp(f fields, path []string) (out []any) {
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
		for _, row := range v.list {
			out = append(out, lookUp(row, path[1:])...)
		}
		return out
	}
	return []any{v}
}

func isAbsent(v any) bool {
	isValue := func(v any) bool { return !isAbsent(v) }
	switch v := v.(type) {
	case nil:
		return true
	case float64:
		return math.IsNaN(v)
	case []any:
		return !slices.ContainsFunc(v, isValue)
	case fields:
		return !slices.ContainsFunc(slices.Collect(maps.Values(v)), isValue)
	case rows:
		return len(v.list) == 0
	}
	return false
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

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
