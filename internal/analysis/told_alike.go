package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// Codes of the warnings on whether so few tell two samples apart that they pass for the same.
const (
	WarnPanelNoAlike      = "panel-cannot-show-alike"
	WarnReplicatesNoAlike = "replicates-cannot-show-alike"
)

// ToldAlike is whether so few people tell two samples apart that they pass for the same
// (ISO 4120, ISO 10399): at most so many right answers show it.
type ToldAlike struct {
	Share float64 // of the people who truly tell, from which on the samples would not pass
	Most  int     // right answers that still show it; −1 where no number does
	P     float64 // of so few right answers or fewer, if that share told the samples apart
	Upper Effect  // share of those who truly tell, at most: one-sided, at the level 1 − beta
}

// Shown reports whether so many right answers show it.
func (a ToldAlike) Shown(right int) bool { return right <= a.Most }

// testAsPlanned puts the planned test in the place of that of a difference.
func (f *Finding) testAsPlanned(plan study.AnalysisPlan) error {
	switch {
	case plan.StopEarly:
		return f.testEarly(plan)
	case plan.Test == study.Equivalence:
		return f.testAlike(plan)
	}
	return nil
}

// testAlike puts the test of whether so few tell that the samples pass for the same in the
// place of that of a difference, and that beside it. Each has a risk of its own: beta of
// calling alike what just the smallest effect tells apart, alpha of calling guesses a
// difference.
//
// A panel so small that even fewer right answers than guessing gives are too many can
// conclude nothing (ISO 4120). Several answers of one person may be used for a difference
// but not here.
func (f *Finding) testAlike(plan study.AnalysisPlan) error {
	t, chance := f.Choice.Told, f.Choice.Chance
	most, reachable, err := choice.MaxCorrectSimilar(f.N, chance, plan.SmallestEffect, plan.Beta)
	if err != nil {
		return err
	}
	tells := chance + plan.SmallestEffect*(1-chance)
	upper := dist.ClopperPearson(t.Right, f.N, 1-2*plan.Beta).Hi
	a := &ToldAlike{Share: plan.SmallestEffect, Most: most, P: dist.BinomialCDF(t.Right, f.N, tells),
		Upper: Effect{Measure: method.Tellers, Value: max(0, (upper-chance)/(1-chance)),
			CI: stats.Interval{Lo: 0, Hi: max(0, (upper-chance)/(1-chance)), Level: 1 - plan.Beta}}}
	switch {
	case f.Choice.People < f.N:
		a.Most = -1
		f.warn(Warning{WarnReplicatesNoAlike, fmt.Sprintf("%d answers come from %d people: those of one person "+
			"are not "+
			"independent, so that they cannot show that two samples pass for the same", f.N, f.Choice.People)})
	case !reachable || float64(most) < chance*float64(f.N):
		a.Most = -1
		f.warn(Warning{WarnPanelNoAlike, fmt.Sprintf("with %d answers no result can show that fewer than %s tell "+
			"the two "+
			"apart: it would take fewer right answers than guessing gives", f.N, Percent(plan.SmallestEffect))})
	}
	t.Alike = a
	f.EquivalenceCI = stats.Interval{Lo: 0, Hi: upper, Level: 1 - plan.Beta}
	f.Also = []Test{f.Test}
	f.Test = Test{Method: method.Similarity, Title: method.Similarity.Title(), Statistic: float64(t.Right),
		DF: math.NaN(), DF2: math.NaN(), P: a.P, PAdjusted: math.NaN()}
	return nil
}

// answersToShowAlike are the answers to add so that so few right ones come with
// [settleChance] that the samples pass for the same, when as many tell as were found; −1
// when no number does.
func (f *Finding) answersToShowAlike(plan study.AnalysisPlan) int {
	needed, err := size.Binomial(settleChance, 0, alikeDesign(f.Choice.Chance, plan.SmallestEffect, plan.Beta,
		max(f.Choice.Chance, f.Value)))
	if err != nil || needed.Stable.N == 0 {
		return -1
	}
	return f.moreAnswers(needed.Stable.N)
}

// alikeDesign is the one-sided test of whether fewer tell than the share that matters,
// when right answers are of the given share.
func alikeDesign(chance, share, beta, right float64) size.BinomialDesign {
	return size.BinomialDesign{P0: chance + share*(1-chance), P1: right, Alpha: beta, Alternative: stats.Less}
}
