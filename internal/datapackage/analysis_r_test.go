package datapackage

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
	"cloche/studies"
)

// TestAnalysisInR runs the script of the package on the package: it recomputes the
// numbers of the findings, and stops where one was changed.
func TestAnalysisInR(t *testing.T) {
	needsR(t)
	for name, tc := range map[string]struct {
		data Data
		pick string // a number that must be among those recomputed
		most int    // numbers that may stay without R: the checks beside the finding, most of them
	}{
		"two names":   {custard(t), "effect.d_z.ci.low", 2},
		"ranks":       {ran(t, signedRank()), "test.p", 49},
		"a name each": {ran(t, withoutStrata(t)), "test.df", 28},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			for name, text := range filesOf(t, tc.data) {
				must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
			}
			out, err := inFolder(dir)
			if err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			if !strings.Contains(out, tc.pick) || left(t, out) > tc.most {
				t.Errorf("R leaves %d numbers out, or lacks %s:\n%.2000s", left(t, out), tc.pick, out)
			}
			spoil(t, filepath.Join(dir, "numbers.csv"))
			if out, err := inFolder(dir); err == nil || !strings.Contains(out, "DIFFERS") {
				t.Errorf("a p that was changed goes unseen: %v\n%s", err, out)
			}
		})
	}
}

// signedRank is the invented study with a plan by ranks.
func signedRank() string {
	return strings.Replace(string(studies.CeleriacCustard), "test: paired-t", "test: signed-rank", 1)
}

// withoutStrata is a study that serves one sample to each, without groups of guests.
func withoutStrata(t *testing.T) string {
	t.Helper()
	return regexp.MustCompile(`(?m)^  strata:\n(    .*\n)+`).ReplaceAllString(example(t, "one-name-each.yaml"), "")
}

func example(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "studies", name))
	must(t, err)
	return string(text)
}

// rated is an example study with the answers that stand beside it.
func rated(t *testing.T, name string) Data {
	t.Helper()
	return closed(t, example(t, name+".yaml"), func(asked *study.Study, _ *design.Plan) []analysis.Rating {
		ratings, problems := analysis.ReadCSV(name, strings.NewReader(example(t, name+"-ratings.csv")), asked, nil)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return ratings
	})
}

func inFolder(dir string) (string, error) {
	cmd := exec.Command("Rscript", "--vanilla", "analysis.R")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	return string(out), err
}

var tally = regexp.MustCompile(`(\d+) of (\d+) numbers recomputed, 0 differ`)

// left counts the numbers that R did not recompute.
func left(t *testing.T, out string) int {
	t.Helper()
	found := tally.FindStringSubmatch(out)
	if found == nil {
		t.Fatalf("no tally in:\n%s", out)
	}
	done, err := strconv.Atoi(found[1])
	must(t, err)
	all, err := strconv.Atoi(found[2])
	must(t, err)
	return all - done
}

// spoil changes the p of the first finding by a thousandth of itself.
func spoil(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	must(t, err)
	p := regexp.MustCompile(`(?m)^1,test\.p,(.*)$`)
	value, err := strconv.ParseFloat(p.FindStringSubmatch(string(text))[1], 64)
	must(t, err)
	changed := "1,test.p," + strconv.FormatFloat(value*1.001, 'g', -1, 64)
	must(t, os.WriteFile(file, p.ReplaceAll(text, []byte(changed)), 0o600))
}
