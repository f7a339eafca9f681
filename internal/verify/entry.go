package verify

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
)

// entry is one check of a reference file.
type entry struct {
	ID        string    `json:"id"`
	Method    string    `json:"method"`
	Source    string    `json:"source"`
	Data      object    `json:"data"`
	DataFile  string    `json:"data_file"`
	Inputs    object    `json:"inputs"`
	Columns   object    `json:"columns"` // role → column name
	Expected  object    `json:"expected"`
	Tolerance tolerance `json:"tolerance"`
	line      int
}

// tolerance of an entry, with overrides by field name.
type tolerance struct {
	Rel    float64              `json:"rel"`
	Abs    float64              `json:"abs"`
	Fields map[string]tolerance `json:"fields"`
}

// UnmarshalJSON takes nothing but these members.
func (t *tolerance) UnmarshalJSON(text []byte) error {
	type plain tolerance
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	err := dec.Decode((*plain)(t))
	if err == nil && (t.Rel < 0 || t.Abs < 0) {
		err = errors.New("a tolerance must be a number of at least 0")
	}
	return err
}

func (t tolerance) allows(expected float64) float64 { return t.Abs + t.Rel*math.Abs(expected) }

// within is the tolerance that holds below a field.
func (t tolerance) within(field string) tolerance {
	if o, ok := t.Fields[field]; ok {
		o.Fields = t.Fields
		return o
	}
	return t
}

// object is a JSON object that keeps the order of its keys: expected values
// are reported in the order of the file, and the order of named groups is that
// of their levels.
type object struct {
	keys   []string
	values map[string]any // nil, bool, float64, string, []any and *object
}

// or is the object with what another has and it has not.
func (o *object) or(other *object) *object {
	both := &object{keys: slices.Clone(o.keys), values: maps.Clone(o.values)}
	for _, key := range other.keys {
		if _, has := both.values[key]; !has {
			both.keys, both.values[key] = append(both.keys, key), other.values[key]
		}
	}
	return both
}

// UnmarshalJSON refuses a key that stands twice.
func (o *object) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		return nil
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	if start, err := dec.Token(); err != nil || start != json.Delim('{') {
		return fmt.Errorf("%.20s: an object belongs here", text)
	}
	o.values = map[string]any{}
	for dec.More() {
		var v value
		key, err := dec.Token()
		if err = errors.Join(err, dec.Decode(&v)); err != nil {
			return err
		}
		name := key.(string)
		if _, twice := o.values[name]; twice {
			return fmt.Errorf("key %q twice in one object: remove one", name)
		}
		o.keys, o.values[name] = append(o.keys, name), v.any
	}
	return nil
}

// value is any JSON value, with objects as [object].
type value struct{ any }

func (v *value) UnmarshalJSON(text []byte) error {
	switch text[0] {
	case '{':
		o := &object{}
		v.any = o
		return o.UnmarshalJSON(text)
	case '[':
		var list []value
		err := json.Unmarshal(text, &list)
		plain := make([]any, len(list))
		for i := range list {
			plain[i] = list[i].any
		}
		v.any = plain
		return err
	}
	return json.Unmarshal(text, &v.any)
}

// placeError is a mistake in a file with its place.
type placeError struct {
	file         string
	line, column int
	what         string
}

func (e *placeError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.file, e.line, e.column, e.what)
}

// place is the 1-based line and column (in bytes) of an offset.
func place(text []byte, offset int64) (line, column int) {
	before := text[:min(max(offset, 0), int64(len(text)))]
	return 1 + bytes.Count(before, []byte("\n")), len(before) - bytes.LastIndexByte(before, '\n')
}

// maxBytes bounds what is read, so that a wrong file fails with a message
// instead of filling memory. Real files are far below it.
const maxBytes = 64 << 20

// readBounded reads a text without the mark that some programs put before it.
func readBounded(in io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(in, maxBytes+1))
	if err == nil && len(text) > maxBytes {
		err = fmt.Errorf("larger than %d MB: split it", maxBytes>>20)
	}
	return bytes.TrimPrefix(text, []byte("\ufeff")), err
}

// readReference reads the entries of a reference file; a remark says what is odd
// about it. Malformed files are errors with their place; a file without entries
// is one too.
func readReference(name string, in io.Reader) (entries []entry, remarks []string, err error) {
	text, err := readBounded(in)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	fail := func(offset int64, what string, args ...any) error {
		line, column := place(text, offset)
		return &placeError{name, line, column, fmt.Sprintf(what, args...)}
	}
	var top struct {
		Count   int               `json:"count"`
		Entries []json.RawMessage `json:"entries"`
	}
	var syntax *json.SyntaxError
	switch err := json.Unmarshal(text, &top); {
	case errors.As(err, &syntax):
		return nil, nil, fail(syntax.Offset-1, "not JSON: %v", err)
	case err != nil:
		return nil, nil, fail(0, `write {"entries": [ … ]}: %v`, err)
	case len(top.Entries) == 0:
		return nil, nil, fail(0, `no list "entries" with anything in it: nothing would be checked`)
	}
	offset := 0
	for i, raw := range top.Entries {
		offset += bytes.Index(text[offset:], raw)
		var e entry
		err := json.Unmarshal(raw, &e)
		switch {
		case err != nil:
		case e.ID == "" || e.Method == "":
			err = errors.New(`"id" or "method" is missing: give it a text`)
		case len(e.Expected.keys) == 0:
			err = fmt.Errorf("%s expects nothing: fill \"expected\"", e.ID)
		}
		if err != nil {
			return nil, nil, fail(int64(offset), "entry %d: %v", i+1, err)
		}
		e.line, _ = place(text, int64(offset))
		entries = append(entries, e)
		offset += len(raw)
	}
	if err := new(object).UnmarshalJSON(text); err != nil { // a key that stands twice anywhere
		return nil, nil, fail(0, "%v", err)
	}
	if top.Count != 0 && top.Count != len(entries) {
		remarks = append(remarks, fmt.Sprintf("%s: the file speaks of %d entries and has %d", name, top.Count,
			len(entries)))
	}
	return entries, remarks, nil
}

// number reads a number or the texts that stand for unbounded values. null is
// NaN: a missing value.
func number(v any) (float64, bool) {
	switch v := v.(type) {
	case nil:
		return math.NaN(), true
	case float64:
		return v, true
	case string:
		unbounded, ok := map[string]float64{"Infinity": math.Inf(1), "-Infinity": math.Inf(-1)}[v]
		return unbounded, ok
	}
	return 0, false
}
