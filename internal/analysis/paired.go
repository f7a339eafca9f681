package analysis

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// Codes of the warnings on choices between two.
const (
	WarnUndecidedSplit  = "undecided-split"
	WarnAnswersTogether = "answers-together"
	WarnServedFirst     = "served-first"
)

// findPaired counts who chooses which of the two samples (ISO 5495), as the one liked
// better or with more of something, and tests the share of the first against one half by
// the exact binomial test. Who has no preference is left out of the test or counted half
// for each, as the plan says; an odd one of those counts for neither. Where an assessor
// answers several times and the answers of one go together, the test is by the
// beta-binomial model. Of an attribute the distance d′ is told too: positive where the
// first sample has more.
func findPaired(s *study.Study, answers []Rating, _ []Expectation, _ *leftOut, r *Result) error {
	turns, err := choiceTurns(s, answers)
	if err != nil {
		return err
	}
	f := Finding{Kind: KindChoice, Comparison: s.Plan.Compare[:], Role: Primary, N: len(turns),
		Choice: ChoicePart{Chance: 0.5, People: r.Assessors, Preferred: &Preferred{}}}
	each := f.countPreferred(s.Plan, turns)
	if err := f.testPreference(s.Plan); err != nil {
		return err
	}
	if f.Choice.People < f.N {
		if err := f.testReplicated(s.Plan, each); err != nil {
			return err
		}
	}
	if err := f.checkServedFirst(turns, s.Plan.Level()); err != nil {
		return err
	}
	if s.Question.Kind().Attributes == study.OneNamed {
		f.Attribute = s.Attributes[0].ID
		if err := f.distance(); err != nil {
			return err
		}
	}
	f.conclude(s.Plan)
	r.Findings = append(r.Findings, f)
	return nil
}

// countPreferred counts the choices, and those of each assessor who chose at all: how
// often the first sample.
func (f *Finding) countPreferred(plan study.AnalysisPlan, turns []choiceTurn) []choice.Trials {
	p := f.Choice.Preferred
	index := map[string]int{}
	var each []choice.Trials
	for _, t := range turns {
		chosen := t.chosen()
		if chosen == "" {
			p.None++
			continue
		}
		i, ok := index[t.assessor]
		if !ok {
			i, index[t.assessor] = len(each), len(each)
			each = append(each, choice.Trials{})
		}
		each[i].N++
		if chosen == plan.Compare[0] {
			each[i].Correct++
			p.First++
			continue
		}
		p.Second++
	}
	if plan.Undecided == study.SplitUndecided {
		p.Split = p.None / 2 * 2
	}
	return each
}

// testPreference tests the share of the first sample, with Wilson's interval.
func (f *Finding) testPreference(plan study.AnalysisPlan) error {
	p := f.Choice.Preferred
	x, n := p.First+p.Split/2, p.First+p.Second+p.Split
	t, err := choice.BinomialTest(x, n, f.Choice.Chance,
		choice.BinomialTestOptions{Alternative: sideOf(plan.Sides), Level: plan.Level()})
	if err != nil {
		return err
	}
	f.warnAll(t.Warnings)
	f.Estimate = Estimate{Measure: method.Share, Value: t.Proportion, CI: t.Wilson, Lean: signOf(float64(2*x - n))}
	if level, ok := f.samenessLevel(plan, 1); ok {
		f.EquivalenceCI = choice.WilsonInterval(x, n, level)
	}
	f.Test = Test{Method: method.Binomial, Title: method.Binomial.Title(), Statistic: float64(x), DF: math.NaN(),
		P: t.P, PAdjusted: math.NaN()}
	if p.Split > 0 {
		f.warn(Warning{WarnUndecidedSplit, fmt.Sprintf("%d answers without a preference count half for each, as "+
			"planned: that pulls the share towards one half and treats as choices what was none", p.Split)})
	}
	return nil
}

// distance adds d′ at the share that chose the first sample, below one half negative.
func (f *Finding) distance() error {
	var failed error
	at := func(share float64) float64 {
		d, err := choice.TwoAFC.DPrime(max(share, 1-share))
		failed = errors.Join(failed, err)
		return math.Copysign(d, share-0.5)
	}
	if f.CI.Absent() {
		return nil
	}
	f.Effects = append(f.Effects, Effect{Measure: method.DPrime, Value: at(f.Value),
		CI: stats.Interval{Lo: at(f.CI.Lo), Hi: at(f.CI.Hi), Level: f.CI.Level}})
	return failed
}

// testReplicated puts the test and interval of the beta-binomial model in place of those
// that take all answers as independent, where the answers of one assessor go together.
func (f *Finding) testReplicated(plan study.AnalysisPlan, each []choice.Trials) error {
	if len(each) == 0 {
		return nil
	}
	mirrored := f.Lean < 0 // the model keeps the share at one half or above
	trials := make([]choice.Trials, len(each))
	for i, t := range each {
		if trials[i] = t; mirrored {
			trials[i].Correct = t.N - t.Correct
		}
	}
	fit, err := choice.ReplicatedDiscrimination(trials, choice.TwoAFC)
	if err != nil {
		return err
	}
	if f.Value == 0 || f.Value == 1 { // whether they go together cannot be told: each counts once
		return f.testOnceEach(plan, len(each))
	}
	if !(fit.Gamma > 0) {
		return nil
	}
	se := fit.PCSE
	if !(se > 0) { // at the edge of the model: by the variance that it gives to the mean
		squares := 0
		for _, t := range each {
			squares += t.N * t.N
		}
		n := float64(fit.Trials)
		se = math.Sqrt(fit.PC * (1 - fit.PC) / n * (1 + (float64(squares)/n-1)*fit.Gamma))
	}
	f.warn(Warning{WarnAnswersTogether, fmt.Sprintf("the answers of one assessor go together (γ = %s, %s): "+
		"%d answers tell less than as many people would, and the test allows for that", Points(fit.Gamma),
		pText(fit.PGamma), f.N)})
	share := fit.PC
	if mirrored {
		share = 1 - share
	}
	z := (share - f.Choice.Chance) / se
	naive := f.Test
	f.Test = Test{Method: method.BetaBinomial, Title: method.BetaBinomial.Title(), Statistic: z, DF: math.NaN(),
		P: normalP(z, sideOf(plan.Sides)), PAdjusted: math.NaN()}
	f.Also = []Test{naive}
	around := func(level float64) stats.Interval {
		half := dist.NormalQuantile((1+level)/2) * se
		return stats.Interval{Lo: max(0, share-half), Hi: min(1, share+half), Level: level}
	}
	f.Value, f.CI = share, around(plan.Level())
	if level, ok := f.samenessLevel(plan, 1); ok {
		f.EquivalenceCI = around(level)
	}
	return nil
}

// testOnceEach tests a share of 0 or 1 by people instead of answers.
func (f *Finding) testOnceEach(plan study.AnalysisPlan, people int) error {
	x := int(f.Value) * people
	t, err := choice.BinomialTest(x, people, f.Choice.Chance,
		choice.BinomialTestOptions{Alternative: sideOf(plan.Sides), Level: plan.Level()})
	if err != nil {
		return err
	}
	f.Test.Statistic, f.Test.P, f.CI = float64(x), t.P, t.Wilson
	if level, ok := f.samenessLevel(plan, 1); ok {
		f.EquivalenceCI = choice.WilsonInterval(x, people, level)
	}
	return nil
}

// checkServedFirst counts who chose the plate that was served first.
func (f *Finding) checkServedFirst(turns []choiceTurn, level float64) error {
	if f.Choice.People < f.N {
		f.warn(warnOrderUnchecked("each assessor answers several times, and the answers of one may go together"))
		return nil
	}
	first, chose := 0, 0
	for _, t := range turns {
		if t.servings[0].Position == 0 {
			f.warn(warnOrderUnknown())
			return nil
		}
		if chosen := t.chosen(); chosen != "" {
			chose++
			if t.servings[0].Sample == chosen {
				first++
			}
		}
	}
	if chose == 0 {
		return nil
	}
	t, err := choice.BinomialTest(first, chose, 0.5, choice.BinomialTestOptions{Level: level})
	if err != nil {
		return err
	}
	f.Checks = append(f.Checks, Check{Method: method.ServedFirst, Title: method.ServedFirst.Title(),
		Estimate: math.NaN(), Statistic: float64(first), DF: math.NaN(), DF2: math.NaN(), P: t.P})
	if t.P < 1-level {
		f.warn(Warning{WarnServedFirst, fmt.Sprintf("%d of the %d who chose took the plate that was served first "+
			"(%s): the order counted too; where both orders were served equally often, that pulls the share towards "+
			"one half", first, chose, pText(t.P))})
	}
	return nil
}

// normalP is the p-value of a standard normal statistic.
func normalP(z float64, side stats.Alternative) float64 {
	upper := math.Erfc(z/math.Sqrt2) / 2
	switch side {
	case stats.Greater:
		return upper
	case stats.Less:
		return 1 - upper
	}
	return math.Erfc(math.Abs(z) / math.Sqrt2)
}
