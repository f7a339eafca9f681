package report_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"slices"
	"sort"
	"testing"

	"cloche/internal/report"
)

var update = flag.Bool("update", false, "rewrite the golden file")

const golden = "../../testdata/analysis/custard-findings.json"

func decode(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// The golden file is compared by tolerance: compilers may fuse multiplications
// and additions, so the last digits of floats are not the same everywhere.
func TestFindingsOfTheCustard(t *testing.T) {
	s, r := custard(t)
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(golden, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatalf("%v; run go test ./internal/report -update", err)
	}
	compare(t, "", decode(t, out.Bytes()), decode(t, want))
}

func compare(t *testing.T, at string, got, want any) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: got %v, want %v", at, got, want)
			return
		}
		for k := range w {
			compare(t, at+"."+k, g[k], w[k])
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: got %v, want %v", at, got, want)
			return
		}
		for i := range w {
			compare(t, at+"[]", g[i], w[i])
		}
	case float64:
		if g, ok := got.(float64); !ok || math.Abs(g-w) > 1e-9*math.Abs(w)+1e-12 {
			t.Errorf("%s: got %v, want %v", at, got, want)
		}
	default:
		if got != want {
			t.Errorf("%s: got %v, want %v", at, got, want)
		}
	}
}

// The fields that the help page on files promises. Readers must ignore others, so more may
// be added but none of these may go.
func TestFindingsContract(t *testing.T) {
	s, r := custard(t)
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	result := decode(t, out.Bytes()).(map[string]any)
	has(t, "result", result, "study", "plan_hash", "n_assessors", "excluded", "findings")
	finding := result["findings"].([]any)[0].(map[string]any)
	has(t, "finding", finding, "attribute", "comparison", "role", "n", "means", "difference", "ci", "level", "test",
		"effect", "moved", "also", "warnings")
	has(t, "test", finding["test"].(map[string]any), "method", "statistic", "df", "p", "p_adjusted")
	has(t, "also", finding["also"].([]any)[0].(map[string]any), "method", "statistic", "df", "p", "p_adjusted")
	has(t, "effect", finding["effect"].([]any)[0].(map[string]any), "measure", "value", "ci")
	has(t, "moved", finding["moved"].(map[string]any), "up", "down", "same")
	has(t, "means", finding["means"].(map[string]any), "A", "B")
	if got := finding["role"]; got != "primary" {
		t.Errorf("the first finding is %v", got)
	}
	if got := result["plan_hash"]; got != "ab12" {
		t.Errorf("plan_hash %v", got)
	}
}

func has(t *testing.T, what string, object map[string]any, fields ...string) {
	t.Helper()
	var keys []string
	for k := range object {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, f := range fields {
		if !slices.Contains(keys, f) {
			t.Errorf("%s has no field %q, only %v", what, f, keys)
		}
	}
}

func TestWhatCannotBeComputedIsNull(t *testing.T) {
	s := panelOf(2)
	r := analyse(t, s, paired(ten[:1], near[:1]))
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	finding := decode(t, out.Bytes()).(map[string]any)["findings"].([]any)[0].(map[string]any)
	test := finding["test"].(map[string]any)
	if test["p"] != nil || test["statistic"] != nil || finding["ci"].([]any)[0] != nil {
		t.Errorf("one pair gives test %v, interval %v; want null", test, finding["ci"])
	}
	if len(finding["warnings"].([]any)) == 0 {
		t.Error("null without a warning")
	}
	if finding["difference"] != 2.0 {
		t.Errorf("difference %v, want 2", finding["difference"])
	}
}
