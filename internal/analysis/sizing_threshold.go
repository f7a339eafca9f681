package analysis

import (
	"math"

	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// StepOf is the factor from one amount of a series to the next, on average; not ok where
// there is no series that rises.
func StepOf(s *study.Study) (factor float64, ok bool) {
	n := len(s.Samples) - 1
	if n < 2 {
		return 0, false
	}
	least, most := s.Amount(s.Samples[1].ID), s.Amount(s.Samples[n].ID)
	factor = math.Pow(most/least, 1/float64(n-1))
	return factor, least > 0 && factor > 1 && !math.IsInf(factor, 1)
}

// ThresholdFactor is by which factor up and down the interval of the group's threshold
// reaches with n people, at least two, whose own scatter with a standard deviation of so many
// steps.
func ThresholdFactor(s *study.Study, n int, steps float64) float64 {
	step, _ := StepOf(s)
	return math.Pow(step, steps*dist.TQuantile((1+s.Plan.Level())/2, float64(n-1))/math.Sqrt(float64(n)))
}

// ThresholdAhead is how close a panel comes to the group's threshold.
type ThresholdAhead struct {
	Assessors         int
	OneStep, TwoSteps float64 // [ThresholdFactor] of people who scatter by one step, and by two
}

// ThresholdsAhead are how close n people, at least two, and twice as many come.
func ThresholdsAhead(s *study.Study, n int) (all []ThresholdAhead) {
	for _, n := range []int{n, 2 * n} {
		all = append(all, ThresholdAhead{n, ThresholdFactor(s, n, 1), ThresholdFactor(s, n, 2)})
	}
	return all
}
