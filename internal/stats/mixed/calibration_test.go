package mixed

import (
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/model"
	"cloche/internal/stats/statstest"
)

func TestCalibrationOfMixedModels(t *testing.T) {
	random := []RandomTerm{{Group: model.Term{"assessor"}}}
	unbalanced := panel{assessors: 12, samples: 4, repeats: 1, assessorSD: 1, missing: 0.15}
	fit := func(rng *rand.Rand) *Result {
		return statstest.Must(Fit(Model{Data: unbalanced.draw(rng), Fixed: []model.Term{{"sample"}}, Random: random}))
	}
	for _, c := range []statstest.Calibration{
		{Name: "mixed model F, missing ratings", Studies: statstest.SimulatedStudies, Slack: 0.15, AtMost: false,
			P: func(rng *rand.Rand) float64 { return fit(rng).Anova()[0].P }},
		{Name: "mixed model, assessor-by-sample as error", Studies: statstest.SimulatedStudies / 4, Slack: 0.3,
			AtMost: false, P: func(rng *rand.Rand) float64 {
				d := panel{assessors: 10, samples: 3, repeats: 2, assessorSD: 1, interactionSD: 0.7}.draw(rng)
				return statstest.Must(Fit(Model{Data: d, Fixed: []model.Term{{"sample"}},
					Random: append(random, RandomTerm{Group: model.Term{"assessor", "sample"}})})).Anova()[0].P
			}},
		{Name: "variance between assessors, on the boundary", Studies: statstest.SimulatedStudies / 4, Slack: 0.2,
			AtMost: true, P: func(rng *rand.Rand) float64 {
				d := panel{assessors: 30, samples: 4, sittings: 6}.draw(rng)
				large := statstest.Must(Fit(Model{Data: d, Fixed: []model.Term{{"sample"}},
					Random: []RandomTerm{{Group: model.Term{"sitting"}}, random[0]}}))
				small := statstest.Must(Fit(Model{Data: d, Fixed: []model.Term{{"sample"}},
					Random: large.model.Random[:1]}))
				return statstest.Must(LikelihoodRatio(small, large)).PBoundary
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCoverageOfMixedModels(t *testing.T) {
	p := panel{assessors: 12, samples: 3, assessorSD: 1, effect: 0.7, missing: 0.15}
	for _, c := range []statstest.Coverage{
		{Name: "mixed model pair", Studies: statstest.SimulatedStudies / 4, Slack: 0.1,
			Miss: func(rng *rand.Rand) float64 {
				f := statstest.Must(Fit(Model{Data: p.draw(rng), Fixed: []model.Term{{"sample"}},
					Random: []RandomTerm{{Group: model.Term{"assessor"}}}}))
				return statstest.Missed(statstest.Must(f.Pairs("sample"))[0].CI, 0.7)
			}},
		{Name: "mixed model mean", Studies: statstest.SimulatedStudies / 4, Slack: 0.15,
			Miss: func(rng *rand.Rand) float64 {
				f := statstest.Must(Fit(Model{Data: p.draw(rng), Fixed: []model.Term{{"sample"}},
					Random: []RandomTerm{{Group: model.Term{"assessor"}}}}))
				return statstest.Missed(statstest.Must(f.Means("sample"))[1].CI, 5.7)
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}
