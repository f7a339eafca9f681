package analysis_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

func TestFindingsSayThatThePlanWasChanged(t *testing.T) {
	s := &study.Study{Question: study.Naming, Samples: []study.Sample{{ID: "a", Dish: "d"}, {ID: "b", Dish: "e"}},
		Dishes: []study.Dish{{ID: "d", Title: "D"}, {ID: "e", Title: "E"}},
		Attributes: []study.Attribute{{ID: "salt", Ask: "Salt?",
			Scale: study.Scale{Kind: study.Line, Low: "no", High: "yes"}}},
		Plan: study.AnalysisPlan{Compare: [2]study.SampleID{"a", "b"}, Attribute: "salt", Test: study.PairedT,
			Sides: study.TwoSided, Alpha: 0.05, Adjust: study.Holm}}
	var ratings []analysis.Rating
	for _, who := range []string{"1", "2", "3", "4", "5", "6"} {
		ratings = append(ratings, analysis.Rating{Assessor: who, Position: 1, Sample: "a", Attribute: "salt",
			Value: 40},
			analysis.Rating{Assessor: who, Position: 2, Sample: "b", Attribute: "salt", Value: 50})
	}
	versions := []analysis.Version{{Number: 1}, {Number: 2, This: true, Reason: "the oven failed.", Before: 1},
		{Number: 3, Reason: "fewer seats"}}
	r, err := analysis.Analyse(s, ratings, analysis.Options{PlanHash: "x", Versions: versions,
		Signed: &analysis.Signature{Name: "R"}})
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, w := range r.Warnings {
		if w.Code == analysis.WarnPlanChanged {
			said = append(said, w.Text)
		}
	}
	want := []string{
		"the plan was changed after one serving had been rated: version 2 took the place of version 1, because: " +
			"the oven failed",
		"the plan was changed before any serving had been rated: version 3 took the place of version 2, because: " +
			"fewer seats (these findings are of version 2)",
	}
	if diff := cmp.Diff(want, said); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
	if r.Signed == nil || r.Signed.Name != "R" || len(r.Versions) != 3 {
		t.Errorf("signed %+v, versions %+v", r.Signed, r.Versions)
	}
}
