package stats

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"sort"
	"testing"
)

// Reference checks: every entry of testdata/reference/reference.json of a
// method in referenceMethods is recomputed and compared field by field at the
// entry's tolerance. Each entry carries its own source.

type referenceEntry struct {
	ID, Method, Source string
	Data               json.RawMessage
	Inputs             json.RawMessage
	Expected           map[string]any
	Tolerance          referenceTolerance
}

type referenceTolerance struct {
	Rel, Abs float64
	Fields   map[string]struct{ Rel, Abs float64 }
}

func (tol referenceTolerance) close(field string, got, want float64) bool {
	rel, abs := tol.Rel, tol.Abs
	if f, ok := tol.Fields[field]; ok {
		rel, abs = f.Rel, f.Abs
	}
	return math.Abs(got-want) <= abs+rel*math.Abs(want)
}

func referenceEntries(t *testing.T) []referenceEntry {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Entries []referenceEntry }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	return file.Entries
}

// pick decodes an entry's data or inputs.
func pick[T any](t *testing.T, raw json.RawMessage) T {
	t.Helper()
	var v T
	if len(raw) > 0 {
		if err := json.Unmarshal(raw, &v); err != nil {
			t.Fatal(err)
		}
	}
	return v
}

// compareReference reports every expected field that got lacks or misses.
func compareReference(t *testing.T, tol referenceTolerance, path, field string, want, got any) {
	t.Helper()
	switch w := want.(type) {
	case nil:
		return
	case float64:
		compareNumber(t, tol, path, field, w, got)
	case string:
		if inf := map[string]int{"Infinity": 1, "-Infinity": -1}[w]; inf != 0 {
			if g, ok := got.(float64); !ok || !math.IsInf(g, inf) {
				t.Errorf("%s: got %v, want %s", path, got, w)
			}
			return
		}
		if fmt.Sprint(got) != w {
			t.Errorf("%s: got %v, want %q", path, got, w)
		}
	case bool:
		if got != w {
			t.Errorf("%s: got %v, want %v", path, got, w)
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: got %v, want a list of %d", path, got, len(w))
			return
		}
		for i := range w {
			compareReference(t, tol, fmt.Sprintf("%s[%d]", path, i), field, w[i], g[i])
		}
	case map[string]any:
		compareFields(t, tol, path, w, got)
	}
}

func compareFields(t *testing.T, tol referenceTolerance, path string, want map[string]any, got any) {
	t.Helper()
	g, ok := got.(map[string]any)
	if !ok {
		t.Errorf("%s: got %v, want fields", path, got)
		return
	}
	names := make([]string, 0, len(want))
	for name := range want {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if name == "outcome" || name == "reason" {
			continue
		}
		value, ok := g[name]
		if !ok {
			t.Errorf("%s.%s is not produced", path, name)
			continue
		}
		compareReference(t, tol, path+"."+name, name, want[name], value)
	}
}

func compareNumber(t *testing.T, tol referenceTolerance, path, field string, want float64, got any) {
	t.Helper()
	g, ok := got.(float64)
	if n, isInt := got.(int); isInt {
		g, ok = float64(n), true
	}
	if !ok || math.IsNaN(g) || !tol.close(field, g, want) {
		t.Errorf("%s: got %v, want %v", path, got, want)
	}
}

// ends is an interval as the reference file writes it.
func ends(i Interval) any {
	if i.Absent() {
		return nil
	}
	return []any{i.Lo, i.Hi}
}

func list(x []float64) []any {
	out := make([]any, len(x))
	for i, v := range x {
		out[i] = v
	}
	return out
}

// gridOf recomputes each row of an expected grid with f; what f does not
// return is an argument of the row.
func gridOf(t *testing.T, e referenceEntry, f func(row map[string]any) map[string]any) map[string]any {
	t.Helper()
	rows := []any{}
	for _, r := range e.Expected["grid"].([]any) {
		row := r.(map[string]any)
		out := f(row)
		for name, v := range row {
			if _, ok := out[name]; !ok && gridArguments[name] {
				out[name] = v
			}
		}
		rows = append(rows, out)
	}
	return map[string]any{"grid": rows}
}

var gridArguments = map[string]bool{"t": true, "df": true, "ncp": true, "x": true, "lambda": true, "df1": true, "df2": true,
	"w": true, "u": true, "n": true, "m": true, "p": true, "d": true, "alpha": true, "alternative": true, "power": true,
	"p1": true, "p2": true, "q": true, "k": true}

func number(row map[string]any, name string) float64 { return row[name].(float64) }

func sideOf(t *testing.T, text string) Alternative {
	t.Helper()
	side, ok := map[string]Alternative{"": TwoSided, "two.sided": TwoSided, "greater": Greater, "less": Less}[text]
	if !ok {
		t.Fatalf("unknown alternative %q", text)
	}
	return side
}
