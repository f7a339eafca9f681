package datapackage

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// inOneR sources the script of every folder named, each in an environment of its own, so
// that R starts and loads its packages once. A script that would end R ends itself alone.
const inOneR = `compiler::enableJIT(0) # else it compiles each script anew: an eighth of the time
for (folder in commandArgs(TRUE)) {
  cat("\n==== ", basename(folder), "\n", sep = "")
  setwd(folder)
  script <- new.env()
  script$quit <- function(status = 0, ...) cat("STATUS ", status, "\n", sep = "")
  took <- system.time(tryCatch(sys.source("analysis.R", script), error = function(e) {
    cat("STOPPED: ", conditionMessage(e), " in ", deparse(conditionCall(e))[1], "\n", sep = "")
  }))
  cat(sprintf("TOOK %.2f\n", took[["user.self"]]))
}
`

// TestScriptsOnEveryExample runs the scripts in R and in Python on the package of every example study,
// with the answers that stand beside it or simulated ones, and of some that are planned otherwise: no
// number may differ, and none may be left out. The findings of each fit the schema that comes with
// them. Prints the processor time of each script.
func TestScriptsOnEveryExample(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("R and Python take long")
	}
	files, err := filepath.Glob("../../studies/*.yaml")
	must(t, err)
	root := t.TempDir()
	var folders []string
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		folders = append(folders, packed(t, filepath.Join(root, name), answeredExample(t, name)))
	}
	folders = append(folders, packedOtherwise(t, root)...)
	fitTheirSchema(t, folders)
	all := func(t *testing.T, scripts func(*testing.T, []string) []string) {
		for i, out := range scripts(t, folders) {
			name := filepath.Base(folders[i])
			if why := wrongInR(out); why != "" || tally.FindString(out) == "" {
				t.Errorf("%s: %s", name, why)
				continue
			}
			if stay := left(t, out); stay > 0 {
				t.Errorf("%s: %d numbers are left out:\n%.6000s", name, stay,
					out[strings.Index(out, "Not recomputed"):])
			}
			t.Logf("%s: %s, %s", name, tally.FindString(out), strings.TrimSpace(out[strings.LastIndex(out, "TOOK"):]))
		}
	}
	t.Run("R", func(t *testing.T) {
		t.Parallel()
		needsR(t)
		all(t, scriptsInR)
	})
	t.Run("Python", func(t *testing.T) {
		t.Parallel()
		all(t, scriptsInPython)
	})
}

// packed writes a package into a new folder, and returns the folder.
func packed(t *testing.T, folder string, d Data) string {
	t.Helper()
	must(t, os.Mkdir(folder, 0o700))
	for name, text := range filesOf(t, d) {
		must(t, os.WriteFile(filepath.Join(folder, name), text, 0o600))
	}
	return folder
}

// scriptsInR runs the scripts of packages in one R, and returns what each says.
func scriptsInR(t *testing.T, folders []string) []string {
	t.Helper()
	driver := filepath.Join(t.TempDir(), "every.R")
	must(t, os.WriteFile(driver, []byte(inOneR), 0o600))
	out, err := exec.Command("Rscript", append([]string{"--vanilla", driver}, folders...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	return eachScript(t, out, folders)
}

// eachScript is what the script of each folder said, of what one program ran.
func eachScript(t *testing.T, out []byte, folders []string) []string {
	t.Helper()
	said := strings.Split(string(out), "\n==== ")[1:]
	if len(said) != len(folders) {
		t.Fatalf("%d scripts ran of %d:\n%.4000s", len(said), len(folders), out)
	}
	for i := range said {
		_, said[i], _ = strings.Cut(said[i], "\n")
	}
	return said
}

// wrongInR are the lines that say that something is wrong.
func wrongInR(out string) string {
	var wrong []string
	for line := range strings.Lines(out) {
		for _, sign := range []string{"DIFFERS", "STOPPED", "STATUS"} {
			if strings.Contains(line, sign) {
				wrong = append(wrong, line)
			}
		}
	}
	return strings.Join(wrong, "")
}

// needsR skips a test where there is no R, unless none may be skipped.
func needsR(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("R takes long")
	}
	if _, err := exec.LookPath("Rscript"); err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("needs Rscript; CLOCHE_REQUIRE_ALL=1 allows no skip")
		}
		t.Skip("needs Rscript")
	}
}

// answeredExample is an example study that somebody has answered, or a panel that tastes no
// difference.
func answeredExample(t *testing.T, name string) Data {
	t.Helper()
	if _, err := os.Stat("../../studies/" + name + "-ratings.csv"); err == nil {
		return withExpected(t, afterEachSitting(rated(t, name)), name)
	}
	return closed(t, example(t, name+".yaml"), func(asked *study.Study, plan *design.Plan) []analysis.Rating {
		const seed = 20261129
		return calibrate.Answers(asked, plan, seed, rand.New(rand.NewPCG(seed, 1)))
	})
}

// afterEachSitting takes the looks of a plan that has some at the ends of sittings.
func afterEachSitting(d Data) Data {
	if len(d.Study.Spec.Plan.Looks) == 0 {
		return d
	}
	last := 0
	for i, r := range d.Answers {
		d.Answers[i].At = night.Add(time.Duration(r.Sitting)*time.Hour - 9*time.Hour)
		last = max(last, r.Sitting)
	}
	for k := 1; k <= min(last, d.Study.Spec.Panel.Sittings-1); k++ {
		at := night.Add(time.Duration(k)*time.Hour - 9*time.Hour + 30*time.Minute)
		d.Looks = append(d.Looks, panel.LookTaken{Look: panel.Look{At: at}, Sitting: k})
	}
	return d
}

// withExpected adds what was expected of names before tasting, where that stands beside.
func withExpected(t *testing.T, d Data, name string) Data {
	t.Helper()
	file := name + "-expected.csv"
	text, err := os.ReadFile("../../studies/" + file)
	if os.IsNotExist(err) {
		return d
	}
	must(t, err)
	said, problems := analysis.ReadExpectedCSV(file, bytes.NewReader(text), d.Study.Spec, nil)
	ratings, more := analysis.ReadCSV(name, strings.NewReader(example(t, name+"-ratings.csv")), d.Study.Spec, nil)
	if len(problems)+len(more) > 0 {
		t.Fatal(problems, more)
	}
	for _, x := range said {
		place, err := strconv.Atoi(x.Assessor)
		must(t, err)
		d.Answers = append(d.Answers, panel.KeyedAnswer{Place: place - 1, Turn: 1, Role: design.Expected, Name: x.Name,
			Attribute: x.Attribute, Value: x.Value, At: night})
	}
	d.Findings, err = analysis.Analyse(d.Study.Spec, ratings, analysis.Options{PlanHash: d.Plan.Hash(), Expected: said})
	must(t, err)
	return d
}

// levelsOf are the levels of everybody's strata where samples are dealt on arrival, so that
// a plan deals to all of them beforehand; nil for other studies.
func levelsOf(asked *study.Study) (all [][]int) {
	if !asked.Serving.DealtOnArrival() {
		return nil
	}
	for i := range asked.Panel.Assessors {
		levels := make([]int, len(asked.Serving.Strata))
		for j, x := range asked.Serving.Strata {
			levels[j] = i % len(x.Levels)
			i /= len(x.Levels)
		}
		all = append(all, levels)
	}
	return all
}

// dealtBefore is what a plan with everybody's levels has dealt to them.
func dealtBefore(asked *study.Study, plan *design.Plan) (all []panel.Dealt) {
	if !asked.Serving.DealtOnArrival() {
		return nil
	}
	for _, v := range plan.Servings {
		if v.Role == design.Rated && v.Sample != design.Undealt {
			i := int(v.Assessor)
			all = append(all, panel.Dealt{Arrival: i + 1, Place: i, Stratum: plan.Stratum[i],
				Sample: plan.Samples[v.Sample], At: night})
		}
	}
	return all
}
