package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// Codes of the warnings on what was said of a turn.
const (
	WarnOneKind    = "one-kind-served"
	WarnPooledSaid = "answers-pooled"
)

// distanceOf estimates d′ from how often the first thing was said of turns of which it is
// true, and of the others.
type distanceOf func(c choice.TwoCounts, level float64) (
	d float64, ci stats.Interval, warnings []stats.Warning, err error)

// findSaid finds whether one of two things is said more often where it is true: Fisher's
// exact test, within assessors where they answered several times; and the distance d′.
func findSaid(isTrue func(s *study.Study, t choiceTurn) bool, distance distanceOf) finder {
	return func(s *study.Study, answers []Rating, _ []Expectation, _ *leftOut, r *Result) error {
		turns, err := choiceTurns(s, answers)
		if err != nil {
			return err
		}
		f := Finding{Kind: KindChoice, Comparison: compared(s), Role: Primary, N: len(turns),
			Estimate: Estimate{Measure: method.DPrime, Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level())},
			Test: Test{Method: method.Fisher, Title: method.Fisher.Title(), Statistic: math.NaN(), DF: math.NaN(),
				P: math.NaN(), PAdjusted: math.NaN()},
			Choice: ChoicePart{People: r.Assessors, Said: &Said{}}}
		each := f.countSaid(turns, func(t choiceTurn) bool { return isTrue(s, t) })
		if err := f.testSaid(s.Plan, each, distance); err != nil {
			return err
		}
		f.conclude(s.Plan)
		r.Findings = append(r.Findings, f)
		return nil
	}
}

// countSaid counts, for each assessor and over all.
func (f *Finding) countSaid(turns []choiceTurn, isTrue func(choiceTurn) bool) []choice.TwoCounts {
	var each []choice.TwoCounts
	all := &f.Choice.Said.TwoCounts
	for i, t := range turns { // by assessor
		if i == 0 || t.assessor != turns[i-1].assessor {
			each = append(each, choice.TwoCounts{})
		}
		said := int(t.servings[0].Value)
		for _, c := range []*choice.TwoCounts{all, &each[len(each)-1]} {
			if isTrue(t) {
				c.X1, c.N1 = c.X1+said, c.N1+1
			} else {
				c.X2, c.N2 = c.X2+said, c.N2+1
			}
		}
	}
	return each
}

func (f *Finding) testSaid(plan study.AnalysisPlan, each []choice.TwoCounts, distance distanceOf) error {
	all := f.Choice.Said.TwoCounts
	if all.N1 == 0 || all.N2 == 0 {
		f.warn(Warning{WarnOneKind, "only one kind was served to those who answered: there is nothing to hold " +
			"it against"})
		return nil
	}
	d, ci, warnings, err := distance(all, plan.Level())
	if err != nil {
		return err
	}
	f.warnAll(warnings)
	f.Value, f.CI = d, ci
	f.Lean = signOf(float64(all.X1)/float64(all.N1) - float64(all.X2)/float64(all.N2))
	strata := []choice.TwoCounts{all}
	if len(each) < f.N {
		strata = each
		f.Test.Method, f.Test.Title = method.FisherWithin, method.FisherWithin.Title()
		f.warn(Warning{WarnPooledSaid, fmt.Sprintf("%d answers by %d assessors: the test holds each assessor's "+
			"answers against one another, the distance d′ and its interval take all as independent", f.N, len(each))})
	}
	f.Test.Statistic = float64(all.X1)
	f.Test.P, err = choice.MoreInFirst(strata)
	return err
}
