package analysis_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// What holds in the invented panel of studies/sweet-enough.yaml. Each guest has a sweetness of
// their own wish, and the custards lie on that line at sweetAt, in standard deviations of
// wishes; about right is what lies within justRight of it, and liking falls by dropEach of
// nine points for each one that a custard lies further off than that.
var sweetAt = map[study.SampleID]float64{"A": 0.9, "B": 0.15}

const (
	justRight = 0.75
	dropEach  = 1.1
)

// sweetAnswers are the answers of that panel.
func sweetAnswers(s *study.Study, plan *design.Plan) (all []analysis.Rating) {
	for i := range plan.Assessors {
		random := rand.New(rand.NewPCG(uint64(i), 20261216)) // of its own for each
		wish, mood := random.NormFloat64(), 0.8*random.NormFloat64()
		for _, v := range plan.Assessor(i) {
			sample := plan.Samples[v.Sample]
			off := sweetAt[sample] + 0.4*random.NormFloat64() - wish
			side := 2.0
			if math.Abs(off) > justRight {
				side += math.Copysign(1, off)
			}
			liked := 6.9 + mood - dropEach*max(0, math.Abs(off)-justRight) + 0.6*random.NormFloat64()
			row := analysis.Rating{Assessor: analysis.AssessorLabel(i), Turn: int(v.Turn), Position: int(v.Position),
				Sitting: int(v.Sitting), Code: v.Code, Sample: sample}
			for _, a := range []struct {
				id    study.AttributeID
				value float64
			}{{"liking", min(9, max(1, math.Round(liked)))}, {"sweetness", side}} {
				row.Attribute, row.Value = a.id, a.value
				all = append(all, row)
			}
		}
	}
	return all
}

// The answers of the example about right are those that its truth gives, and the report finds
// in them what was put there: too sweet as on the menu, and liked less by who says so.
func TestAnswersOfTheStudyAboutRight(t *testing.T) {
	const csv = "../../studies/sweet-enough-ratings.csv"
	s := parseStudy(t, "../../studies/sweet-enough.yaml")
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	keptAs(t, csv, s, sweetAnswers(s, plan))
	for _, f := range analyse(t, s, readRatings(t, csv, s)).Findings {
		if f.Kind != analysis.KindAboutRight {
			continue
		}
		menu, fifth := f.AboutRight.Samples[0], f.AboutRight.Samples[1]
		if f.N != 60 || menu.High.Share < 0.3 || fifth.High.Share >= menu.High.Share || menu.High.Drop.Value <= 0 ||
			f.AboutRight.Moves[0].Test.P >= 0.05 {
			t.Errorf("%+v", f.AboutRight)
		}
		return
	}
	t.Error("nothing was found about right")
}
