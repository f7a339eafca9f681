package analysis_test

import (
	"bytes"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/method"
)

// toldExamples are the examples that count right answers, with what holds in their invented
// panels: the share of the people who truly tell, and the seed of their answers.
var toldExamples = []struct {
	name    string
	share   float64
	seed    uint64
	verdict analysis.VerdictCode
}{
	{"two-creams", 1. / 3, 1, analysis.DifferentSizeOpen},
	{"swapped-cream", 0, 1, analysis.Alike},
	{"custard-with-starch", 0.5, 1, analysis.DifferentSizeOpen},
}

func TestAnswersOfTheToldExamples(t *testing.T) {
	for _, x := range toldExamples {
		s := rankingStudy(t, x.name)
		plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		answers := analysis.SimulateTold(s, plan, x.share, x.seed)
		if err := analysistest.WriteCSV(&out, s, answers); err != nil {
			t.Fatal(err)
		}
		file := "../../studies/" + x.name + "-ratings.csv"
		if *update {
			if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := os.ReadFile(file); err != nil || !bytes.Equal(got, out.Bytes()) {
			t.Errorf("%s is not what the stated truth gives (%v)", file, err)
		}
		r, err := analysis.Analyse(s, readAnswers(t, s, x.name+"-ratings.csv"), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range r.Findings[0].Rechecks {
			if c.Method == method.Binomial && r.Findings[0].Test.Method != method.Binomial {
				t.Errorf("%s: the test of a difference is told as another way to show likeness", x.name)
			}
		}
		if got := r.Findings[0].Verdict.Code; got != x.verdict {
			t.Errorf("%s: verdict %s, want %s; %+v", x.name, got, x.verdict, r.Findings[0].Choice.Told)
		}
	}
}
