package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// samenessOfGroups puts two one-sided tests against the ends of the smallest effect in the
// place of the test of a difference of two groups: by Welch, or within strata. The groups
// are practically the same when the interval of the difference at 1 − 2·alpha lies inside
// it, which is when both tests find so (Schuirmann 1987).
func (f *Finding) samenessOfGroups(plan study.AnalysisPlan, x, y []float64) error {
	difference := f.Test
	margin := plan.SmallestEffect
	above, err := f.againstEnd(x, y, -margin, stats.Greater)
	if err != nil {
		return err
	}
	below, err := f.againstEnd(x, y, margin, stats.Less)
	if err != nil {
		return err
	}
	f.Also = append([]Test{difference}, f.Also...)
	if math.IsNaN(above.P) && min(len(x), len(y)) > 1 {
		f.Measure = method.HodgesLehmannShift
		f.warn(warnRanksInstead())
		return f.ranksAtBothEnds(margin, x, y)
	}
	f.Test = below
	if above.P > below.P {
		f.Test = above
	}
	return nil
}

// againstEnd is one of the two tests: of the difference of means against one end.
func (f *Finding) againstEnd(x, y []float64, end float64, side stats.Alternative) (Test, error) {
	o := ttest.TwoSampleOptions{Mu: end, Alternative: side}
	if f.Groups.Strata > 1 {
		t := noTest(method.EquivalenceWithin)
		r, err := f.withinStrata().Test(o)
		t.Statistic, t.DF, t.P = r.T, r.DF, r.P
		return t, err
	}
	t := noTest(method.EquivalenceWelch)
	r, err := ttest.Welch(x, y, o)
	t.Statistic, t.DF, t.P = r.T, r.DF, r.P
	return t, err
}

// ranksAtBothEnds answers where ratings have no scatter within the groups: by two one-sided
// rank-sum tests, one against each end, of which the larger p counts.
func (f *Finding) ranksAtBothEnds(margin float64, x, y []float64) error {
	shifted := func(by float64, side stats.Alternative) (ranks.MannWhitneyResult, error) {
		moved := make([]float64, len(y))
		for i, v := range y {
			moved[i] = v + by
		}
		return ranks.MannWhitney(x, moved, ranks.MannWhitneyOptions{Alternative: side, ExactCost: exactGroupsCost})
	}
	above, err := shifted(-margin, stats.Greater)
	if err != nil {
		return fmt.Errorf("rank-sum test of equivalence: %w", err)
	}
	below, err := shifted(margin, stats.Less)
	if err != nil {
		return fmt.Errorf("rank-sum test of equivalence: %w", err)
	}
	counts := below
	if above.P > below.P {
		counts = above
	}
	f.Test = noTest(method.RankSum)
	f.Test.Statistic, f.Test.P = counts.U, max(above.P, below.P)
	f.Test.Title += " against both ends of the smallest effect"
	if math.IsNaN(above.P) || math.IsNaN(below.P) { // the groups stand on an end
		f.Test.P = 1
	}
	return nil
}
