package analysis_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// namesOf is a study of one dish under k names, "a", "b", …, samples A, B, ….
func namesOf(k int) *study.Study {
	s := panelOf(k)
	s.Question = study.Naming
	s.Dishes = s.Dishes[:1]
	for i := range s.Samples {
		id := study.NameID(rune('a' + i))
		s.Names = append(s.Names, study.Name{ID: id, Text: "Name " + string(id)})
		s.Samples[i].Dish, s.Samples[i].Name = s.Dishes[0].ID, id
	}
	return s
}

// Invented: what ten people expected of two names, and how they rated them.
var (
	expectedA = []float64{70, 64, 81, 59, 73, 66, 90, 55, 68, 77}
	expectedB = []float64{41, 52, 60, 47, 39, 58, 66, 50, 44, 63}
	ratedA    = []float64{50, 61, 55, 70, 44, 58, 66, 47, 52, 63}
	ratedB    = []float64{48, 57, 52, 61, 45, 50, 66, 41, 50, 55}
)

func expectations(name study.NameID, values []float64) []analysis.Expectation {
	var all []analysis.Expectation
	for i, v := range values {
		all = append(all, analysis.Expectation{Assessor: fmt.Sprint(i + 1), Name: name, Attribute: "salt", Value: v})
	}
	return all
}

func bothExpected() []analysis.Expectation {
	return append(expectations("a", expectedA), expectations("b", expectedB)...)
}

// Paired t tests in R 4 (package stats), of the same numbers.
const expectedInR = `
d <- read.csv(file("stdin"))
for (s in unique(d$set)) {
  x <- d$x[d$set == s]; y <- d$y[d$set == s]
  p <- t.test(x, y, paired = TRUE)
  cat(sprintf("%.17g %.17g %.17g %.17g %.17g %.17g\n", p$estimate, p$conf.int[1], p$conf.int[2], p$statistic, ` +
	`p$parameter, p$p.value))
}`

func TestExpectedAgainstR(t *testing.T) {
	needsR(t)
	sets := [][2][]float64{{expectedA, expectedB}, {expectedA, ratedA}, {expectedB, ratedB}}
	in := "set,x,y\n"
	for i, s := range sets {
		for k := range s[0] {
			in += fmt.Sprintf("%d,%g,%g\n", i, s[0][k], s[1][k])
		}
	}
	cmd := exec.Command("Rscript", "--vanilla", "-e", expectedInR)
	cmd.Stdin = strings.NewReader(in)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	r, err := analysis.Analyse(namesOf(2), paired(ratedA, ratedB), analysis.Options{Expected: bothExpected()})
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(r.Expected) != 3 || len(lines) != 3 {
		t.Fatalf("%d findings and %d lines of R, want 3", len(r.Expected), len(lines))
	}
	for i, f := range r.Expected {
		var want [6]float64
		if _, err := fmt.Sscan(lines[i], &want[0], &want[1], &want[2], &want[3], &want[4], &want[5]); err != nil {
			t.Fatal(err)
		}
		got := [6]float64{f.Value, f.CI.Lo, f.CI.Hi, f.Test.Statistic, f.Test.DF, f.Test.P}
		for k := range want {
			if !near(got[k], want[k], 1e-8, 1e-12) {
				t.Errorf("finding %d, number %d: got %.15g, R has %.15g", i, k, got[k], want[k])
			}
		}
	}
}

func TestExpectedIsExploratoryAndApart(t *testing.T) {
	s := namesOf(2)
	s.Plan.Sides = study.Greater
	plain, err := analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{Expected: bothExpected()})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(fmt.Sprintf("%+v", plain.Findings), fmt.Sprintf("%+v", r.Findings)); diff != "" ||
		plain.Expected != nil {
		t.Errorf("the planned findings changed: %s", diff)
	}
	kinds := ""
	for _, f := range r.Expected {
		kinds += fmt.Sprintf("%s %v; ", f.Kind, f.Comparison)
		if f.Role != analysis.Exploratory || !math.IsNaN(f.Test.PAdjusted) || f.N != 10 ||
			hasWarning(f.Warnings, analysis.WarnOneSided) {
			t.Errorf("%s: role %s, adjusted p %g, n %d", f.Kind, f.Role, f.Test.PAdjusted, f.N)
		}
	}
	if want := "expected [A B]; expected-minus-rated [A A]; expected-minus-rated [B B]; "; kinds != want {
		t.Errorf("found %s, want %s", kinds, want)
	}
	if m := r.Expected[1].Pair.Means; math.Abs(m[0]-70.3) > 1e-9 || math.Abs(m[1]-56.6) > 1e-9 { // by hand
		t.Errorf("means of A %v, want 70.3 expected and 56.6 rated", m)
	}
	if r.Expected[0].Pair.Moved.Up != 10 {
		t.Errorf("moved %+v, want all up", r.Expected[0].Pair.Moved)
	}
}

// TestExpectedLeavesOutWhoIsNotThere: one rated and was not asked, one was asked and
// did not taste, one said what they expect of one name alone.
func TestExpectedLeavesOutWhoIsNotThere(t *testing.T) {
	list := append(expectations("a", expectedA), expectations("b", expectedB)[:8]...)
	list = append(list, analysis.Expectation{Assessor: "11", Name: "a", Attribute: "salt", Value: 1})
	r, err := analysis.Analyse(namesOf(2), paired(ratedA, ratedB), analysis.Options{Expected: list})
	if err != nil {
		t.Fatal(err)
	}
	pair, ofA, ofB := r.Expected[0], r.Expected[1], r.Expected[2]
	if pair.N != 8 || ofA.N != 10 || ofB.N != 8 || r.Assessors != 10 || len(r.Excluded) != 0 {
		t.Errorf("n %d, %d, %d of %d assessors", pair.N, ofA.N, ofB.N, r.Assessors)
	}
	want := [][]analysis.Exclusion{{{Reason: analysis.ReasonNotRead, Count: 3}},
		{{Reason: analysis.ReasonNotMet, Count: 1}}, {{Reason: analysis.ReasonNotMet, Count: 2}}}
	for i, f := range r.Expected {
		if diff := cmp.Diff(want[i], f.Excluded); diff != "" || !hasWarning(f.Warnings, analysis.WarnIncomplete) {
			t.Errorf("finding %d leaves out %s", i, diff)
		}
	}
}

// TestOneNameIsExpectedOnce: where every dish stands under every name, a pair of
// names is compared once, and each name with the blind sample of its dish where there
// is one.
func TestOneNameIsExpectedOnce(t *testing.T) {
	s := namesOf(2)
	s.Dishes = append(s.Dishes, study.Dish{ID: "other", Title: "Other"})
	s.Samples = append(s.Samples, study.Sample{ID: "C", Dish: "other", Name: "b"},
		study.Sample{ID: "D", Dish: "other", Name: "a"}, study.Sample{ID: "E", Dish: "other"})
	r, err := analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{Expected: bothExpected()})
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[analysis.Kind]int{}
	for _, f := range r.Expected {
		kinds[f.Kind]++
	}
	if diff := cmp.Diff(map[analysis.Kind]int{analysis.KindExpected: 1, analysis.KindExpectedMinusRated: 4,
		analysis.KindExpectedMinusBlind: 2}, kinds); diff != "" {
		t.Error(diff)
	}
	if f := r.Expected[4]; f.N != 0 || !hasWarning(f.Warnings, analysis.WarnNoPairs) {
		t.Errorf("a sample that nobody tasted: %+v", f)
	}
}

func TestExpectedErrors(t *testing.T) {
	good := analysis.Expectation{Assessor: "1", Name: "a", Attribute: "salt", Value: 5}
	for name, list := range map[string][]analysis.Expectation{
		"unknown name":      {{Assessor: "1", Name: "z", Attribute: "salt", Value: 5}},
		"unknown attribute": {{Assessor: "1", Name: "a", Attribute: "z", Value: 5}},
		"off the scale":     {{Assessor: "1", Name: "a", Attribute: "salt", Value: 500}},
		"not a number":      {{Assessor: "1", Name: "a", Attribute: "salt", Value: math.NaN()}},
		"twice":             {good, good},
	} {
		if _, err := analysis.Analyse(namesOf(2), paired(ratedA, ratedB),
			analysis.Options{Expected: list}); !errors.Is(err, analysis.ErrRating) {
			t.Errorf("%s: %v, want ErrRating", name, err)
		}
	}
}

func TestReadExpectedCSV(t *testing.T) {
	s := namesOf(2)
	key := analysis.NewKey([]analysis.KeyServing{{Assessor: "1", Position: 1, Sample: "A"}})
	for _, tc := range []struct{ name, file, want string }{
		{"words and a decimal comma", "\ufeffassessor;value;name;attribute;note\n1;62,5;name A;How salty is " +
			"it?;x\n1;3;b;salt;\n", ""},
		{"no column", "assessor,name,value\n1,a,5\n", `x.csv:1:1: missing column "attribute"`},
		{"nothing below", "assessor,name,attribute,value\n", "x.csv:1:1: nothing is expected below"},
		{"every mistake",
			"assessor,name,attribute,value\n9,a,salt,5\n1,,salt,5\n1,zz,salt,5\n1,a,zz,5\n1,a,salt,500\n1,a,salt,\n",
			"x.csv:2:1: assessor \"9\" is not in the key\nx.csv:3:3: no name\nx.csv:4:3: the study has no name " +
				"\"zz\"\n" +
				"x.csv:5:5: the study has no attribute \"zz\"\nx.csv:6:10: 500 is off the scale\nx.csv:7:10: no value"},
		{"twice", "assessor,name,attribute,value\n1,a,salt,5\n1,Name a,salt,6\n",
			"x.csv:3:10: assessor 1 said what they expect of salt of name a in line 2 already"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, problems := analysis.ReadExpectedCSV("x.csv", bytes.NewReader([]byte(tc.file)), s, key)
			var said []string
			for _, p := range problems {
				said = append(said, p.Error())
			}
			wants := strings.Split(tc.want, "\n")
			for i, w := range wants {
				if tc.want != "" && (len(said) != len(wants) || !strings.HasPrefix(said[i], w)) {
					t.Fatalf("problems %q, want %q", said, wants)
				}
			}
			if tc.want == "" && (len(problems) > 0 || len(got) != 2 ||
				got[0] != analysis.Expectation{Assessor: "1", Name: "a", Attribute: "salt", Value: 62.5}) {
				t.Errorf("read %+v with %v", got, said)
			}
		})
	}
}
