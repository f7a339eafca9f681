package datapackage

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// halfAsked is the example of names that promise, of whom half of the panel says what it expects, whether it then
// skipped the names or not; what is expected is invented.
func halfAsked(t *testing.T) Data {
	t.Helper()
	file := strings.Replace(example(t, "promised-sweet.yaml"), "  expectation: true\n",
		"  expectation: true\n  expectation of half: true\n", 1)
	d := closed(t, file, func(asked *study.Study, _ *design.Plan) []analysis.Rating {
		text := strings.NewReader(example(t, "promised-sweet-ratings.csv"))
		ratings, problems := analysis.ReadCSV("ratings.csv", text, asked, nil)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return ratings
	})
	random := rand.New(rand.NewPCG(3, 9))
	var said []analysis.Expectation
	for _, x := range d.Turns {
		if x.Role != design.Expected || x.Place%7 == 3 { // these skipped them
			continue
		}
		e := analysis.Expectation{Assessor: analysis.AssessorLabel(x.Place), Name: x.Name, Attribute: "sweetness",
			Value: 40 + float64(random.IntN(40))}
		said = append(said, e)
		d.Answers = append(d.Answers, panel.KeyedAnswer{Place: x.Place, Turn: x.Order + 1, Role: x.Role,
			Name: x.Name, Attribute: e.Attribute, Value: e.Value, At: night})
	}
	var kept []analysis.Rating
	for _, r := range d.Answers {
		if r.Role == design.Rated {
			kept = append(kept, analysis.Rating{Assessor: analysis.AssessorLabel(r.Place), Position: r.Position,
				Turn: r.Turn, Sitting: r.Sitting, Code: r.Code, Sample: r.Sample, Attribute: r.Attribute,
				Value: r.Value})
		}
	}
	var err error
	d.Findings, err = analysis.Analyse(d.Study.Spec, kept, analysis.Options{PlanHash: d.Plan.Hash(),
		Lottery: &analysis.Lottery{Plan: d.Plan}, Expected: said})
	must(t, err)
	if h := d.Findings.Asking; len(h) != 4 || h[0].Ns != [2]int{30, 30} {
		t.Fatalf("compared: %+v", h)
	}
	return d
}

// TestScriptsCompareTheHalves: R and Python find every number of whether asking changed the tasting again, by whom
// the plan asked, those too who skipped the names.
func TestScriptsCompareTheHalves(t *testing.T) {
	needsR(t)
	python := python(t)
	dir := packed(t, filepath.Join(t.TempDir(), "half"), halfAsked(t))
	run := func(name string, args ...string) string {
		t.Helper()
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		out, _ := cmd.CombinedOutput() // a script that differs ends with a status
		return string(out)
	}
	scripts := map[string]func() string{
		"R":      func() string { return run("Rscript", "--vanilla", "analysis.R") },
		"Python": func() string { return run(python, "analysis.py") },
	}
	findings, err := os.ReadFile(filepath.Join(dir, "findings.csv"))
	must(t, err)
	first := ""
	for line := range strings.Lines(string(findings)) {
		if id, rest, _ := strings.Cut(line, ","); first == "" && strings.HasPrefix(rest, "asking,") {
			first = id
		}
	}
	if first == "" {
		t.Fatalf("no halves are compared in\n%s", findings)
	}
	for name, script := range scripts {
		out := script()
		if why := wrongInR(out); why != "" || tally.FindString(out) == "" {
			t.Fatalf("%s: %s\n%.3000s", name, why, out)
		}
		compared := map[string]bool{}
		for line := range strings.Lines(out) {
			if f := strings.Fields(line); len(f) == 4 && f[0] == first {
				compared[f[1]] = true
			}
		}
		for _, number := range []string{"ns.1", "ns.2", "means.1", "means.2", "difference", "ci.low", "ci.high",
			"test.statistic", "test.df", "test.p"} {
			if !compared[number] {
				t.Errorf("%s does not find %s of the halves again", name, number)
			}
		}
	}
}
