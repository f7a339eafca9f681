package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// WarnArrivalUnknown marks answers that are to be taken one by one and whose order of
// arrival is not known; WarnEarlyShare that an estimate comes from an early stop.
const (
	WarnArrivalUnknown = "arrival-not-known"
	WarnEarlyShare     = "estimate-after-early-stop"
)

// ToldEarly is how right and wrong answers, taken one by one in the order in which they
// came, ran between the two lines of the plan (Wald 1947; ISO 16820).
type ToldEarly struct {
	Lines choice.SequentialLines
	Share float64                // of the people who truly tell, against nobody
	Steps []int                  // right answers after each one, up to the one that decided
	State choice.SequentialState // what was decided; undecided at the end: the answer stays open
	Most  int                    // answers that the plan takes at the most
	Later int                    // answers that came after the deciding one, which do not count
}

// decide puts what the lines decided in the place of tests and intervals.
func (t ToldEarly) decide(e *evidence) {
	e.found, e.inside = t.State == choice.DecidedDifferent, t.State == choice.DecidedSimilar
	e.beyond = false // the interval after an early stop is no proof of a size
	e.fewest = 1     // how many it takes is the plan's own
}

// earlyDesign is the plan of right answers that are taken one by one until they decide.
func earlyDesign(plan study.AnalysisPlan, chance float64) choice.SequentialDesign {
	return choice.SequentialDesign{P0: chance, P1: chance + plan.SmallestEffect*(1-chance), Alpha: plan.Alpha,
		Beta: plan.Beta}
}

// EarlyMost is how many answers a plan that stops early takes at the most.
func EarlyMost(s *study.Study) int {
	if n := s.Plan.StopAfter; n > 0 {
		return n
	}
	return s.Panel.Assessors
}

// Enough reports whether the answers that came so far decide, or are all that the plan
// takes. It says no more: what they decide stays shut until the study is closed. So that
// an early end does not tell it, none is told before either answer could have been reached.
// Whom the screening leaves out does not count. Errors: as those of [Analyse].
func Enough(s *study.Study, answers []Rating, screened []Screened) (bool, error) {
	a, ok := answeringOf(s.Question)
	if !ok || a.right == nil || !s.Plan.StopEarly {
		return false, fmt.Errorf("%w: it does not stop early", ErrPlan)
	}
	answers, _ = screen(ScreenedOut(s, screened), answers, nil)
	turns, err := choiceTurns(s, answers)
	if err != nil {
		return false, err
	}
	var f Finding
	f.Choice = ChoicePart{Chance: a.sized.Chance, Told: &Told{}}
	if _, err := f.takeOneByOne(s, turns, func(t choiceTurn) bool { return a.right(s, t) }); err != nil {
		return false, err
	}
	e := f.Choice.Told.Early
	either := max(e.Lines.FewestSimilar(), e.Lines.FewestDifferent())
	return e.State != choice.Undecided && len(turns) >= either || len(turns) >= e.Most, nil
}

// takeOneByOne takes turns in the order in which they were answered until they decide, and
// returns those that count.
func (f *Finding) takeOneByOne(s *study.Study, turns []choiceTurn, right func(choiceTurn) bool) ([]choiceTurn, error) {
	if slices.ContainsFunc(turns, func(t choiceTurn) bool { return t.arrived == 0 }) {
		f.warn(Warning{WarnArrivalUnknown, "it is not known in which order the answers came: they are taken in the " +
			"order of the assessors’ numbers, which decides by chance when to stop"})
	} else {
		slices.SortStableFunc(turns, func(a, b choiceTurn) int { return a.arrived - b.arrived })
	}
	e := &ToldEarly{Share: s.Plan.SmallestEffect, Most: EarlyMost(s)}
	var answers []bool
	for _, t := range turns[:min(len(turns), e.Most)] {
		answers = append(answers, right(t))
	}
	run, err := choice.Sequential(answers, earlyDesign(s.Plan, f.Choice.Chance))
	if err != nil {
		return nil, err
	}
	for _, step := range run.Steps {
		e.Steps = append(e.Steps, step.Correct)
	}
	e.Lines, e.State, e.Later = run.Lines, run.State, len(turns)-len(run.Steps)
	f.Choice.Told.Early = e
	if e.Later > 0 {
		why := "answered after the answers had decided"
		if e.State == choice.Undecided {
			why = "answered after the last answer that the plan takes"
		}
		f.Excluded = append(f.Excluded, Exclusion{Reason: why, Count: e.Later})
	}
	return turns[:len(run.Steps)], nil
}

// testEarly puts the sequential test in the place of that of a fixed number of answers. Its
// p is the chance that guesses alone decide for a difference by as many answers or fewer;
// there is none where they decided otherwise.
func (f *Finding) testEarly(plan study.AnalysisPlan) error {
	t := f.Choice.Told
	f.Choice.People = f.N // each answers once
	f.Test = Test{Method: method.Sequential, Title: method.Sequential.Title(), Statistic: float64(t.Right),
		DF: math.NaN(), DF2: math.NaN(), P: math.NaN(), PAdjusted: math.NaN()}
	if t.Early.State == choice.DecidedDifferent {
		c, err := earlyDesign(plan, f.Choice.Chance).Chances(f.N, f.Choice.Chance)
		if err != nil {
			return err
		}
		f.Test.P = c.Different
	}
	if t.Early.State != choice.Undecided && f.N < t.Early.Most {
		f.warn(Warning{WarnEarlyShare, "tasting stopped because the answers decided: the share of right answers, " +
			"that of " +
			"the people who truly tell, d′ and their intervals lie farther out than the truth on average"})
	}
	f.EquivalenceCI = f.CI
	return nil
}
