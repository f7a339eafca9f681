package datapackage

import (
	"bytes"
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

// fitTheirSchema holds the findings of packages to the schema beside them, which is the same in all.
func fitTheirSchema(t *testing.T, folders []string) {
	t.Helper()
	read := func(folder, name string) []byte {
		text, err := os.ReadFile(filepath.Join(folder, name))
		must(t, err)
		return text
	}
	first := read(folders[0], "findings.schema.json")
	var schema jsonschema.Schema
	must(t, json.Unmarshal(first, &schema))
	resolved, err := schema.Resolve(nil)
	must(t, err)
	for _, folder := range folders {
		if !bytes.Equal(read(folder, "findings.schema.json"), first) {
			t.Errorf("%s has a schema of its own", filepath.Base(folder))
		}
		var findings any
		must(t, json.Unmarshal(read(folder, "findings.json"), &findings))
		if err := resolved.Validate(findings); err != nil {
			t.Errorf("%s: findings.json does not fit findings.schema.json: %v", filepath.Base(folder), err)
		}
	}
}

// scriptsInPython runs the scripts of packages in one Python, and returns what each says.
func scriptsInPython(t *testing.T, folders []string) []string {
	t.Helper()
	python := python(t)
	driver := filepath.Join(t.TempDir(), "every.py")
	must(t, os.WriteFile(driver, []byte(inOnePython), 0o600))
	out, err := exec.Command(python, append([]string{driver}, folders...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	return eachScript(t, out, folders)
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
