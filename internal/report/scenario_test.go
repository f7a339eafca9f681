package report_test

import (
	"fmt"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// panelOf is a study of k recipes rated on one line from 0 to 100.
func panelOf(k int) *study.Study {
	s := &study.Study{
		Title: "Which recipe is saltier?", Question: study.Rating,
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

// atPositions gives every rating of a sample the same position.
func atPositions(ratings []analysis.Rating, a, b int) []analysis.Rating {
	for i := range ratings {
		ratings[i].Position = map[study.SampleID]int{"A": a, "B": b}[ratings[i].Sample]
	}
	return ratings
}

func analyse(t testing.TB, s *study.Study, ratings []analysis.Rating) *analysis.Result {
	t.Helper()
	r, err := analysis.Analyse(s, ratings, analysis.Options{PlanHash: "ab12"})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func custard(t testing.TB) (*study.Study, *analysis.Result) {
	t.Helper()
	const file, csv = "../../studies/celeriac-custard.yaml", "../../studies/celeriac-custard-ratings.csv"
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, src)
	if len(problems) > 0 {
		t.Fatalf("%v", problems)
	}
	in, err := os.Open(csv)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	ratings, problems := analysis.ReadCSV(csv, in, s, nil)
	if len(problems) > 0 {
		t.Fatalf("%v", problems)
	}
	return s, analyse(t, s, ratings)
}
