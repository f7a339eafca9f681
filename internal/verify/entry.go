package verify

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// object is a JSON object; its values are nil, bool, float64, string, []any and object.
type object = map[string]any

// entry is one check of a reference file; prose is for who reads the file.
type entry struct {
	ID        string            `json:"id"`
	Method    string            `json:"method"`
	Source    string            `json:"source"`
	Data      object            `json:"data"`
	DataFile  string            `json:"data_file"`
	Inputs    object            `json:"inputs"`
	Columns   map[string]string `json:"columns"` // role → column name
	Expected  object            `json:"expected"`
	Tolerance tolerance         `json:"tolerance"`
	prose
}

type prose struct {
	Kind     any `json:"source_kind"`
	Note     any `json:"note"`
	Printed  any `json:"printed"`
	Verified any `json:"verified"`
}

// tolerance of an entry, with overrides by field name.
type tolerance struct {
	Rel    float64              `json:"rel"`
	Abs    float64              `json:"abs"`
	Fields map[string]tolerance `json:"fields"`
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

func (t tolerance) negative() bool {
	for _, o := range t.Fields {
		if o.negative() {
			return true
		}
	}
	return t.Rel < 0 || t.Abs < 0
}

// placeError is a mistake in a file with its place, from 1; the column in bytes.
type placeError struct {
	file         string
	line, column int
	what         string
}

func (e *placeError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.file, e.line, e.column, e.what)
}

// placed adds the place up to which a text had been read, where the mistake tells it.
func placed(file string, text []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	at := 0
	switch {
	case errors.As(err, &syntax):
		at = int(syntax.Offset)
	case errors.As(err, &kind):
		at = int(kind.Offset)
	}
	before := text[:max(at-1, 0)]
	return &placeError{file, 1 + bytes.Count(before, []byte("\n")), len(before) - bytes.LastIndexByte(before, '\n'),
		err.Error()}
}

// maxBytes bounds what is read, so that a wrong file, cut off there, fails with a
// message instead of filling memory. Real files are far below it.
const maxBytes = 64 << 20

// readReference reads the entries of a reference file; a remark says what is odd
// about it. A malformed file and one without entries are errors.
func readReference(name string, in io.Reader) (entries []entry, remarks []string, err error) {
	text, err := io.ReadAll(io.LimitReader(in, maxBytes))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	var file struct {
		Title    any     `json:"title"`
		MadeWith any     `json:"made_with"`
		Reading  any     `json:"reading"`
		Count    int     `json:"count"`
		Entries  []entry `json:"entries"`
	}
	if err := decode(text, &file); err != nil {
		return nil, nil, placed(name, text, err)
	}
	if len(file.Entries) == 0 {
		return nil, nil, fmt.Errorf(`%s: no list "entries" with anything in it: nothing would be checked`, name)
	}
	for i, e := range file.Entries {
		if lacks := e.lacks(); lacks != "" {
			return nil, nil, fmt.Errorf("%s: entry %d: %s", name, i+1, lacks)
		}
	}
	if file.Count != 0 && file.Count != len(file.Entries) {
		remarks = append(remarks, fmt.Sprintf("%s: the file speaks of %d entries and has %d", name, file.Count,
			len(file.Entries)))
	}
	return file.Entries, remarks, nil
}

// lacks says what is wrong with an entry.
func (e *entry) lacks() string {
	switch {
	case e.ID == "" || e.Method == "":
		return `"id" or "method" is missing: give it a text`
	case len(e.Expected) == 0:
		return e.ID + ` expects nothing: fill "expected"`
	case e.Tolerance.negative():
		return e.ID + ": a tolerance must be at least 0"
	}
	return ""
}

// decode reads one JSON value; a name that is not known, or stands twice, is a mistake.
func decode(text []byte, into any) error {
	if err := json.Unmarshal(text, new(any)); err != nil { // sees what follows the value too
		return fmt.Errorf("not JSON that can be read: %w", err)
	}
	strict := json.NewDecoder(bytes.NewReader(text))
	strict.DisallowUnknownFields()
	if err := strict.Decode(into); err != nil {
		return err
	}
	return keyTwice(json.NewDecoder(bytes.NewReader(text)))
}

// keyTwice refuses a key that stands twice in one object of sound JSON: the last
// would hide the others.
func keyTwice(in *json.Decoder) error {
	start, _ := in.Token()
	if _, isNested := start.(json.Delim); !isNested {
		return nil
	}
	seen := map[any]bool{}
	for in.More() {
		if start == json.Delim('{') {
			key, _ := in.Token()
			if seen[key] {
				return fmt.Errorf("key %q twice in one object: remove one", key)
			}
			seen[key] = true
		}
		if err := keyTwice(in); err != nil {
			return err
		}
	}
	_, err := in.Token() // the closing bracket
	return err
}

// number reads a number, an answer (yes is 1), or a text that is a number as it
// stands in a CSV file. null and an empty cell are NaN: a missing value.
func number(v any) (float64, bool) {
	switch v := v.(type) {
	case nil:
		return math.NaN(), true
	case float64:
		return v, true
	case bool:
		return map[bool]float64{true: 1}[v], true
	case string:
		f, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
		unbounded := math.IsInf(f, 0) && strings.TrimPrefix(v, "-") == "Infinity"
		return f, err == nil && (!math.IsNaN(f) && !math.IsInf(f, 0) || unbounded)
	}
	return 0, false
}

// readCSV reads a data file beside a reference file as columns: header, comma,
// empty cells missing.
func readCSV(folder, name string) (object, error) {
	if filepath.IsAbs(name) {
		return nil, fmt.Errorf("data file %s: write its path relative to the reference file", name)
	}
	f, err := os.Open(filepath.Join(folder, filepath.FromSlash(name)))
	if err != nil {
		return nil, fmt.Errorf("data file: %w", err)
	}
	defer f.Close()
	records, err := csv.NewReader(io.LimitReader(f, maxBytes)).ReadAll()
	if err == nil && len(records) == 0 {
		err = errors.New("no header line")
	}
	if err != nil {
		return nil, fmt.Errorf("data file %s: %w", name, err)
	}
	columns := object{}
	for j, column := range records[0] {
		if _, twice := columns[column]; twice {
			return nil, fmt.Errorf("data file %s: column %q twice", name, column)
		}
		cells := make([]any, len(records)-1)
		for i, record := range records[1:] {
			if record[j] != "" {
				cells[i] = record[j]
			}
		}
		columns[column] = cells
	}
	return columns, nil
}
