package analysis

import (
	"math"

	"cloche/internal/design"
	"cloche/internal/study"
)

// TrueThreshold is what holds of invented people: half of them taste it from Middle on. The
// zero value is that nobody tastes anything.
type TrueThreshold struct {
	Middle float64 // an amount; 0 = nobody tastes any
	Spread float64 // standard deviation of log10 of people's own thresholds
	Slope  float64 // how fast one person comes to taste it: logits for each tenfold amount
}

// SimulateThreshold invents the answers to all trays of a plan: whoever tastes the serving
// with the amount chooses it, the others guess.
func SimulateThreshold(s *study.Study, plan *design.Plan, truth TrueThreshold, seed uint64) []Rating {
	random := newStream(seed, "rising amounts")
	var all []Rating
	who, own := "", 0.0
	for _, tray := range turnsTold(s, plan) {
		if tray[0].Assessor != who {
			who, own = tray[0].Assessor, math.Log10(truth.Middle)+truth.Spread*random.NormFloat64()
		}
		raised := choiceTurn{servings: tray}.raised(s)
		tastes := 1 / (1 + math.Exp(-truth.Slope*(math.Log10(s.Amount(raised))-own)))
		if truth.Middle == 0 {
			tastes = 0
		}
		chosen := random.IntN(len(tray))
		if random.Float64() < tastes {
			for j, r := range tray {
				if r.Sample == raised {
					chosen = j
				}
			}
		}
		for j, r := range tray {
			r.Attribute, r.Value = study.ChoiceAnswer, float64(boolToInt(j == chosen))
			all = append(all, r)
		}
	}
	return all
}
