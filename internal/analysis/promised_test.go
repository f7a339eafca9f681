package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// What holds in the invented panel of studies/promised-sweet.yaml: how much sweeter each name
// promises the custard than it tastes blind, on average over people who differ in that, and
// which share of their own promise each person goes.
var (
	promisedSweet = map[study.NameID]float64{"brulee": 20, "royale": -12}
	goesOfIt      = map[study.NameID]float64{"brulee": 0.5, "royale": 0}
)

// promisedAnswers are the answers of that panel.
func promisedAnswers(s *study.Study, plan *design.Plan, seed uint64) (all []analysis.Rating,
	said []analysis.Expectation) {
	on := func(v float64) float64 { return min(100, max(0, math.Round(v))) }
	for i := range plan.Assessors {
		random := rand.New(rand.NewPCG(uint64(i), seed)) // of its own for each
		level, gap := 42+10*random.NormFloat64(), map[study.NameID]float64{}
		for _, n := range s.Names {
			gap[n.ID] = promisedSweet[n.ID] + 8*random.NormFloat64()
		}
		who := analysis.AssessorLabel(i)
		for _, v := range plan.Assessor(i) {
			x, _ := s.Sample(plan.Samples[v.Sample])
			if v.Role == design.Expected {
				said = append(said, analysis.Expectation{Assessor: who, Name: x.Name, Attribute: "sweetness",
					Value: on(level + gap[x.Name] + 7*random.NormFloat64())})
				continue
			}
			all = append(all, analysis.Rating{Assessor: who, Turn: int(v.Turn), Position: int(v.Position),
				Code: v.Code, Sample: x.ID, Attribute: "sweetness",
				Value: on(level + goesOfIt[x.Name]*gap[x.Name] + 6*random.NormFloat64())})
		}
	}
	return all, said
}

// The answers of the example are those that its truth gives, and the truth lies inside the
// intervals that are found.
func TestAnswersOfTheStudyOfPromises(t *testing.T) {
	const csv, before = "../../studies/promised-sweet-ratings.csv", "../../studies/promised-sweet-expected.csv"
	s := parseStudy(t, "../../studies/promised-sweet.yaml")
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	ratings, said := promisedAnswers(s, plan, 1)
	keptAs(t, csv, s, ratings)
	want := []byte("assessor,name,attribute,value\n")
	for _, x := range said {
		want = fmt.Appendf(want, "%s,%s,%s,%g\n", x.Assessor, x.Name, x.Attribute, x.Value)
	}
	if *makeRatings {
		if err := os.WriteFile(before, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(before)
	if err != nil || !bytes.Equal(kept, want) {
		t.Errorf("%s is not what its truth gives (%v)", before, err)
	}
	read, problems := analysis.ReadExpectedCSV(before, bytes.NewReader(kept), s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	r, err := analysis.Analyse(s, readRatings(t, csv, s), analysis.Options{Expected: read})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Ways) != 2 {
		t.Fatalf("%d ways", len(r.Ways))
	}
	for _, w := range r.Ways {
		x, _ := s.Sample(w.Sample)
		truth, gap := goesOfIt[x.Name], promisedSweet[x.Name]
		if w.N != 60 || w.Fieller.CI.Lo > truth || w.Fieller.CI.Hi < truth || w.Gap.CI.Lo > gap || w.Gap.CI.Hi < gap {
			t.Errorf("%s: share %g in %v, promised %g in %v", x.Name, w.Fieller.Ratio, w.Fieller.CI, w.Gap.Value,
				w.Gap.CI)
		}
		if hasWarning(w.Warnings, analysis.WarnNamedBeforeBlind) {
			t.Error("the blind ones come first")
		}
	}
	if r.Ways[0].Verdict != dose.PartOfTheWay || r.Ways[1].Verdict != dose.NoneOrPart {
		t.Errorf("%s and %s", r.Ways[0].Verdict, r.Ways[1].Verdict)
	}
}
