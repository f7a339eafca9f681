package analysis_test

import (
	"bytes"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/study"
)

// nutmegTruth is what holds in the invented panel of studies/nutmeg-for-some.yaml: with nutmeg
// (A) the custard tastes 5 points sweeter on average. What is a guest's own about each
// custard scatters by 6, and so the difference that they taste by 8.5; a rating is off by 6.
var nutmegTruth = analysis.Truth{"sweetness": {Mean: 46, Effects: map[study.SampleID]float64{"A": 5, "B": 0},
	AssessorSD: 12, SampleSD: 6, RatingSD: 6}}

// keptAs compares the invented ratings of an example with its file, or writes them there.
func keptAs(t *testing.T, csv string, s *study.Study, ratings []analysis.Rating) {
	t.Helper()
	var b bytes.Buffer
	if err := analysistest.WriteCSV(&b, s, ratings); err != nil {
		t.Fatal(err)
	}
	if *makeRatings {
		if err := os.WriteFile(csv, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(csv)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, b.Bytes()) {
		t.Errorf("%s is not what the truth gives; run this test with -ratings and read the difference", csv)
	}
}

// The ratings of the example with three pairs each are those that its truth gives with the
// first seed from 1 whose intervals hold what was put into it; over many seeds 95 % of them do.
func TestRatingsOfTheStudyOfNoise(t *testing.T) {
	const csv = "../../studies/nutmeg-for-some-ratings.csv"
	s := parseStudy(t, "../../studies/nutmeg-for-some.yaml")
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	for seed := uint64(1); seed <= 10; seed++ {
		ratings := analysis.Simulate(s, plan, nutmegTruth, seed)
		if holdsNutmeg(analyse(t, s, ratings).Findings[0]) {
			keptAs(t, csv, s, ratings)
			break
		}
	}
	f := analyse(t, s, readRatings(t, csv, s)).Findings[0]
	if p := f.People; p == nil || p.N != 32 || p.Replicates != 3 || !p.Differ(0.05) || !holdsNutmeg(f) {
		t.Errorf("%+v of %+v", p, f.Estimate)
	}
}

// holdsNutmeg reports whether the interval of the mean effect holds 5 and that of the spread
// between guests 8.5.
func holdsNutmeg(f analysis.Finding) bool {
	spread := f.People.SDPeopleCI
	return f.CI.Lo <= 5 && f.CI.Hi >= 5 && spread.Lo <= 8.5 && spread.Hi >= 8.5
}
