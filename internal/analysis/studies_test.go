package analysis_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

const (
	custardFile    = "../../studies/celeriac-custard.yaml"
	custardRatings = "../../studies/celeriac-custard-ratings.csv"
	sleepFile      = "../../testdata/study/sleep.yaml"
	sleepRatings   = "../../testdata/study/sleep.csv"
)

func parseStudy(t testing.TB, file string) *study.Study {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, src)
	if len(problems) > 0 {
		t.Fatalf("%v", problems)
	}
	return s
}

func readRatings(t testing.TB, file string, s *study.Study) []analysis.Rating {
	t.Helper()
	in, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	ratings, problems := analysis.ReadCSV(file, in, s, nil)
	if len(problems) > 0 {
		t.Fatalf("%v", problems)
	}
	return ratings
}

// custard returns the invented study with its plan and ratings.
func custard(t testing.TB, seed uint64) (*study.Study, *design.Plan, []analysis.Rating) {
	t.Helper()
	s := parseStudy(t, custardFile)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan, analysis.Simulate(s, plan, analysis.CustardTruth(), seed)
}

// panelOf is a study of k recipes rated on one line from 0 to 100.
func panelOf(k int) *study.Study {
	s := &study.Study{
		Title: "recipes", Question: study.Rating,
		Attributes: []study.Attribute{{ID: "salt", Ask: "How salty is it?",
			Scale: study.Scale{Kind: study.Line, Low: "not", High: "very"}}},
		Serving: study.Serving{Design: study.All, Replicates: 1},
		Plan: study.AnalysisPlan{Compare: [2]study.SampleID{"A", "B"}, Attribute: "salt", Test: study.PairedT,
			Sides: study.TwoSided, Alpha: 0.05, Adjust: study.Holm},
	}
	for i := range k {
		id := string(rune('A' + i))
		s.Dishes = append(s.Dishes, study.Dish{ID: study.DishID("dish" + id), Title: "Dish " + id})
		s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(id), Dish: study.DishID("dish" + id)})
	}
	return s
}

// paired makes ratings of A and B on salt; odd assessors get A first.
func paired(a, b []float64) []analysis.Rating {
	var out []analysis.Rating
	for i := range a {
		first := 1 + i%2
		who := fmt.Sprint(i + 1)
		out = append(out,
			analysis.Rating{Assessor: who, Position: first, Sample: "A", Attribute: "salt", Value: a[i]},
			analysis.Rating{Assessor: who, Position: 3 - first, Sample: "B", Attribute: "salt", Value: b[i]})
	}
	return out
}

func analyse(t testing.TB, s *study.Study, ratings []analysis.Rating) *analysis.Result {
	t.Helper()
	r, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// near reports equality within a relative and an absolute tolerance.
func near(got, want, rel, abs float64) bool {
	return math.Abs(got-want) <= abs+rel*math.Abs(want)
}

func checkOf(f analysis.Finding, check method.ID) (analysis.Check, bool) {
	for _, c := range f.Checks {
		if c.Method == check {
			return c, true
		}
	}
	return analysis.Check{}, false
}

func hasWarning(ws []analysis.Warning, code string) bool {
	for _, w := range ws {
		if w.Code == code {
			return true
		}
	}
	return false
}
