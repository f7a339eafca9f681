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
		{"towards", 20, 8, 10, "Brown butter: the name promised more on “How salty is it?” than the same dish was " +
			"rated blind: " +
			"+20.9 points of 100 (95 % interval 20.3 to 21.5; 10 people). Under the name, the rating moved towards " +
			"what was expected (assimilation)."},
		{"away", 20, -8, 10, "Under the name, the rating moved away from what was expected (contrast)."},
		{"towards less", -20, -8, 10, "Under the name, the rating moved towards what was expected (assimilation)."},
		{"not at all", 20, 0, 10, "Under the name, the rating did not clearly move from the blind one."},
		{"nothing expected", -1, 8, 10, "Brown butter: no clear difference between what the name led people to expect"},
		{"too few", 20, 8, 5, "Brown butter, expected minus rated blind on “How salty is it?”: too few to say " +
			"(+20.8 points of 100"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, r := besideBlind(t, tc.expects, tc.moves, tc.people)
			p := report.Build(s, r, report.Options{})
			if len(p.Expected.Said) != 2 || !strings.Contains(p.Expected.Said[1].Text, tc.want) {
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
