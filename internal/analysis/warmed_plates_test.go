package analysis_test

import (
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// What holds in the invented panel of the study that the plan's lottery tests.
const warmedTruth = 7.

// The ratings of the example are those that its truth gives with the first seed from 1 whose interval holds it and
// leaves out 0; over many seeds 95 % of the intervals hold it.
func TestRatingsOfTheStudyByLottery(t *testing.T) {
	t.Parallel()
	const csv = "../../studies/warmed-plates-ratings.csv"
	s := parseStudy(t, "../../studies/warmed-plates.yaml")
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	truth := analysis.Truth{"creaminess": {Mean: 46, PerPosition: 1, AssessorSD: 12, RatingSD: 9,
		Effects: map[study.SampleID]float64{"A": warmedTruth}}}
	found := func(ratings []analysis.Rating) analysis.Finding {
		r, err := analysis.Analyse(s, ratings, analysis.Options{Lottery: &analysis.Lottery{Plan: plan}})
		if err != nil {
			t.Fatal(err)
		}
		return r.Findings[0]
	}
	holds := func(f analysis.Finding) bool { return f.CI.Lo <= warmedTruth && f.CI.Hi >= warmedTruth }
	for seed := uint64(1); seed <= 20; seed++ {
		ratings := analysis.Simulate(s, plan, truth, seed)
		if f := found(ratings); holds(f) && f.CI.Lo > 0 {
			keptAs(t, csv, s, ratings)
			break
		}
	}
	kept := readRatings(t, csv, s)
	again, err := analysis.Analyse(s, kept, analysis.Options{Lottery: analysis.SeededLottery(s, kept)})
	if err != nil {
		t.Fatal(err)
	}
	f := again.Findings[0] // as whoever has the files finds it: by the seed of the study
	if f.Test.Method != method.Lottery || !holds(f) || f.CI.Lo <= 0 || f.Test.P >= s.Plan.Alpha {
		t.Errorf("%v in %v by %s, p %g: %v", f.Value, f.CI, f.Test.Method, f.Test.P, f.Warnings)
	}
	held, n := 0, 100
	for seed := range uint64(n) {
		if holds(found(analysis.Simulate(s, plan, truth, 100+seed))) {
			held++
		}
	}
	if rate := float64(held) / float64(n); rate < 0.95-simulated.Margin(0.95, n) {
		t.Errorf("the interval holds the truth in %v of %d studies", rate, n)
	}
}
