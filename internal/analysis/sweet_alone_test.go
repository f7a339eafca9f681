package analysis_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// saidOfMenu are the answers of the invented panel of studies/sweet-alone.yaml: the custard as
// on the menu is that of [sweetAt], and about as salty as most people wish, which costs
// nobody's liking.
func saidOfMenu(s *study.Study, plan *design.Plan) (all []analysis.Rating) {
	for i := range plan.Assessors {
		random := rand.New(rand.NewPCG(uint64(i), 20261218)) // of its own for each
		sweet, salty := sweetAt["A"]-random.NormFloat64(), 0.1-random.NormFloat64()
		liked := 6.9 - dropEach*max(0, math.Abs(sweet)-justRight) + random.NormFloat64()
		side := func(off float64) float64 {
			if math.Abs(off) > justRight {
				return 2 + math.Copysign(1, off)
			}
			return 2
		}
		for _, v := range plan.Assessor(i) {
			row := analysis.Rating{Assessor: analysis.AssessorLabel(i), Turn: int(v.Turn), Position: int(v.Position),
				Sitting: int(v.Sitting), Code: v.Code, Sample: plan.Samples[v.Sample]}
			for _, a := range []struct {
				id    study.AttributeID
				value float64
			}{{"liking", min(9, max(1, math.Round(liked)))}, {"sweetness", side(sweet)}, {"saltiness", side(salty)}} {
				row.Attribute, row.Value = a.id, a.value
				all = append(all, row)
			}
		}
	}
	return all
}

// The answers of the example of one dish are those that its truth gives, and what decides finds
// in them what was put there: too sweet, and liked less by who says so; of the salt nothing.
func TestAnswersOfTheStudyOfOneDish(t *testing.T) {
	const csv = "../../studies/sweet-alone-ratings.csv"
	s := parseStudy(t, "../../studies/sweet-alone.yaml")
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	keptAs(t, csv, s, saidOfMenu(s, plan))
	found := analyse(t, s, readRatings(t, csv, s)).Findings
	if len(found) != 2 || found[0].Role != analysis.Primary || found[0].N != 120 {
		t.Fatalf("%+v", found)
	}
	sweet, salty := found[0].AboutRight.Samples[0], found[1].AboutRight.Samples[0]
	if !found[0].Verdict.Different() || sweet.High.Share < 0.3 || !(sweet.High.Test.PAdjusted < 0.05) {
		t.Errorf("%+v, %+v", found[0].Verdict, sweet)
	}
	if found[1].Verdict.Different() || salty.Low.Test.PAdjusted < 0.05 || salty.High.Test.PAdjusted < 0.05 {
		t.Errorf("%+v, %+v", found[1].Verdict, salty)
	}
}
