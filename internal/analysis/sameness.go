package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/size"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// Two samples are practically the same when two one-sided tests, each at alpha, find
// that they differ by less than the smallest effect: when the interval at 1 − 2·alpha,
// [Estimate.EquivalenceCI], lies inside it (Schuirmann 1987). Sizes, tests, verdicts and
// words all follow this one rule.

// asksSameness reports whether a finding is to answer if its samples are practically
// the same. The plan asks it of the primary comparison alone: the others have no
// smallest effect, or were not sized for it.
func (f *Finding) asksSameness(plan study.AnalysisPlan) bool {
	early := f.Choice.Told != nil && f.Choice.Told.Early != nil // which decides for either
	return f.Role == Primary && (plan.Test == study.Equivalence || early)
}

// smallest is the smallest effect worth acting on, against which a finding is held; 0
// when none is stated. Of a preference, or of one sample before another, it is a share
// beyond that of chance.
func (f *Finding) smallest(plan study.AnalysisPlan) float64 {
	switch {
	case f.Choice.Told != nil:
		return plan.SmallestEffect * (1 - f.Choice.Chance)
	case f.Choice.Preferred != nil && plan.SmallestEffect > 0:
		return plan.SmallestEffect - f.Choice.Chance
	case f.Kind == KindRanking && plan.SmallestEffect > 0:
		return plan.SmallestEffect - evenShare
	case f.Kind == KindAboutRight:
		return f.AboutRight.Worth
	case f.Kind == KindWords:
		return plan.SmallestEffect
	case (f.Kind == KindPair || f.Kind == KindGroups || f.Kind == KindPanel) && f.Attribute == plan.Attribute:
		return plan.SmallestEffect
	case f.Kind == KindDose && f.Attribute == plan.Attribute: // points for each unit more
		return plan.SmallestEffect
	case f.Kind == KindFactor && f.Attribute == plan.Attribute && (f.Role == Primary ||
		f.Factor.Factor != study.NameByDish): // which is no difference of samples, but of differences
		return plan.SmallestEffect
	}
	return 0
}

// samenessLevel is the level of the interval of two one-sided tests, adjusted for so
// many findings; not ok where the finding is held against nothing.
func (f *Finding) samenessLevel(plan study.AnalysisPlan, family int) (level float64, ok bool) {
	level = 1 - 2*plan.Alpha/float64(family)
	return level, level > 0 && f.smallest(plan) > 0
}

// locateSameness finds the interval of two one-sided tests. It stays absent when there
// are too few pairs for its level.
func (f *Finding) locateSameness(plan study.AnalysisPlan, family int) error {
	level, ok := f.samenessLevel(plan, family)
	if !ok {
		return nil
	}
	e, err := f.estimatedAt(level)
	if err != nil {
		return err
	}
	f.EquivalenceCI = stats.NoInterval(level)
	if e.ci.Level >= level-1e-12 {
		f.EquivalenceCI = e.ci
	}
	return nil
}

// testSameness puts two one-sided tests in the place of the test of a difference, and
// the tests of a difference beside it: the one that speaks of the mean first.
func (f *Finding) testSameness(plan study.AnalysisPlan, t ttest.PairedResult, difference []Test, x, y []float64) error {
	margin := plan.SmallestEffect
	f.Also = difference
	if f.N > 1 && t.SD == 0 {
		f.Measure = method.MedianDifference
		f.Also = []Test{difference[2], difference[1], difference[0]}
		f.warn(warnSignInstead(method.Equivalence))
		return f.signsAtBothEnds(margin, x, y)
	}
	r, err := ttest.TOST(x, y, ttest.TOSTOptions{Lower: -margin, Upper: margin, Alpha: plan.Alpha})
	if err != nil {
		return fmt.Errorf("test of equivalence: %w", err)
	}
	f.Test = noTest(method.Equivalence)
	f.Test.Statistic, f.Test.DF, f.Test.P = r.TUpper, r.DF, r.P
	if r.PLower > r.PUpper {
		f.Test.Statistic = r.TLower
	}
	return nil
}

// signsAtBothEnds answers where all differences are equal: by two one-sided sign tests,
// one against each end of the margin, of which the larger p counts.
func (f *Finding) signsAtBothEnds(margin float64, x, y []float64) error {
	low, high := make([]float64, len(y)), make([]float64, len(y))
	for i, v := range y {
		low[i], high[i] = v-margin, v+margin
	}
	above, err := ranks.SignTest(x, low, ranks.SignTestOptions{Alternative: stats.Greater})
	if err != nil {
		return err
	}
	below, err := ranks.SignTest(x, high, ranks.SignTestOptions{Alternative: stats.Less})
	if err != nil {
		return err
	}
	f.Test = noTest(method.Sign)
	f.Test.Title += " against both ends of the smallest effect, exact"
	f.Test.Statistic, f.Test.P = float64(above.Up), max(above.P, below.P)
	if math.IsNaN(above.P) || math.IsNaN(below.P) { // all differences stand on an end
		f.Test.P = 1
	}
	return nil
}

// peopleToShowSameness are the people to add so that the test finds the samples
// practically the same with [settleChance], when they differ by as much as was found and
// scatter as the interval says; −1 when no number does.
func (f *Finding) peopleToShowSameness(plan study.AnalysisPlan) int {
	sd, groups := f.spread(), 1
	d := size.EquivalenceDesign{Lower: -f.Verdict.Margin / sd, Upper: f.Verdict.Margin / sd,
		Difference: math.Abs(f.Value) / sd, Alpha: plan.Alpha}
	if f.Kind == KindGroups { // equally large; the spread of an equal half is twice that of a rating
		groups, d.Independent, d.Lower, d.Upper, d.Difference = 2, true, 2*d.Lower, 2*d.Upper, 2*d.Difference
	}
	n, err := size.TOST(settleChance, d)
	if err != nil || n == 0 {
		return -1
	}
	return max(1, groups*n-f.N)
}
