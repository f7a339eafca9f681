package report_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// besideBlind is invented: one dish under a name and blind, what was expected of the
// name, and by how much the name moved the rating.
func besideBlind(t *testing.T, expects, moves float64, people int) (*study.Study, *analysis.Result) {
	t.Helper()
	s := panelOf(2)
	s.Dishes = s.Dishes[:1]
	s.Names = []study.Name{{ID: "a", Text: "brown butter"}}
	s.Samples[0].Name, s.Samples[1].Dish = "a", s.Samples[0].Dish
	named := shifted(ten[:people], moves-1, moves+1, moves, moves+2, moves-2)
	var list []analysis.Expectation
	for i, blind := range ten[:people] {
		list = append(list, analysis.Expectation{Assessor: fmt.Sprint(i + 1), Name: "a", Attribute: "salt",
			Value: blind + expects + float64(i%3)})
	}
	r, err := analysis.Analyse(s, paired(named, ten[:people]), analysis.Options{Expected: list})
	must(t, err)
	return s, r
}

// What draws a rating towards what was expected, or away from it, shows beside the
// same dish served blind, and is named nowhere else.
func TestAssimilationNeedsABlindRating(t *testing.T) {
	for _, tc := range []struct {
		name           string
		expects, moves float64
		people         int
		want           string
	}{
		{"towards", 20, 8, 10, "Brown butter: 10 people expected 20.9 points of 100 more (20.3 to 21.5) than " +
			"they tasted " +
			"blind on “How salty is it?”; with the name they moved 38 % of that way (33 to 43 %): part of the way " +
			"(assimilation)."},
		{"away", 20, -8, 10, "more (20.3 to 21.5) than they tasted blind on “How salty is it?”; with the name they " +
			"moved the other way, by 8.0 points of 100 (−38 % of the way, −44 to −33 %): away from what was expected " +
			"(contrast)."},
		{"towards less", -20, -8, 10, "19.1 points of 100 less (18.5 to 19.7) than they tasted blind on “How " +
			"salty is " +
			"it?”; with the name they moved 42 % of that way (36 to 48 %): part of the way (assimilation)."},
		{"not at all", 20, 0, 10, "with the name they moved 0 % of that way (−5 to 5 %): not all of it; " +
			"whether they moved at all is open."},
		{"past it", 20, 28, 10, "134 % of that way (128 to 140 %): past what was expected."},
		{"all of it", 20, 20.9, 10, "100 % of that way (94 to 106 %): towards what was expected (assimilation), and " +
			"possibly all the way, which this does not prove."},
		{"nothing expected", -1, 8, 10, "0.1 points of 100 less (−0.5 to 0.7) than they tasted blind on “How " +
			"salty is " +
			"it?”. That is not clear enough to say how far the name drew the rating"},
		{"too few", 20, 8, 5, "Brown butter, expected minus rated blind on “How salty is it?”: too few to say " +
			"(+20.8 points of 100"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, r := besideBlind(t, tc.expects, tc.moves, tc.people)
			p := report.Build(s, r, report.Options{})
			told := 2 // of too few, what was expected beside blind has a sentence of its own
			if tc.people < 6 {
				told = 3
			}
			if len(p.Expected.Said) != told || !strings.Contains(p.Expected.Said[1].Text, tc.want) {
				t.Fatalf("said %v, want %q", p.Expected.Said, tc.want)
			}
			if first := p.Expected.Said[0].Text; strings.Contains(first, "assimilation") ||
				strings.Contains(first, "contrast") {
				t.Errorf("named without its blind rating: %s", first)
			}
		})
	}
	s, r := expected(t, 1)
	p := report.Build(s, r, report.Options{})
	for _, said := range p.Expected.Said {
		if strings.Contains(said.Text, "assimilation") || strings.Contains(said.Text, "contrast") {
			t.Errorf("two names and no blind rating: %s", said.Text)
		}
	}
}

func TestExpectedMinusBlindInJSON(t *testing.T) {
	s, r := besideBlind(t, 20, 8, 10)
	var out bytes.Buffer
	must(t, report.WriteJSON(&out, s, r))
	for _, want := range []string{`"kind": "expected-minus-blind"`, `"blind": 56.6`} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %s", want)
		}
	}
}
