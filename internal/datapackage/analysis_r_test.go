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
	cases := []struct {
		name string
		data Data
		pick string // a number that must be among those recomputed
		most int    // numbers that may stay without R: the checks beside the finding, most of them
	}{
		{"two names", custard(t), "effect.d_z.ci.low", 2},
		{"ranks", ran(t, signedRank()), "test.p", 49},
		{"a name each", ran(t, withoutStrata(t)), "test.df", 28},
	}
	var all []Data
	for _, tc := range cases {
		all = append(all, tc.data)
	}
	said, folders := soundAndSpoilt(t, all)
	for i, tc := range cases {
		if out := said[i]; !strings.Contains(out, tc.pick) || left(t, out) > tc.most {
			t.Errorf("%s: R leaves %d numbers out, or lacks %s:\n%.2000s", tc.name, left(t, out), tc.pick, out)
		}
	}
	// As a reader of the package runs it: the status says how it ended.
	if out, err := inFolder(folders[0]); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	if out, err := inFolder(folders[len(cases)]); err == nil || !strings.Contains(out, "DIFFERS") {
		t.Errorf("a p that was changed goes unseen: %v\n%s", err, out)
	}
}

// TestAnalysisInRWithoutPackages has none but those that come with R: the script says which is
// missing, recomputes what needs none, and ends as if nothing were wrong.
func TestAnalysisInRWithoutPackages(t *testing.T) {
	needsR(t)
	folder := packed(t, filepath.Join(t.TempDir(), "package"), rated(t, "custard-profile"))
	cmd := exec.Command("Rscript", "--vanilla", "analysis.R")
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "R_LIBS=", "R_LIBS_USER=/nowhere", "R_LIBS_SITE=/nowhere")
	out, err := cmd.CombinedOutput()
	if err != nil || tally.Find(out) == nil {
		t.Fatalf("%v\n%.4000s", err, out)
	}
	if left(t, string(out)) == 0 {
		t.Skip("this R has the packages where its own are")
	}
	for _, says := range []string{"needs the package lmerTest (install.packages(\"lmerTest\"))", "Not recomputed here",
		" also.rm-anova.p "} {
		if !strings.Contains(string(out), says) {
			t.Errorf("does not say %q:\n%.4000s", says, out)
		}
	}
}

// soundAndSpoilt runs the scripts of packages, and of the same with a changed p, in one R. It
// returns what the scripts of the sound ones say, and all folders, the sound ones first.
func soundAndSpoilt(t *testing.T, all []Data) (said, folders []string) {
	t.Helper()
	root := t.TempDir()
	for i, d := range append(all, all...) {
		folder := packed(t, filepath.Join(root, strconv.Itoa(i)), d)
		if i >= len(all) {
			spoil(t, filepath.Join(folder, "numbers.csv"))
		}
		folders = append(folders, folder)
	}
	said = scriptsInR(t, folders)
	for i, out := range said {
		switch why := wrongInR(out); {
		case i < len(all) && why != "":
			t.Errorf("package %d: %s\n%.6000s", i, why, out)
		case i >= len(all) && (!strings.Contains(why, "DIFFERS") || !strings.Contains(why, "STATUS")):
			t.Errorf("package %d: a p that was changed goes unseen: %s", i-len(all), why)
		}
	}
	return said[:len(all)], folders
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
