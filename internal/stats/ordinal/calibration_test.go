package ordinal

import (
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/statstest"
)

func TestCalibrationOfOrdinalModels(t *testing.T) {
	for _, c := range []statstest.Calibration{
		{Name: "ordinal effect, likelihood ratio", Studies: statstest.SimulatedStudies / 4, Slack: 0.25, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				m := drawOrdinal(rng, 40, 2, 5, 0, 0)
				m.Group = nil
				large := statstest.Must(Fit(m))
				m.Fixed = nil
				return statstest.Must(LikelihoodRatio(statstest.Must(Fit(m)), large)).P
			}},
		{Name: "ordinal effect with assessors, Wald", Studies: statstest.SimulatedStudies / 8, Slack: 0.3,
			AtMost: false, P: func(rng *rand.Rand) float64 {
				m := drawOrdinal(rng, 40, 2, 5, 1, 0)
				m.Points = 5
				f := statstest.Must(Fit(m))
				return f.Coefficients[len(f.Coefficients)-1].P
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCoverageOfOrdinalModels(t *testing.T) {
	for _, c := range []statstest.Coverage{
		{Name: "ordinal effect with assessors", Studies: statstest.SimulatedStudies / 10, Slack: 0.3,
			Miss: func(rng *rand.Rand) float64 {
				m := drawOrdinal(rng, 60, 2, 7, 1, 1)
				f := statstest.Must(Fit(m))
				return statstest.Missed(f.Coefficients[len(f.Coefficients)-1].CI, 1)
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}
