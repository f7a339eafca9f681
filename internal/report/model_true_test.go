package report_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// TestModelIsToldApartFromMeans: where a pair is compared in the model of every rating,
// nothing calls its difference that of the means, and it is said whose means stand there;
// dots are called means where somebody rated a sample more than once, and what the model
// assumes is said once.
func TestModelIsToldApartFromMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, times := rapid.IntRange(8, 16).Draw(t, "people"), rapid.IntRange(1, 2).Draw(t, "times")
		byModel := rapid.Bool().Draw(t, "by the model")
		s := panelOf(4)
		s.Plan.WholePanel, s.Plan.Test = !byModel, study.MixedF
		if byModel {
			s.Plan.Test = study.MixedT
		}
		var all []analysis.Rating
		for i := range n {
			for at := range 3 * times {
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
					Sample: s.Samples[(i+at%3)%4].ID, Attribute: "salt",
					Value: float64(30 + rapid.IntRange(0, 40).Draw(t, "value"))})
			}
		}
		r, err := analysis.Analyse(s, all, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := report.WriteText(&out, s, r); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		if got := strings.Contains(text, "are of those who rated both samples"); got != byModel {
			t.Errorf("says whose means these are: %t", got)
		}
		figures := ""
		for _, f := range report.Build(s, r, report.Options{}).Figures {
			figures += f.Alt + "\n"
		}
		for claim, is := range map[string]bool{
			"The difference by the model of every rating is": byModel && len(r.Findings[0].Pair.Each) > 0,
			"The mean difference is":                         false,
			"a dot for each person’s mean rating of":         times > 1,
			"a dot for each rating of":                       times == 1,
		} {
			if strings.Contains(figures, claim) != is {
				t.Errorf("says %q: %t in %s", claim, !is, figures)
			}
		}
	})
}
