package store

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"
	"unicode/utf8"
)

// appendRow writes values as one line of an archive.
func appendRow(line []byte, columns []ArchivedColumn, values []any) ([]byte, error) {
	line = append(line, '[')
	for i, v := range values {
		if i > 0 {
			line = append(line, ',')
		}
		var err error
		if line, err = appendValue(line, columns[i].Kind, v); err != nil {
			return nil, fmt.Errorf("column %s: %w", columns[i].Name, err)
		}
	}
	return append(line, ']', '\n'), nil
}

// appendValue writes a value as its driver gives it.
func appendValue(line []byte, kind string, v any) ([]byte, error) {
	if v == nil {
		return append(line, "null"...), nil
	}
	if b, ok := v.([]byte); ok {
		v = string(b)
	}
	switch kind {
	case "bytes":
		if x, ok := v.(string); ok {
			line = base64.StdEncoding.AppendEncode(append(line, '"'), []byte(x))
			return append(line, '"'), nil
		}
	case "text":
		if x, ok := v.(string); ok {
			return appendText(line, x)
		}
	case "integer":
		if x, ok := v.(int64); ok {
			return strconv.AppendInt(line, x, 10), nil
		}
	case "real":
		if x, ok := v.(float64); ok {
			return appendReal(line, x), nil
		}
	case "boolean":
		if x, ok := v.(bool); ok {
			return strconv.AppendBool(line, x), nil
		}
	case "time":
		if x, ok := v.(time.Time); ok {
			return x.UTC().AppendFormat(line, `"`+time.RFC3339Nano+`"`), nil
		}
	}
	return nil, fmt.Errorf("a value of Go type %T where the kind is %s", v, kind)
}

func appendText(line []byte, x string) ([]byte, error) {
	if !utf8.ValidString(x) {
		line = append(line, `{"base64":"`...)
		return append(base64.StdEncoding.AppendEncode(line, []byte(x)), `"}`...), nil
	}
	var b bytes.Buffer
	text := json.NewEncoder(&b)
	text.SetEscapeHTML(false)
	err := text.Encode(x)
	return append(line, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...), err
}

// appendReal writes what JSON has no number for as a string.
func appendReal(line []byte, x float64) []byte {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return append(strconv.AppendFloat(append(line, '"'), x, 'g', -1, 64), '"')
	}
	return strconv.AppendFloat(line, x, 'g', -1, 64)
}

// readRow reads a line of an archive back.
func readRow(line []byte, columns []ArchivedColumn) ([]any, error) {
	var raw []json.RawMessage
	if err := json.Unmarshal(line, &raw); err != nil {
		return nil, err
	}
	if len(raw) != len(columns) {
		return nil, fmt.Errorf("%d values for %d columns", len(raw), len(columns))
	}
	values := make([]any, len(raw))
	for i, r := range raw {
		var err error
		if values[i], err = readValue(r, columns[i].Kind); err != nil {
			return nil, fmt.Errorf("column %s: %w", columns[i].Name, err)
		}
	}
	return values, nil
}

func readValue(raw json.RawMessage, kind string) (any, error) {
	if string(raw) == "null" {
		return nil, nil // NULL is a value
	}
	switch kind {
	case "bytes":
		var x []byte
		err := json.Unmarshal(raw, &x)
		return x, err
	case "text":
		return readText(raw)
	case "integer":
		return strconv.ParseInt(string(raw), 10, 64)
	case "real":
		return strconv.ParseFloat(string(bytes.Trim(raw, `"`)), 64)
	case "boolean":
		return strconv.ParseBool(string(raw))
	case "time":
		var x time.Time
		err := json.Unmarshal(raw, &x)
		return x.UTC(), err
	}
	return nil, fmt.Errorf("values of kind %q are not known", kind)
}

func readText(raw json.RawMessage) (string, error) {
	if len(raw) > 0 && raw[0] == '{' {
		var x struct {
			Base64 []byte `json:"base64"`
		}
		err := json.Unmarshal(raw, &x)
		return string(x.Base64), err
	}
	var x string
	err := json.Unmarshal(raw, &x)
	return x, err
}
