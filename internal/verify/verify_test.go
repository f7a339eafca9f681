package verify

import (
	"bytes"
	"errors"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// reference is the file of published and recomputed values.
const reference = "../../testdata/reference/reference.json"

// partialF are the values of base R for nested linear models.
const partialF = "../../testdata/reference/partial_f.json"

// aboutRight are the values of base R for answers about right.
const aboutRight = "../../testdata/reference/about_right.json"

// worths are the values of R's survival for worths of orders.
const worths = "../../testdata/reference/worths.json"

// ticked are the values of base R for words that are ticked.
const ticked = "../../testdata/reference/words.json"

func TestReferenceFile(t *testing.T) {
	t.Parallel()
	checkFile(t, reference, 196, 11099)
	checkFile(t, partialF, 3, 12)
	checkFile(t, aboutRight, 8, 83)
	checkFile(t, worths, 4, 102)
	checkFile(t, ticked, 6, 136)
}

// checkFile fails t unless the file has so many entries, all of them pass, and so many
// values are compared.
func checkFile(t *testing.T, file string, entries, values int) {
	t.Helper()
	report := File(file)
	if report.Err != nil {
		t.Fatal(report.Err)
	}
	compared := 0
	for _, r := range report.Results {
		compared += r.Compared
		if r.Source == "" {
			t.Errorf("%s has no source", r.ID)
		}
		for _, d := range r.Failures {
			t.Errorf("%s (%s): %s", r.ID, r.Source, differenceLine(d))
		}
	}
	if len(report.Results) != entries || compared != values {
		t.Errorf("%s: %d values of %d entries, want %d of %d", file, compared, len(report.Results), values, entries)
	}
}

// readEntries reads the reference file anew, so that a test may change it.
func readEntries(t *testing.T) []entry { return entriesOf(t, reference) }

func entriesOf(t *testing.T, file string) []entry {
	t.Helper()
	in, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	entries, _, err := readReference(file, in)
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

// leaf is one expected value with a way to change it.
type leaf struct {
	path string
	get  any
	set  func(any)
}

func leaves(path string, v any, set func(any)) []leaf {
	switch v := v.(type) {
	case object:
		var out []leaf
		for _, k := range sortedKeys(v) {
			out = append(out, leaves(path+"."+k, v[k], func(n any) { v[k] = n })...)
		}
		return out
	case []any:
		var out []leaf
		for i := range v {
			out = append(out, leaves(path, v[i], func(n any) { v[i] = n })...)
		}
		return out
	}
	return []leaf{{path, v, set}}
}

// wrong returns a value that must not pass.
func wrong(v any) any {
	switch v := v.(type) {
	case bool:
		return !v
	case float64:
		return v + 0.1 + math.Abs(v)
	case string:
		return v + " and more"
	}
	return v
}

// Every entry has some of its values made wrong, one at a time: each must fail.
func TestCorruptedValuesFail(t *testing.T) {
	t.Parallel()
	// These label what was computed: they are read as arguments.
	isArgument := func(e entry, path string) bool {
		return strings.HasSuffix(path, ".reason") || strings.HasSuffix(path, ".without") ||
			e.Method == "min_correct_table" && path == ".n"
	}
	perEntry := 6
	if testing.Short() {
		perEntry = 1
	}
	for _, e := range readEntries(t) {
		if isGrid(&e) {
			continue // rows mix arguments and values; see TestCorruptedGridFails
		}
		all := leaves("", e.Expected, nil)
		all = slices.DeleteFunc(all, func(l leaf) bool {
			return l.get == nil || isArgument(e, l.path)
		})
		for i := range min(perEntry, len(all)) {
			l := all[i*len(all)/min(perEntry, len(all))]
			l.set(wrong(l.get))
			if r := check(&e, filepath.Dir(reference)); r.Pass() {
				t.Errorf("%s: %s = %v instead of %v passes", e.ID, l.path, wrong(l.get), l.get)
			}
			l.set(l.get)
		}
		if r := check(&e, filepath.Dir(reference)); !r.Pass() {
			t.Errorf("%s fails once its values are put back: %v", e.ID, r.Failures)
		}
	}
}

func isGrid(e *entry) bool {
	_, ok := e.Expected["grid"]
	return ok
}

func TestCorruptedGridFails(t *testing.T) {
	t.Parallel()
	for _, e := range readEntries(t) {
		if !isGrid(&e) {
			continue
		}
		row := e.Expected["grid"].([]any)[1].(object)
		for _, key := range []string{"value", "power", "power_arcsine", "power_at_n"} {
			if v, ok := row[key]; ok {
				row[key] = wrong(v)
				if r := check(&e, ""); r.Pass() {
					t.Errorf("%s: a wrong %s passes", e.ID, key)
				}
				row[key] = v
			}
		}
		row["flavour"] = 1.0
		if r := check(&e, ""); r.Pass() {
			t.Errorf("%s: an unknown field passes", e.ID)
		}
	}
}

// Unknown names fail and are named; nothing is skipped.
func TestUnknownNamesFail(t *testing.T) {
	t.Parallel()
	add := func(o object, key string) object {
		c := object{key: 1.0}
		maps.Copy(c, o)
		return c
	}
	for _, e := range readEntries(t) {
		changes := map[string]func(e entry) entry{
			"a field called flavour": func(e entry) entry { e.Expected = add(e.Expected, "flavour"); return e },
			"an input called colour": func(e entry) entry { e.Inputs = add(e.Inputs, "colour"); return e },
			"a method called taste":  func(e entry) entry { e.Method = "taste"; return e },
			"data called smell":      func(e entry) entry { e.Data = add(e.Data, "smell"); return e },
		}
		for name, change := range changes {
			changed := change(e)
			r := check(&changed, filepath.Dir(reference))
			if r.Pass() {
				t.Errorf("%s: %s passes", e.ID, name)
			}
			word := name[strings.LastIndex(name, " ")+1:]
			if !slices.ContainsFunc(r.Failures, func(d Difference) bool {
				return strings.Contains(differenceLine(d), word)
			}) {
				t.Errorf("%s: %s: the failure does not name it: %v", e.ID, name, r.Failures)
			}
		}
	}
}

// Leaving out any input or data must fail or be a default, never break.
func TestMissingPartsNeverBreak(t *testing.T) {
	t.Parallel()
	for _, e := range readEntries(t) {
		for _, o := range []object{e.Data, e.Inputs} {
			for key, v := range maps.Clone(o) {
				delete(o, key)
				for _, d := range check(&e, filepath.Dir(reference)).Failures {
					if strings.Contains(d.Problem, "broke") {
						t.Errorf("%s without %s: %s", e.ID, key, d.Problem)
					}
				}
				o[key] = v
			}
		}
	}
}

const sleepX = `[0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2]`
const sleepY = `[1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]`

// one runs a file of a single entry.
func one(t *testing.T, text string) FileReport {
	t.Helper()
	path := filepath.Join(t.TempDir(), "one.json")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return File(path)
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	entryOf := func(x, y, expected string) string {
		return `{"entries": [{"id": "a", "method": "paired_t", "source": "arithmetic", "data": {"x": ` + x + `, "y": ` +
			y +
			`}, "expected": ` + expected + `, "tolerance": {"rel": 1e-9, "abs": 1e-12}}]}`
	}
	for _, tc := range []struct {
		name, text string
		pass       bool
		says       string
	}{
		{"refusal expected and given", entryOf("[5, 6]", "[4, 5]",
			`{"outcome": "not_computable", "n": 2, "mean_diff": 1}`), true, ""},
		{"refusal expected, field beside it wrong", entryOf("[5, 6]", "[4, 5]",
			`{"outcome": "not_computable", "n": 3}`), false, "n: expected 3, computed 2"},
		{"refusal expected, result given", entryOf(sleepX, sleepY, `{"outcome": "not_computable"}`), false,
			"gives a result instead of refusing"},
		{"result expected, refusal given", entryOf("[5, 6]", "[4, 5]", `{"t": 1}`), false,
			"t: expected 1, computed nothing"},
		{"missing data are no refusal", `{"entries": [{"id": "a", "method": "paired_t", "expected": {"outcome": ` +
			`"not_computable"}}]}`, false, "no column"},
		{"unknown outcome", entryOf(sleepX, sleepY, `{"outcome": "unclear"}`), false, "unknown outcome"},
		{"only nulls", entryOf(sleepX, sleepY, `{"t": null}`), false, "nothing to compare"},
		{"unbounded as text", entryOf(sleepX, sleepY, `{"ci": ["-Infinity", "Infinity"]}`), false, "ci[0]"},
		{"shape differs", entryOf(sleepX, sleepY, `{"ci": 3}`), false, "another shape"},
		{"list too short", entryOf(sleepX, sleepY, `{"ci": [-2.4598857632769824]}`), false, "2 values, not 1"},
		{"text for a number", entryOf(sleepX, sleepY, `{"t": "large"}`), false, "another shape"},
		{"null pair is left out", entryOf("[1, 5, 7]", "[0, null, 5]", `{"n": 2, "mean_diff": 1.5}`), true, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			report := one(t, tc.text)
			if report.Err != nil {
				t.Fatal(report.Err)
			}
			r := report.Results[0]
			if r.Pass() != tc.pass {
				t.Errorf("pass %v: %v", r.Pass(), r.Failures)
			}
			var out bytes.Buffer
			if err := WriteText(&out, []FileReport{report}); err != nil || !strings.Contains(out.String(), tc.says) {
				t.Errorf("%v, output lacks %q:\n%s", err, tc.says, out.String())
			}
		})
	}
}

func TestToleranceByField(t *testing.T) {
	t.Parallel()
	text := func(fields string) string {
		return `{"entries": [{"id": "a", "method": "two_sample_t", "source": "R 4.2, t.test of sleep", "data": {"x": ` +
			sleepX + `, "y": ` + sleepY +
			`}, "expected": {"welch": {"t": -1.86, "df": 17.8}, "diff": -1.58}, "tolerance": {"rel": 1e-9, "abs": ` +
			`1e-9, "fields": ` + fields + `}}]}`
	}
	for _, tc := range []struct {
		name, fields string
		failures     int
	}{
		{"none", `{}`, 2},
		{"by the name inside", `{"t": {"rel": 0.01, "abs": 0}}`, 1},
		{"by the name around", `{"welch": {"rel": 0.01, "abs": 0}}`, 0},
		{"inside beats around", `{"welch": {"rel": 0.01, "abs": 0}, "df": {"rel": 0, "abs": 1e-6}}`, 1},
	} {
		if r := one(t, text(tc.fields)).Results[0]; len(r.Failures) != tc.failures {
			t.Errorf("%s: %d failures, want %d: %v", tc.name, len(r.Failures), tc.failures, r.Failures)
		}
	}
}

func TestMalformedFiles(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, text, says string }{
		{"empty", "", "1:1: not JSON that can be read: unexpected end"},
		{"no JSON", "hello", ":1:1: not JSON"},
		{"cut off", "{\n \"entries\": [\n", ":2:14: not JSON that can be read: unexpected end"},
		{"a list", "[]", "1:1: json: cannot unmarshal array"},
		{"no entries key", "{}", `no list "entries"`},
		{"no entries", `{"entries": []}`, "nothing would be checked"},
		{"entry is a number", `{"entries": [3]}`, "1:14: json: cannot unmarshal number"},
		{"no id", "{\"entries\": [\n{\"method\": \"page\"}]}", `entry 1: "id" or "method" is missing`},
		{"expects nothing", `{"entries": [{"id": "a", "method": "page", "expected": {}}]}`,
			"entry 1: a expects nothing"},
		{"key twice", `{"entries": [{"id": "a", "method": "page", "expected": {"n": 1, "n": 2}}]}`, `key "n" twice`},
		{"huge number", `{"entries": [{"id": "a", "method": "page", "expected": {"n": 1e999}}]}`, "number 1e999"},
		{"two values", `{"entries": []} {}`, "after top-level value"},
		{"deep", strings.Repeat("[", 20000) + strings.Repeat("]", 20000), "exceeded max depth"},
		{"negative tolerance", `{"entries": [{"id": "a", "method": "page", "expected": {"n": 1}, "tolerance": ` +
			`{"rel": -1}}]}`, "at least 0"},
		{"tolerance misspelt", `{"entries": [{"id": "a", "method": "page", "expected": {"n": 1}, "tolerance": ` +
			`{"relative": 1}}]}`, "unknown field \"relative\""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			report := one(t, tc.text)
			if report.Err == nil || !strings.Contains(report.Err.Error(), tc.says) {
				t.Errorf("error %v lacks %q", report.Err, tc.says)
			}
			if _, failed := Totals(report); failed != 1 {
				t.Errorf("%d failures, want 1", failed)
			}
		})
	}
}

func TestDataFiles(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	for name, text := range map[string]string{
		"good.csv":   "before,after\n5,4\n,3\n7,5\n",
		"ragged.csv": "x,y\n1,2\n3\n",
		"words.csv":  "x,y\n1,two\n",
		"twice.csv":  "x,x\n1,2\n",
		"empty.csv":  "",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, tc := range []struct {
		file, columns string
		pass          bool
		says          string
	}{
		{"good.csv", `{"x": "before", "y": "after"}`, true, ""},
		{"good.csv", `{}`, false, `no column "x": there are after, before`},
		{"ragged.csv", `{}`, false, "ragged.csv: record on line 3"},
		{"words.csv", `{}`, false, `y, row 1: "two" is not a number`},
		{"twice.csv", `{}`, false, `column "x" twice`},
		{"empty.csv", `{}`, false, "no header"},
		{"missing.csv", `{}`, false, "no such file"},
		{"/etc/passwd", `{}`, false, "relative"},
	} {
		path := filepath.Join(folder, "file.json")
		text := `{"entries": [{"id": "a", "method": "paired_t", "source": "arithmetic", "data_file": "` + tc.file +
			`", "columns": ` + tc.columns +
			`, "expected": {"n": 2, "mean_diff": 1.5}, "tolerance": {"rel": 1e-9}}]}`
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		report := File(path)
		if report.Err != nil || report.Results[0].Pass() != tc.pass {
			t.Errorf("%s: %v %v", tc.file, report.Err, report.Results)
			continue
		}
		if !tc.pass && !strings.Contains(report.Results[0].Failures[0].Problem, tc.says) {
			t.Errorf("%s: %q lacks %q", tc.file, report.Results[0].Failures[0].Problem, tc.says)
		}
	}
}

func TestRepeatedIDFails(t *testing.T) {
	t.Parallel()
	entry := `{"id": "a", "method": "p_adjust", "source": "arithmetic", "data": {"p": [0.01]}, "expected": {"holm": ` +
		`[0.01]}, "tolerance": {"rel": 1e-9}}`
	report := one(t, `{"count": 7, "entries": [`+entry+`,`+entry+`]}`)
	if passed, failed := Totals(report); passed != 1 || failed != 1 || len(report.Remarks) != 1 {
		t.Errorf("%d passed, %d failed, remarks %v", passed, failed, report.Remarks)
	}
}

// The vocabulary has a mapping for every method of the reference files, and the
// files exercise every mapping.
func TestVocabularyIsCovered(t *testing.T) {
	t.Parallel()
	used := map[string]bool{}
	for _, e := range slices.Concat(readEntries(t), entriesOf(t, partialF), entriesOf(t, aboutRight),
		entriesOf(t, worths), entriesOf(t, next),
		entriesOf(t, ticked), entriesOf(t, thresholds)) {
		used[e.Method] = true
	}
	for _, name := range sortedKeys(methods()) {
		if !used[name] {
			t.Errorf("no entry checks %s", name)
		}
		delete(used, name)
	}
	for _, name := range notYet {
		delete(used, name)
	}
	for name := range used {
		t.Errorf("no mapping for %s", name)
	}
}

// Reading never breaks, and a place named in an error lies in the text.
func FuzzReadReference(f *testing.F) {
	text, err := os.ReadFile(reference)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text[:2000])
	f.Add([]byte(`{"entries": [{"id": "a", "method": "page", "data": {"values": [[1, 2], [null, "Infinity"]]}, ` +
		`"expected": {"l": 3}}]}`))
	f.Add([]byte(`{"entries": [{"id": "a", "method": "lmm", "data": {"y": [1, 2], "g": ["a", "b"]}, "inputs": ` +
		`{"formula_r": "y ~ 1 + (1 | g)"}, "expected": {"n_obs": 2}}]}`))
	f.Add([]byte(`{"entries": [{"id": "a", "method": "discrimination", "data": {"correct": -1, "n": 1e300}, ` +
		`"inputs": {"protocol": "tetrad"}, "expected": {"pc": 3}}]}`))
	f.Add([]byte("{\"a\":"))
	f.Fuzz(func(t *testing.T, text []byte) {
		entries, _, err := readReference("fuzz.json", bytes.NewReader(text))
		if err != nil {
			var p *placeError
			if errors.As(err, &p) && (p.line < 1 || p.line > 1+bytes.Count(text, []byte("\n")) || p.column < 1) {
				t.Errorf("place %d:%d outside the text", p.line, p.column)
			}
			return
		}
		for i := range entries {
			e := &entries[i]
			if e.DataFile != "" || len(text) > 4000 {
				continue
			}
			for _, d := range check(e, "").Failures {
				if strings.Contains(d.Problem, "the method broke") {
					t.Errorf("%s: %s", e.Method, d.Problem)
				}
			}
		}
	})
}
