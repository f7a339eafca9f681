package verify

import (
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

// referenceFile is a file's entries; problems are entries that cannot be read.
type referenceFile struct {
	entries []entry
	remarks []string
}

// readReference reads a reference file. Malformed files are errors with their
// place; a file without entries is one too.
func readReference(name string, in io.Reader) (referenceFile, error) {
	v, err := readJSON(name, in)
	if err != nil {
		return referenceFile{}, err
	}
	top, ok := v.(*object)
	if !ok {
		return referenceFile{}, &placeError{name, 1, 1, `an object with "entries" belongs here`}
	}
	list, ok := top.values["entries"].([]any)
	if !ok {
		return referenceFile{}, &placeError{name, top.line, 1, `no list "entries": write {"entries": [ … ]}`}
	}
	if len(list) == 0 {
		return referenceFile{}, &placeError{name, top.line, 1, "no entries: nothing would be checked"}
	}
	var f referenceFile
	for i, item := range list {
		o, ok := item.(*object)
		if !ok {
			return referenceFile{}, &placeError{name, top.line, 1, fmt.Sprintf("entry %d is not an object", i+1)}
		}
		e, err := readEntry(o)
		if err != nil {
			return referenceFile{}, &placeError{name, o.line, 1, fmt.Sprintf("entry %d: %v", i+1, err)}
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
	texts := []struct {
		key  string
		to   *string
		must bool
	}{{"id", &e.id, true}, {"method", &e.method, true}, {"source", &e.source, false}, {"data_file", &e.dataFile, false}}
	for _, t := range texts {
		v, has := o.get(t.key)
		s, ok := v.(string)
		if t.must && (!ok || s == "") {
			return e, fmt.Errorf("%q is missing: give it a text", t.key)
		}
		if has && v != nil && !ok {
			return e, fmt.Errorf("%q must be a text", t.key)
		}
		*t.to = s
	}
	objects := []struct {
		key string
		to  **object
	}{{"data", &e.data}, {"inputs", &e.inputs}, {"columns", &e.columns}, {"expected", &e.expected}}
	for _, t := range objects {
		v, err := objectOrEmpty(o.values[t.key])
		if err != nil {
			return e, fmt.Errorf("%q of %s: %w", t.key, e.id, err)
		}
		*t.to = v
	}
	if len(e.expected.keys) == 0 {
		return e, fmt.Errorf("%s expects nothing: fill \"expected\"", e.id)
	}
	var err error
	if e.tolerance, err = readTolerance(o.values["tolerance"], true); err != nil {
		return e, fmt.Errorf("tolerance of %s: %w", e.id, err)
	}
	return e, nil
}

// objectOrEmpty also takes null and the empty list, which some writers give
// for an object without members.
func objectOrEmpty(v any) (*object, error) {
	switch v := v.(type) {
	case nil:
		return &object{values: map[string]any{}}, nil
	case *object:
		return v, nil
	case []any:
		if len(v) == 0 {
			return &object{values: map[string]any{}}, nil
		}
	}
	return nil, fmt.Errorf("it must be an object")
}

func readTolerance(v any, withFields bool) (tolerance, error) {
	o, err := objectOrEmpty(v)
	if err != nil {
		return tolerance{}, err
	}
	t := tolerance{fields: map[string]tolerance{}}
	for _, key := range o.keys {
		switch {
		case key == "rel" || key == "abs":
			f, ok := o.values[key].(float64)
			if !ok || f < 0 {
				return t, fmt.Errorf("%q must be a number of at least 0", key)
			}
			if key == "rel" {
				t.rel = f
			} else {
				t.abs = f
			}
		case key == "fields" && withFields:
			fields, err := objectOrEmpty(o.values[key])
			if err != nil {
				return t, err
			}
			for _, name := range fields.keys {
				if t.fields[name], err = readTolerance(fields.values[name], false); err != nil {
					return t, fmt.Errorf("field %q: %w", name, err)
				}
			}
		default:
			return t, fmt.Errorf("unknown %q: write rel, abs or fields", key)
		}
	}
	return t, nil
}
