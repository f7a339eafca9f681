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

// TestAnalysisInPythonOnEveryExample runs the script on the package of every example study, and of
// some that are planned otherwise: no number may differ, and none may be left out. The findings of
// each example fit the schema that comes with them.
func TestAnalysisInPythonOnEveryExample(t *testing.T) {
	t.Parallel()
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
	args = append(args, packedOtherwise(t, root)...)
	out, err := exec.Command(python, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	said := strings.Split(string(out), "\n==== ")[1:]
	if len(said) != len(args)-1 {
		t.Fatalf("Python ran %d scripts of %d:\n%.4000s", len(said), len(args)-1, out)
	}
	for _, out := range said {
		name, out, _ := strings.Cut(out, "\n")
		if why := wrongInR(out); why != "" || tally.FindString(out) == "" {
			t.Errorf("%s: %s", name, why)
			continue
		}
		if stay := left(t, out); stay > 0 {
			t.Errorf("%s: Python leaves %d numbers out:\n%.6000s", name, stay,
				out[strings.Index(out, "Not recomputed"):])
		}
		t.Logf("%s: %s, %s", name, tally.FindString(out), strings.TrimSpace(out[strings.LastIndex(out, "TOOK"):]))
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
