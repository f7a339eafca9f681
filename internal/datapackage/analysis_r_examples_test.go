package datapackage

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/study"
)

// TestAnalysisInROnEveryExample runs the script on the package of every example study, with
// the answers that stand beside it or, of ratings, with simulated ones: no number may
// differ, and no more may be left out than here. What is left out are mostly the same findings
// reckoned in other ways, and checks beside them.
func TestAnalysisInROnEveryExample(t *testing.T) {
	if testing.Short() {
		t.Skip("R takes long")
	}
	if _, err := exec.LookPath("Rscript"); err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("needs Rscript; CLOCHE_REQUIRE_ALL=1 allows no skip")
		}
		t.Skip("needs Rscript")
	}
	most := map[string]int{"little-smoke": 17, "custard-in-words": 124, "salt-by-the-gram": 12, "four-crusts": 29,
		"salt-in-order": 35, "browned-butter": 7, "two-creams": 7, "swapped-cream": 7, "custard-with-starch": 54,
		"strained-twice": 35, "celeriac-custard": 29}
	files, err := filepath.Glob("../../studies/*.yaml")
	must(t, err)
	ran := 0
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		d, ok := answeredExample(t, name)
		if !ok {
			continue
		}
		ran++
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			for name, text := range filesOf(t, d) {
				must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
			}
			out, err := inFolder(dir)
			if err != nil {
				t.Fatalf("%v\n%.4000s", err, out)
			}
			if stays := left(t, out); most[name] > 0 && stays > most[name] {
				t.Errorf("R leaves %d numbers out, want %d at most:\n%.6000s", stays, most[name], out)
			}
		})
	}
	if ran < 15 {
		t.Errorf("only %d of %d examples have answers", ran, len(files))
	}
}

// answeredExample is an example study that somebody, or a generator, has answered; no
// generator answers questions other than ratings.
func answeredExample(t *testing.T, name string) (Data, bool) {
	t.Helper()
	if _, err := os.Stat("../../studies/" + name + "-ratings.csv"); err == nil {
		return rated(t, name), true
	}
	text := example(t, name+".yaml")
	s, problems := study.Parse(name, []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.Question.Response() != study.Rate {
		return Data{}, false
	}
	return ran(t, text), true
}
