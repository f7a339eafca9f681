package report_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// TestEarlyEndSaysHowManyCame: after any number of answers that decide nothing, the report
// says how many there are of how many, asks to go on, and names no number of its own.
func TestEarlyEndSaysHowManyCame(t *testing.T) {
	file, err := os.ReadFile("../../studies/custard-with-starch.yaml")
	if err != nil {
		t.Fatal(err)
	}
	answers, err := os.Open("../../studies/custard-with-starch-ratings.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer answers.Close()
	s, problems := study.Parse("starch.yaml", file)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	all, problems := analysis.ReadCSV("starch.csv", answers, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	most, open := analysis.EarlyMost(s), 0
	for k := 1; k <= most; k++ {
		var came []analysis.Rating
		for _, x := range all {
			if x.Arrived <= k {
				came = append(came, x)
			}
		}
		r, err := analysis.Analyse(s, came, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f, p := r.Findings[0], report.Build(s, r, report.Options{})
		if f.Choice.Told.Early.State != choice.Undecided || f.N == most {
			continue
		}
		open++
		want := fmt.Sprintf("repeat it and go on until the answers decide: %d of the %d that were planned at most "+
			"came.",
			f.N, most)
		if f.N != k || !strings.EqualFold(p.Next, want) || f.Verdict.Code != analysis.Open {
			t.Errorf("after %d answers (%d, %s): %q, want %q", k, f.N, f.Verdict.Code, p.Next, want)
		}
	}
	if open < 4 {
		t.Errorf("%d numbers of answers leave it open", open)
	}
}
