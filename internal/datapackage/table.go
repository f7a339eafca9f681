package datapackage

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// The types of fields (Table Schema, "Types and Formats").
const (
	text     = "string"
	whole    = "integer"
	number   = "number"
	datetime = "datetime"
	yesNo    = "boolean"
)

// field is a column.
type field struct {
	name     string
	kind     string
	unit     string // "" = none
	says     string // what it holds, for the codebook
	required bool   // never missing
	pattern  string // regular expression of texts; "" = any
}

// refer is a column whose values stand in a column of another table.
type refer struct{ field, table, to string }

// table is one CSV file.
type table struct {
	name   string // without .csv
	title  string
	fields []field
	key    []string
	refers []refer
	rows   [][]string
}

// add adds a row. A text is guarded, nil and the zero time are missing.
func (t *table) add(cells ...any) error {
	if len(cells) != len(t.fields) {
		return fmt.Errorf("table %s: %d cells for %d fields", t.name, len(cells), len(t.fields))
	}
	row := make([]string, len(cells))
	for i, c := range cells {
		switch x := c.(type) {
		case nil:
		case string:
			row[i] = guard(x)
		case int:
			row[i] = strconv.Itoa(x)
		case float64:
			row[i] = strconv.FormatFloat(x, 'f', -1, 64)
		case bool:
			row[i] = strconv.FormatBool(x)
		case time.Time:
			row[i] = instant(x)
		default:
			return fmt.Errorf("table %s, field %s: a value of type %T", t.name, t.fields[i].name, c)
		}
		if row[i] == "" && t.fields[i].required {
			return fmt.Errorf("table %s, row %d: field %s is missing", t.name, len(t.rows)+1, t.fields[i].name)
		}
	}
	t.rows = append(t.rows, row)
	return nil
}

// instant is a time as the default format of Table Schema has it: ISO 8601 in UTC.
func instant(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.UTC().Format("2006-01-02T15:04:05Z")
}

// formulaStarts are the first characters that make a spreadsheet run a cell as a
// formula, full-width ones too, and the apostrophe that guards against it.
const formulaStarts = "=+-@\t\r\n＝＋－＠'"

// guard puts an apostrophe before a text that would run as a formula.
func guard(cell string) string {
	if first, _ := utf8.DecodeRuneInString(cell); cell != "" && strings.ContainsRune(formulaStarts, first) {
		return "'" + cell
	}
	return cell
}

func (t *table) csv() ([]byte, error) {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	header := make([]string, len(t.fields))
	for i, f := range t.fields {
		header[i] = f.name
	}
	if err := out.Write(header); err != nil {
		return nil, err
	}
	if err := out.WriteAll(t.rows); err != nil {
		return nil, fmt.Errorf("write table %s: %w", t.name, err)
	}
	return b.Bytes(), nil
}
