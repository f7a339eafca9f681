package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/report"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// chosen is a result whose primary finding is a choice.
func chosen(s *study.Study, c analysis.ChoicePart, share float64, ci stats.Interval, n int) *analysis.Result {
	f := analysis.Finding{Kind: analysis.KindChoice, Comparison: []study.SampleID{"A", "B"}, Role: analysis.Primary,
		N:        n,
		Estimate: analysis.Estimate{Measure: "share", Value: share, CI: ci, Lean: 1},
		Test: analysis.Test{Method: "binomial", Title: "exact binomial test", Statistic: 27, DF: math.NaN(),
			P: 0.001, PAdjusted: math.NaN()}, Choice: c}
	f.Judge(s.Plan)
	return &analysis.Result{Study: s.Title, Assessors: n, Findings: []analysis.Finding{f}}
}

func TestChoicesAreWrittenAndTold(t *testing.T) {
	s := panelOf(2)
	ci := stats.Interval{Lo: 0.56, Hi: 0.85, Level: 0.95}
	nan := stats.Interval{Lo: math.NaN(), Hi: math.NaN(), Level: 0.95}
	for _, tc := range []struct {
		name        string
		r           *analysis.Result
		has, hasNot []string
		says        []string
	}{
		{"a preference", chosen(s, analysis.ChoicePart{Chance: 0.5,
			Preferred: &analysis.Preferred{First: 27, Second: 10, None: 3}}, 27./37, ci, 40),
			[]string{"kind", "first", "second", "none", "share", "ci", "chance", "verdict"},
			[]string{"right", "tellers", "d_prime", "means", "moved", "difference", "attribute"},
			[]string{"More people like Dish A better than Dish B: about 73 of a hundred who have a preference.",
				"27 of 37 people with a preference chose Dish A, 10 chose Dish B.", "In numbers: 73 %; 95 % " +
					"interval 56 to 85 %; p = 0.001.",
				"Without a preference, and counted neither for nor against: 3 people."}},
		{"a difference", chosen(s, analysis.ChoicePart{Chance: 1. / 3,
			Told: &analysis.Told{Right: 27, Tellers: analysis.Effect{Measure: "tellers", Value: 0.3, CI: nan},
				DPrime: analysis.Effect{Measure: "d_prime", Value: 1.5, CI: nan}}}, 27./37, ci, 37),
			[]string{"kind", "right", "tellers", "d_prime", "share"},
			[]string{"first", "second", "none", "means", "moved"},
			[]string{"People tell Dish A from Dish B.", "About 3 of ten people truly tell; the others guess.",
				"27 of 37 answers were right; about 12 would be if everybody guessed.",
				"In numbers: 73 %; 95 % interval 56 to 85 %", "Guessing gives 33 %."}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var out, text bytes.Buffer
			if err := report.WriteJSON(&out, s, tc.r); err != nil {
				t.Fatal(err)
			}
			var got struct{ Findings []map[string]any }
			if err := json.Unmarshal(out.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			for _, field := range tc.has {
				if _, ok := got.Findings[0][field]; !ok {
					t.Errorf("no %q in %s", field, out.String())
				}
			}
			for _, field := range tc.hasNot {
				if _, ok := got.Findings[0][field]; ok {
					t.Errorf("%q in %s", field, out.String())
				}
			}
			if err := report.WriteText(&text, s, tc.r); err != nil {
				t.Fatal(err)
			}
			for _, want := range tc.says {
				if !strings.Contains(text.String(), want) {
					t.Errorf("missing %q in\n%s", want, text.String())
				}
			}
		})
	}
}

// What to do next is said with the numbers that the analysis gave.
func TestNextHoldsOnRandomStudies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, ratings := drawStudy(t)
		if len(ratings) == 0 {
			return
		}
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		text, n := report.Build(s, r, report.Options{}).Next, r.Findings[0].Verdict.Next
		begins := map[analysis.NextCode]string{analysis.NextChange: "act on it", analysis.NextRepeat: "repeat it",
			analysis.NextRest: "let it rest"}
		if !strings.HasPrefix(text, begins[n.Code]) || !strings.HasSuffix(text, ".") {
			t.Errorf("%s: %q", n.Code, text)
		}
		whole := fmt.Sprintf(" %d people, %d more than this time", r.Findings[0].N+n.More, n.More)
		if n.Chance > 0 && n.Code == analysis.NextRepeat && !strings.Contains(text, whole) {
			t.Errorf("%d more than %d people: %q", n.More, r.Findings[0].N, text)
		}
		if (n.Chance == 0 || n.Code == analysis.NextRest) && n.More > 1 &&
			!strings.Contains(text, fmt.Sprintf(" %d more people", n.More)) {
			t.Errorf("%d more people: %q", n.More, text)
		}
		if n.Code == analysis.NextRepeat && (n.Chance > 0) != strings.Contains(text, "80 %") {
			t.Errorf("a chance of %g: %q", n.Chance, text)
		}
		if found := untrue.FindString(text); found != "" {
			t.Errorf("%q in %q", found, text)
		}
	})
}

// The technical part of a test of difference speaks of right answers, and names what it
// computed and no check that was not made.
func TestTechnicalPartOfRightAnswers(t *testing.T) {
	s := panelOf(2)
	s.Question, s.Plan.Sides, s.Languages = study.Triangle, study.Greater, []string{"en"}
	nan := stats.Interval{Lo: math.NaN(), Hi: math.NaN(), Level: 0.95}
	r := chosen(s, analysis.ChoicePart{Chance: 1. / 3, Told: &analysis.Told{Right: 27,
		Tellers: analysis.Effect{Measure: method.Tellers, Value: 0.3, CI: nan},
		DPrime:  analysis.Effect{Measure: method.DPrime, Value: 1.5, CI: nan}}}, 27./37,
		stats.Interval{Lo: 0.56, Hi: 0.85, Level: 0.95}, 37)
	text := fmt.Sprint(report.Build(s, r, report.Options{}).Technical)
	for _, want := range []string{"more right answers than guessing gives", "Abbott (1925)", "Macmillan & Creelman"} {
		if !strings.Contains(text, want) {
			t.Errorf("does not say %q: %s", want, text)
		}
	}
	for _, never := range []string{"first sample greater", "order is checked"} {
		if strings.Contains(text, never) {
			t.Errorf("says %q: %s", never, text)
		}
	}
}
