package datapackage

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
)

// inOnePython runs the script of every folder named in one interpreter, so that scipy is loaded
// once. A script that would end Python ends itself alone.
const inOnePython = `import os, runpy, sys, time, traceback
for folder in sys.argv[1:]:
    print(f"\n==== {os.path.basename(folder)}")
    os.chdir(folder)
    began = time.process_time()
    try:
        runpy.run_path("analysis.py", run_name="__main__")
    except SystemExit as end:
        print(f"STATUS {end.code}")
    except Exception:
        print("STOPPED:", traceback.format_exc().replace("\n", " | "))
    print(f"TOOK {time.process_time() - began:.2f}")
`

// python is one that has numpy and scipy; a test without it skips, unless none may.
func python(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("Python takes long")
	}
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import numpy, scipy").Run() == nil {
			return name
		}
	}
	if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
		t.Fatal("needs python3 with numpy and scipy; CLOCHE_REQUIRE_ALL=1 allows no skip")
	}
	t.Skip("needs python3 with numpy and scipy")
	return ""
}

// mayStayInPython is how many numbers of each example Python may leave out.
var mayStayInPython = map[string]int{
	"celeriac-custard": 19, "custard-in-words": 36, "custard-profile": 146, "custard-with-starch": 14,
	"darker-caramel": 11, "roasted-first": 10,
	"four-crusts": 5, "four-custards": 131, "house-custard": 9, "little-smoke": 18,
	"name-by-table": 14, "nutmeg-for-some": 22, "one-name-each": 17, "promised-sweet": 19, "our-custard-or-not": 11,
	"recipe-or-name": 212, "rested-custard": 2, "salt-by-the-gram": 12, "salt-in-order": 9,
	"saltier-of-two": 3, "same-or-different": 9, "seven-caramels": 183, "six-salts": 151,
	"smooth-by-starch": 2, "strained-twice": 26, "swapped-cream": 1, "sweet-alone": 31,
	"warmed-plates": 2,
	"sweet-enough":  29,
}

// fitsItsSchema holds the findings of a package to the schema beside them.
func fitsItsSchema(t *testing.T, name string, files map[string][]byte) {
	t.Helper()
	var schema jsonschema.Schema
	must(t, json.Unmarshal(files["findings.schema.json"], &schema))
	resolved, err := schema.Resolve(nil)
	must(t, err)
	var findings any
	must(t, json.Unmarshal(files["findings.json"], &findings))
	if err := resolved.Validate(findings); err != nil {
		t.Errorf("%s: findings.json does not fit findings.schema.json: %v", name, err)
	}
}

// TestAnalysisInPythonOnEveryExample runs the script on the package of every example study: no
// number may differ, none may be left out without a reason, and no more than here. The findings of
// each fit the schema that comes with them.
func TestAnalysisInPythonOnEveryExample(t *testing.T) {
	python := python(t)
	files, err := filepath.Glob("../../studies/*.yaml")
	must(t, err)
	root := t.TempDir()
	driver := filepath.Join(root, "every.py")
	must(t, os.WriteFile(driver, []byte(inOnePython), 0o600))
	args := []string{driver}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		dir := filepath.Join(root, name)
		must(t, os.Mkdir(dir, 0o700))
		files := filesOf(t, answeredExample(t, name))
		fitsItsSchema(t, name, files)
		for name, text := range files {
			must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
		}
		args = append(args, dir)
	}
	out, err := exec.Command(python, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	said := strings.Split(string(out), "\n==== ")[1:]
	if len(said) != len(files) {
		t.Fatalf("Python ran %d scripts of %d:\n%.4000s", len(said), len(files), out)
	}
	for _, out := range said {
		name, out, _ := strings.Cut(out, "\n")
		if why := wrongInR(out); why != "" || tally.FindString(out) == "" {
			t.Errorf("%s: %s", name, why)
			continue
		}
		stay := left(t, out)
		if stay > mayStayInPython[name] {
			t.Errorf("%s: Python leaves %d numbers out, want %d at most:\n%.6000s", name, stay, mayStayInPython[name],
				out[strings.Index(out, "Not recomputed"):])
		}
		t.Logf("%s: %s, %d left out, %s", name, tally.FindString(out), stay,
			strings.TrimSpace(out[strings.LastIndex(out, "TOOK"):]))
	}
}

// TestAnalysisInPython spoils a number, which the script has to see.
func TestAnalysisInPython(t *testing.T) {
	python, dir := python(t), t.TempDir()
	for name, text := range filesOf(t, custard(t)) {
		must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	run := func() (string, error) {
		cmd := exec.Command(python, "analysis.py")
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := run(); err != nil || !strings.Contains(out, "effect.d_z.ci.low") {
		t.Fatalf("%v\n%s", err, out)
	}
	spoil(t, filepath.Join(dir, "numbers.csv"))
	if out, err := run(); err == nil || !strings.Contains(out, "DIFFERS") {
		t.Errorf("a p that was changed goes unseen: %v\n%s", err, out)
	}
}
