package verify

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
)

// Bounds on what is read, so that a wrong file fails with a message instead of
// filling memory. Real files are far below them.
const (
	maxReferenceBytes = 64 << 20
	maxDataBytes      = 32 << 20
	maxDepth          = 32
)

// object is a JSON object that keeps the order of its keys: expected values
// are reported in the order of the file, and the order of named groups is that
// of their levels.
type object struct {
	keys   []string
	values map[string]any
	line   int
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

// reader turns JSON text into nil, bool, float64, string, []any and *object.
// It refuses duplicate keys and numbers beyond float64.
type reader struct {
	file string
	text []byte
	dec  *json.Decoder
}

// readJSON reads one JSON value; file names it in errors.
func readJSON(file string, in io.Reader) (any, error) {
	text, err := readBounded(in, maxReferenceBytes)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	r := &reader{file, text, json.NewDecoder(bytes.NewReader(text))}
	r.dec.UseNumber()
	v, err := r.value(0)
	if err != nil {
		return nil, err
	}
	if _, err := r.dec.Token(); !errors.Is(err, io.EOF) {
		return nil, r.fail("text after the end of the JSON value: remove it")
	}
	return v, nil
}

// readBounded reads a text without the mark that some programs put before it.
func readBounded(in io.Reader, limit int64) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(in, limit+1))
	if err == nil && int64(len(text)) > limit {
		err = fmt.Errorf("larger than %d MB: split it", limit>>20)
	}
	return bytes.TrimPrefix(text, []byte("\ufeff")), err
}

// fail makes an error at the reader's place.
func (r *reader) fail(format string, args ...any) error {
	return r.failAt(r.dec.InputOffset(), fmt.Sprintf(format, args...))
}

func (r *reader) failAt(offset int64, what string) error {
	line, column := place(r.text, offset)
	return &placeError{r.file, line, column, what}
}

// place is the 1-based line and column (in bytes) of an offset.
func place(text []byte, offset int64) (line, column int) {
	before := text[:min(max(offset, 0), int64(len(text)))]
	return 1 + bytes.Count(before, []byte("\n")), len(before) - bytes.LastIndexByte(before, '\n')
}

func (r *reader) token() (json.Token, error) {
	t, err := r.dec.Token()
	var syntax *json.SyntaxError
	switch {
	case err == nil:
		return t, nil
	case errors.As(err, &syntax):
		return nil, r.failAt(syntax.Offset-1, "not JSON: "+syntax.Error())
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, r.failAt(int64(len(r.text)), "the file ends in the middle of a value")
	}
	return nil, r.fail("not JSON: %v", err)
}

func (r *reader) value(depth int) (any, error) {
	if depth > maxDepth {
		return nil, r.fail("nested deeper than %d levels", maxDepth)
	}
	t, err := r.token()
	if err != nil {
		return nil, err
	}
	switch t := t.(type) {
	case json.Delim:
		switch t {
		case '{':
			return r.object(depth)
		case '[':
			return r.array(depth)
		}
		return nil, r.fail("unexpected %v", t)
	case json.Number:
		f, err := strconv.ParseFloat(t.String(), 64)
		if err != nil {
			return nil, r.fail("number %s is out of range", t)
		}
		return f, nil
	}
	return t, nil
}

func (r *reader) object(depth int) (any, error) {
	line, _ := place(r.text, r.dec.InputOffset())
	o := &object{values: map[string]any{}, line: line}
	for r.dec.More() {
		t, err := r.token()
		if err != nil {
			return nil, err
		}
		key, ok := t.(string)
		if !ok {
			return nil, r.fail("unexpected %v: a key in quotes belongs here", t)
		}
		if _, twice := o.values[key]; twice {
			return nil, r.fail("key %q twice in one object: remove one", key)
		}
		if o.values[key], err = r.value(depth + 1); err != nil {
			return nil, err
		}
		o.keys = append(o.keys, key)
	}
	_, err := r.token()
	return o, err
}

func (r *reader) array(depth int) (any, error) {
	list := []any{}
	for r.dec.More() {
		v, err := r.value(depth + 1)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	_, err := r.token()
	return list, err
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
		switch v {
		case "Infinity":
			return math.Inf(1), true
		case "-Infinity":
			return math.Inf(-1), true
		}
	}
	return 0, false
}
