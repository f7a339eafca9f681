package analysis_test

import (
	"flag"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

// strainedTruth is what holds in the invented panel of studies/strained-twice.yaml: the
// custard strained twice (A) lies 0.7 of a label above the one strained once.
var strainedTruth = analysis.Truth{"smoothness": {Mean: 3.2, Effects: map[study.SampleID]float64{"A": 0.7, "B": 0},
	AssessorSD: 0.6, SampleSD: 0.45, RatingSD: 0.5}}

var makeRatings = flag.Bool("ratings", false, "write the invented ratings of the examples again")

// The ratings of the example with few labels are those that its truth gives with the
// second seed, the first one from 1 in which the plan's test finds what is there.
func TestRatingsOfTheStudyWithFewLabels(t *testing.T) {
	const file, csv = "../../studies/strained-twice.yaml", "../../studies/strained-twice-ratings.csv"
	s := parseStudy(t, file)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	ratings := analysis.Simulate(s, plan, strainedTruth, 2)
	keptAs(t, csv, s, ratings)
	f := analyse(t, s, readRatings(t, csv, s)).Findings[0]
	if f.Test.Method != method.Ordinal || f.Lean != 1 || f.Test.P >= 0.05 || f.N != 40 {
		t.Errorf("%+v of %d people", f.Test, f.N)
	}
}
