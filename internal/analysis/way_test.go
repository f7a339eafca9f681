package analysis_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// besideBlind is a study of one dish under a name, A, and blind, B.
func besideBlind(scale study.Scale) *study.Study {
	s := panelOf(2)
	s.Question, s.Dishes = study.Naming, s.Dishes[:1]
	s.Names = []study.Name{{ID: "a", Text: "Name a"}}
	s.Samples[0].Name, s.Samples[1].Dish = "a", s.Samples[0].Dish
	s.Attributes[0].Scale = scale
	return s
}

// Values from R, by reference entries that were not made by this program.
func TestWayAgainstReferences(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/next.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Entries []struct {
			ID   string
			Data struct{ Expected, Blind, Informed []float64 }
			// of the entry
			Expected struct {
				N       int
				Ratio   float64
				Verdict string
				Fieller struct {
					Type string
					CI   [2]float64
				}
				Moved struct{ T, P float64 } `json:"informed_minus_blind"`
			}
		}
	}
	_ = json.Unmarshal(text, &file) // entries of other methods have other forms
	checked := 0
	for _, e := range file.Entries {
		if !strings.HasPrefix(e.ID, "assimilation.") {
			continue
		}
		checked++
		s := besideBlind(study.Scale{Kind: study.Line, Low: "not", High: "very"})
		r, err := analysis.Analyse(s, paired(e.Data.Informed, e.Data.Blind),
			analysis.Options{Expected: expectations("a", e.Data.Expected)})
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Ways) != 1 {
			t.Fatalf("%s: %d ways", e.ID, len(r.Ways))
		}
		w, want := r.Ways[0], e.Expected
		if w.N != want.N || string(w.Verdict) != want.Verdict || string(w.Fieller.Type) != want.Fieller.Type ||
			!near(w.Fieller.Ratio, want.Ratio, 1e-8, 1e-12) || !near(w.Moved.T, want.Moved.T, 1e-8, 1e-12) ||
			!near(w.Moved.P, want.Moved.P, 1e-8, 1e-12) {
			t.Errorf("%s: %+v", e.ID, w)
		}
		if w.Fieller.Type == dose.Bounded && (!near(w.Fieller.CI.Lo, want.Fieller.CI[0], 1e-8, 1e-12) ||
			!near(w.Fieller.CI.Hi, want.Fieller.CI[1], 1e-8, 1e-12)) {
			t.Errorf("%s: interval %v, want %v", e.ID, w.Fieller.CI, want.Fieller.CI)
		}
		if got := hasWarning(w.Warnings, analysis.WarnNothingPromised); got != (w.Fieller.Type != dose.Bounded) {
			t.Errorf("%s: %s, warned: %t", e.ID, w.Fieller.Type, got)
		}
	}
	if checked != 4 {
		t.Errorf("%d reference entries", checked)
	}
}

// Who did not do all three does not count, and is counted; who had the name first is told.
func TestWayOfWhoDidAllThree(t *testing.T) {
	s := besideBlind(study.Scale{Kind: study.Line, Low: "not", High: "very"})
	list := append(expectations("a", expectedA)[:9], analysis.Expectation{Assessor: "77", Name: "a", Attribute: "salt",
		Value: 5})
	r, err := analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{Expected: list})
	if err != nil {
		t.Fatal(err)
	}
	w := r.Ways[0]
	if w.N != 9 || len(w.Excluded) != 1 || w.Excluded[0] != (analysis.Exclusion{Reason: analysis.ReasonNotAllThree,
		Count: 2}) {
		t.Errorf("%d people, left out %v", w.N, w.Excluded)
	}
	for _, x := range w.Warnings {
		if x.Code == analysis.WarnNamedBeforeBlind && !strings.HasPrefix(x.Text, "5 of 9 had") { // odd ones
			t.Errorf("said %s", x.Text)
		}
	}
	if !hasWarning(w.Warnings, analysis.WarnNamedBeforeBlind) || !hasWarning(w.Warnings, analysis.WarnIncomplete) {
		t.Errorf("warnings %v", w.Warnings)
	}
	blindFirst := paired(ratedA, ratedB)
	for i := range blindFirst {
		blindFirst[i].Position = 2 - i%2
	}
	if r, err = analysis.Analyse(s, blindFirst, analysis.Options{Expected: list}); err != nil {
		t.Fatal(err)
	}
	if hasWarning(r.Ways[0].Warnings, analysis.WarnNamedBeforeBlind) {
		t.Error("blind first, and warned")
	}
}

// Few people, and nobody, have no verdict, and nothing breaks.
func TestWayOfFew(t *testing.T) {
	s := besideBlind(study.Scale{Kind: study.Line, Low: "not", High: "very"})
	for n := range 7 {
		list := append(expectations("a", expectedA[:n]), analysis.Expectation{Assessor: "77", Name: "a",
			Attribute: "salt", Value: 5})
		r, err := analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{Expected: list})
		if err != nil {
			t.Fatal(err)
		}
		w := r.Ways[0]
		if w.N != n || w.TooFew != (n < 6) || hasWarning(w.Warnings, analysis.WarnFewPairs) != w.TooFew {
			t.Errorf("%d people: %+v", n, w)
		}
	}
}

// Each name of a dish has a way of its own, beside the same blind serving.
func TestWayOfEveryName(t *testing.T) {
	s := namesOf(3)
	s.Names, s.Samples[2].Name = s.Names[:2], ""
	ratings := paired(ratedA, ratedB)
	for i := range ratedA {
		ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 3, Sample: "C",
			Attribute: "salt", Value: float64(30 + i)})
	}
	r, err := analysis.Analyse(s, ratings, analysis.Options{Expected: bothExpected()})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Ways) != 2 || r.Ways[0].Sample != "A" || r.Ways[1].Sample != "B" || r.Ways[0].Twin != "C" ||
		r.Ways[1].Blind.Value != 34.5 {
		t.Errorf("ways %+v", r.Ways)
	}
	r, err = analysis.Analyse(namesOf(2), paired(ratedA, ratedB), analysis.Options{Expected: bothExpected()})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Ways) != 0 {
		t.Error("a way without a blind serving")
	}
}
