package verify

import (
	"errors"
	"fmt"
	"io"
	"math"
)

// entry is one check of a reference file.
type entry struct {
	id, method, source string
	line               int
	data, inputs       *object
	dataFile           string
	columns            *object // role → column name
	expected           *object
	tolerance          tolerance
}

// tolerance of an entry, with overrides by field name.
type tolerance struct {
	rel, abs float64
	fields   map[string]tolerance
}

func (t tolerance) allows(expected float64) float64 { return t.abs + t.rel*math.Abs(expected) }

// within is the tolerance that holds below a field.
func (t tolerance) within(field string) tolerance {
	if o, ok := t.fields[field]; ok {
		o.fields = t.fields
		return o
	}
	return t
}

// referenceFile is a file's entries; remarks say what is odd about it.
type referenceFile struct {
	entries []entry
	remarks []string
}

// readReference reads a reference file. Malformed files are errors with their
// place; a file without entries is one too.
func readReference(name string, in io.Reader) (f referenceFile, err error) {
	v, err := readJSON(name, in)
	if err != nil {
		return f, err
	}
	top, ok := v.(*object)
	if !ok {
		return f, &placeError{name, 1, 1, `an object with "entries" belongs here`}
	}
	list, ok := top.values["entries"].([]any)
	if !ok {
		return f, &placeError{name, top.line, 1, `no list "entries": write {"entries": [ … ]}`}
	}
	if len(list) == 0 {
		return f, &placeError{name, top.line, 1, "no entries: nothing would be checked"}
	}
	for i, item := range list {
		o, ok := item.(*object)
		if !ok {
			return f, &placeError{name, top.line, 1, fmt.Sprintf("entry %d is not an object", i+1)}
		}
		e, err := readEntry(o)
		if err != nil {
			return f, &placeError{name, o.line, 1, fmt.Sprintf("entry %d: %v", i+1, err)}
		}
		f.entries = append(f.entries, e)
	}
	if count, ok := top.values["count"].(float64); ok && int(count) != len(list) {
		f.remarks = append(f.remarks, fmt.Sprintf("%s: the file speaks of %g entries and has %d", name, count,
			len(list)))
	}
	return f, nil
}

func readEntry(o *object) (entry, error) {
	e := entry{line: o.line}
	err := errors.Join(read(o, "id", &e.id), read(o, "method", &e.method), read(o, "source", &e.source),
		read(o, "data_file", &e.dataFile), readObject(o, "data", &e.data), readObject(o, "inputs", &e.inputs),
		readObject(o, "columns", &e.columns), readObject(o, "expected", &e.expected))
	switch {
	case err != nil:
		return e, err
	case e.id == "":
		return e, fmt.Errorf("%q is missing: give it a text", "id")
	case e.method == "":
		return e, fmt.Errorf("%q is missing: give it a text", "method")
	case len(e.expected.keys) == 0:
		return e, fmt.Errorf("%s expects nothing: fill \"expected\"", e.id)
	}
	if e.tolerance, err = readTolerance(o, "tolerance", true); err != nil {
		return e, fmt.Errorf("tolerance of %s: %w", e.id, err)
	}
	return e, nil
}

// read takes the value of a key, if there is one of the right type.
func read[T any](o *object, key string, to *T) error {
	switch v := o.values[key].(type) {
	case nil:
	case T:
		*to = v
	default:
		return fmt.Errorf("%q must be a %T", key, *to)
	}
	return nil
}

// readObject also takes null and the empty list, which some writers give for an
// object without members.
func readObject(o *object, key string, to **object) error {
	*to = &object{values: map[string]any{}}
	if list, ok := o.values[key].([]any); ok && len(list) == 0 {
		return nil
	}
	if read(o, key, to) != nil {
		return fmt.Errorf("%q must be an object", key)
	}
	return nil
}

func readTolerance(of *object, key string, withFields bool) (tolerance, error) {
	t := tolerance{fields: map[string]tolerance{}}
	var o, fields *object
	if err := readObject(of, key, &o); err != nil {
		return t, err
	}
	for _, key := range o.keys {
		switch {
		case key == "rel" || key == "abs":
			to := map[string]*float64{"rel": &t.rel, "abs": &t.abs}[key]
			if err := read(o, key, to); err != nil || *to < 0 {
				return t, fmt.Errorf("%q must be a number of at least 0", key)
			}
		case key == "fields" && withFields:
			if err := readObject(o, key, &fields); err != nil {
				return t, err
			}
			for _, name := range fields.keys {
				var err error
				if t.fields[name], err = readTolerance(fields, name, false); err != nil {
					return t, fmt.Errorf("field %q: %w", name, err)
				}
			}
		default:
			return t, fmt.Errorf("unknown %q: write rel, abs or fields", key)
		}
	}
	return t, nil
}
