package study

import "cloche/internal/method"

// PlannedTest is the method that answers the plan: of two groups of people some tests have
// their own, and within strata another; looks before the end have one, and so has evidence.
func (s *Study) PlannedTest() method.ID {
	if len(s.Plan.Looks) > 0 {
		return method.PlannedLooks
	}
	switch s.Plan.Evidence {
	case ByMixture:
		return method.Mixture
	case ByBetting:
		return method.Betting
	}
	if s.Serving.Design != One {
		return method.ID(s.Plan.Test)
	}
	strata := len(s.Serving.Strata) > 0
	switch {
	case s.Plan.Test == Equivalence && strata:
		return method.EquivalenceWithin
	case s.Plan.Test == Equivalence:
		return method.EquivalenceWelch
	case s.Plan.Test == WelchT && strata:
		return method.StratifiedT
	case s.Plan.Test == RankSum && strata:
		return method.StratifiedRankSum
	}
	return method.ID(s.Plan.Test)
}
