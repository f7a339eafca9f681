package verify

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// table is named columns of equal length, all cells as text: "" is missing.
type table struct {
	names []string
	cells map[string][]string
	rows  int
}

// readCSV reads a data file beside a reference file: header, comma, empty
// cells missing.
func readCSV(folder, name string) (*table, error) {
	if filepath.IsAbs(name) {
		return nil, fmt.Errorf("data file %s: write its path relative to the reference file", name)
	}
	f, err := os.Open(filepath.Join(folder, filepath.FromSlash(name)))
	if err != nil {
		return nil, fmt.Errorf("data file: %w", err)
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, fmt.Errorf("data file %s: not a plain file", name)
	}
	text, err := readBounded(f, maxDataBytes)
	if err != nil {
		return nil, fmt.Errorf("data file %s: %w", name, err)
	}
	return parseCSV(name, strings.NewReader(strings.TrimPrefix(string(text), "\ufeff")))
}

func parseCSV(name string, in io.Reader) (*table, error) {
	records, err := csv.NewReader(in).ReadAll()
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return nil, &placeError{name, parse.Line, parse.Column, parse.Err.Error()}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(records) == 0 {
		return nil, &placeError{name, 1, 1, "no header line"}
	}
	t := &table{names: records[0], cells: map[string][]string{}, rows: len(records) - 1}
	for j, column := range t.names {
		if _, twice := t.cells[column]; twice {
			return nil, &placeError{name, 1, 1, fmt.Sprintf("column %q twice", column)}
		}
		cells := make([]string, t.rows)
		for i, record := range records[1:] {
			cells[i] = record[j]
		}
		t.cells[column] = cells
	}
	return t, nil
}

// inlineTable takes the flat lists among the inline data as columns.
func inlineTable(data *object) (*table, error) {
	t := &table{cells: map[string][]string{}, rows: -1}
	for _, key := range data.keys {
		list, ok := data.values[key].([]any)
		if !ok {
			continue
		}
		cells := make([]string, len(list))
		for i, v := range list {
			text, ok := cellText(v)
			if !ok {
				return nil, fmt.Errorf("data %s[%d]: a number, a text or null belongs here", key, i)
			}
			cells[i] = text
		}
		if t.rows >= 0 && t.rows != len(cells) {
			return nil, fmt.Errorf("data %s has %d values, the columns before it %d", key, len(cells), t.rows)
		}
		t.rows = len(cells)
		t.names = append(t.names, key)
		t.cells[key] = cells
	}
	t.rows = max(t.rows, 0)
	return t, nil
}

func cellText(v any) (string, bool) {
	switch v := v.(type) {
	case nil:
		return "", true
	case string:
		return v, true
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64), true
	case bool:
		return strconv.FormatBool(v), true
	}
	return "", false
}

// numbers reads a column as numbers; missing cells are NaN.
func (t *table) numbers(name string) ([]float64, error) {
	cells, ok := t.cells[name]
	if !ok {
		return nil, fmt.Errorf("no column %q: there are %s", name, strings.Join(t.names, ", "))
	}
	out := make([]float64, len(cells))
	for i, cell := range cells {
		if cell == "" {
			out[i] = math.NaN()
			continue
		}
		f, err := parseCell(cell)
		if err != nil {
			return nil, fmt.Errorf("column %q, row %d: %w", name, i+1, err)
		}
		out[i] = f
	}
	return out, nil
}

func parseCell(cell string) (float64, error) {
	if f, ok := number(cell); ok {
		return f, nil
	}
	f, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
	if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
		return 0, fmt.Errorf("%q is not a number", cell)
	}
	return f, nil
}

// isNumeric reports whether every filled cell of a column is a number.
func (t *table) isNumeric(name string) bool {
	_, err := t.numbers(name)
	return err == nil
}

// levels returns the distinct filled cells of a column in order: the names
// listed in first come first, the rest sorted (as numbers when all are).
func levels(cells []string, first []string) []string {
	seen := map[string]bool{}
	var rest, out []string
	for _, c := range cells {
		if c != "" && !seen[c] {
			seen[c] = true
			rest = append(rest, c)
		}
	}
	for _, name := range first {
		if seen[name] && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	rest = slices.DeleteFunc(rest, func(c string) bool { return slices.Contains(out, c) })
	sortNatural(rest)
	return append(out, rest...)
}

// sortNatural sorts by value when all are numbers, else as text.
func sortNatural(names []string) {
	values := map[string]float64{}
	for _, n := range names {
		if f, err := strconv.ParseFloat(n, 64); err == nil {
			values[n] = f
		}
	}
	sort.SliceStable(names, func(a, b int) bool {
		if len(values) == len(names) {
			return values[names[a]] < values[names[b]]
		}
		return names[a] < names[b]
	})
}

// codes maps cells to positions in levels, −1 for missing or unlisted cells.
func codes(cells, levels []string) []int {
	at := map[string]int{}
	for i, l := range levels {
		at[l] = i
	}
	out := make([]int, len(cells))
	for i, c := range cells {
		code, ok := at[c]
		if !ok {
			code = -1
		}
		out[i] = code
	}
	return out
}
