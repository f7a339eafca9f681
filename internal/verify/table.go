package verify

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
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
	text, err := readBounded(f)
	if err != nil {
		return nil, fmt.Errorf("data file %s: %w", name, err)
	}
	records, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	var parse *csv.ParseError
	switch {
	case errors.As(err, &parse):
		return nil, &placeError{name, parse.Line, parse.Column, parse.Err.Error()}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", name, err)
	case len(records) == 0:
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
func inlineTable(data object) (*table, error) {
	t := &table{cells: map[string][]string{}}
	for _, key := range data.keys {
		list, ok := data.values[key].([]any)
		if !ok {
			continue
		}
		cells, err := textList("data "+key, list)
		if err != nil {
			return nil, err
		}
		if len(t.names) > 0 && t.rows != len(cells) {
			return nil, fmt.Errorf("data %s has %d values, the columns before it %d", key, len(cells), t.rows)
		}
		t.rows, t.names, t.cells[key] = len(cells), append(t.names, key), cells
	}
	return t, nil
}

// textList reads a list of cells; it also takes a bare text and null.
func textList(name string, v any) ([]string, error) {
	list, ok := v.([]any)
	if _, isText := v.(string); isText {
		list, ok = []any{v}, true
	}
	if !ok && v != nil {
		return nil, bad("%s must be a list of texts", name)
	}
	out := make([]string, len(list))
	for i, item := range list {
		if out[i], ok = cellText(item); !ok {
			return nil, bad("%s[%d]: a number, a text or null belongs here", name, i)
		}
	}
	return out, nil
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

// column returns the cells of a column.
func (t *table) column(name string) ([]string, error) {
	cells, ok := t.cells[name]
	if !ok {
		return nil, bad("no column %q: there are %s", name, strings.Join(t.names, ", "))
	}
	return cells, nil
}

// numbers reads a column as numbers; missing cells are NaN.
func (t *table) numbers(name string) ([]float64, error) {
	cells, err := t.column(name)
	out := make([]float64, len(cells))
	for i, cell := range cells {
		if out[i], err = parseCell(cell); err != nil {
			return nil, bad("column %q, row %d: %w", name, i+1, err)
		}
	}
	return out, err
}

func parseCell(cell string) (float64, error) {
	if cell == "" {
		return math.NaN(), nil
	}
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
	var out []string
	for _, name := range first {
		if slices.Contains(cells, name) && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	rest := slices.DeleteFunc(slices.Clone(cells), func(c string) bool { return c == "" || slices.Contains(out, c) })
	slices.Sort(rest)
	rest = slices.Compact(rest)
	values := map[string]float64{}
	for _, n := range rest {
		if f, err := strconv.ParseFloat(n, 64); err == nil {
			values[n] = f
		}
	}
	if len(values) == len(rest) {
		slices.SortStableFunc(rest, func(a, b string) int { return cmp.Compare(values[a], values[b]) })
	}
	return append(out, rest...)
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

// pivot averages the values of each cell of a table; empty cells are NaN.
func pivot(values []float64, row, column []int, rows, columns int) [][]float64 {
	sum, count := grid(rows, columns), grid(rows, columns)
	for i, v := range values {
		if !math.IsNaN(v) && row[i] >= 0 && column[i] >= 0 {
			sum[row[i]][column[i]] += v
			count[row[i]][column[i]]++
		}
	}
	for i := range sum {
		for j := range sum[i] {
			sum[i][j] /= count[i][j] // 0/0: no value, NaN
		}
	}
	return sum
}

func grid(rows, columns int) [][]float64 {
	g := make([][]float64, rows)
	for i := range g {
		g[i] = make([]float64, columns)
	}
	return g
}

// completeRows leaves out the rows with a missing cell.
func completeRows(m [][]float64) [][]float64 {
	return slices.DeleteFunc(slices.Clone(m), func(row []float64) bool {
		return slices.ContainsFunc(row, math.IsNaN)
	})
}
