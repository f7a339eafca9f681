package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// findTold finds how many answers are right, and whether that is more than guessing gives:
// the exact binomial test (ISO 4120, ISO 10399, ISO 5495), the share of people who truly
// tell, and the distance d′. Where assessors answer several times and the answers of one
// go together, the interval is that of the beta-binomial model; the test holds as it is,
// for the answers of those who guess are independent, whoever gives them.
func findTold(p choice.Protocol, right func(s *study.Study, t choiceTurn) bool) finder {
	return func(s *study.Study, answers []Rating, _ []Expectation, _ *leftOut, r *Result) error {
		turns, err := choiceTurns(s, answers)
		if err != nil {
			return err
		}
		isRight := func(t choiceTurn) bool { return right(s, t) }
		f := Finding{Kind: KindChoice, Comparison: compared(s), Role: Primary,
			Choice: ChoicePart{Chance: p.Chance(), People: r.Assessors, Told: &Told{}}}
		if s.Plan.StopEarly {
			if turns, err = f.takeOneByOne(s, turns, isRight); err != nil {
				return err
			}
		}
		f.N = len(turns)
		if s.Question.Kind().Attributes == study.OneNamed {
			f.Attribute = s.Attributes[0].ID
		}
		if err := f.testTold(s.Plan, p, f.countRight(turns, isRight)); err != nil {
			return err
		}
		if err := f.testAsPlanned(s.Plan); err != nil {
			return err
		}
		f.conclude(s.Plan)
		r.Findings = append(r.Findings, f)
		return nil
	}
}

// compared are the two samples: as the plan has them, else as the study lists them.
func compared(s *study.Study) []study.SampleID {
	if s.Plan.Compare[0] != "" || len(s.Samples) != s.Question.Kind().Samples {
		return s.Plan.Compare[:]
	}
	return []study.SampleID{s.Samples[0].ID, s.Samples[1].ID}
}

// countRight counts right answers, and those of each assessor.
func (f *Finding) countRight(turns []choiceTurn, right func(choiceTurn) bool) []choice.Trials {
	var each []choice.Trials
	for i, t := range turns { // by assessor
		if i == 0 || t.assessor != turns[i-1].assessor {
			each = append(each, choice.Trials{})
		}
		last := &each[len(each)-1]
		last.N++
		if right(t) {
			last.Correct++
			f.Choice.Told.Right++
		}
	}
	return each
}

// testTold tests the share of right answers against guessing.
func (f *Finding) testTold(plan study.AnalysisPlan, p choice.Protocol, each []choice.Trials) error {
	x, level := f.Choice.Told.Right, plan.Level()
	d, err := choice.Discrimination(x, f.N, p, choice.DiscriminationOptions{Level: level})
	if err != nil {
		return err
	}
	f.Estimate = Estimate{Measure: method.RightShare, Value: d.PC, CI: d.PCCI, Lean: signOf(d.PC - d.Chance)}
	f.Test = Test{Method: method.Binomial, Title: method.Binomial.Title(), Statistic: float64(x), DF: math.NaN(),
		P: d.PDifference, PAdjusted: math.NaN()}
	f.Choice.Told.Tellers = Effect{Measure: method.Tellers, Value: d.Discriminators, CI: d.DiscriminatorsCI}
	f.Choice.Told.DPrime = Effect{Measure: method.DPrime, Value: d.DPrime, CI: d.DPrimeCI}
	f.warnAll(d.Warnings)
	least, reachable, err := choice.MinCorrect(f.N, d.Chance, plan.Alpha)
	if f.Choice.Told.Least = least; err != nil {
		return err
	}
	if !reachable {
		f.Choice.Told.Least = f.N + 1
	}
	if f.Choice.People == f.N {
		return nil
	}
	fit, err := choice.ReplicatedDiscrimination(each, p)
	if err != nil || !(fit.Gamma > 0) || !(fit.PCSE > 0) {
		return err
	}
	f.warn(Warning{WarnAnswersTogether, fmt.Sprintf("the answers of one assessor go together (γ = %s, %s): "+
		"the interval allows for that; the test needs not, for guesses are independent, whoever makes them",
		Points(fit.Gamma),
		pText(fit.PGamma))})
	half := dist.NormalQuantile((1+level)/2) * fit.PCSE
	f.Value, f.CI = fit.PC, stats.Interval{Lo: max(0, fit.PC-half), Hi: min(1, fit.PC+half), Level: level}
	return f.mapTold(p)
}

// mapTold gives the people who tell, and the distance, at the share of right answers.
func (f *Finding) mapTold(p choice.Protocol) error {
	chance := f.Choice.Chance
	tell := func(right float64) float64 { return max(0, (right-chance)/(1-chance)) }
	t := f.Choice.Told
	t.Tellers.Value = tell(f.Value)
	t.Tellers.CI = stats.Interval{Lo: tell(f.CI.Lo), Hi: tell(f.CI.Hi), Level: f.CI.Level}
	var err [3]error
	t.DPrime.CI.Level = f.CI.Level
	t.DPrime.Value, err[0] = p.DPrime(f.Value)
	t.DPrime.CI.Lo, err[1] = p.DPrime(f.CI.Lo)
	t.DPrime.CI.Hi, err[2] = p.DPrime(f.CI.Hi)
	for _, e := range err {
		if e != nil {
			return e
		}
	}
	return nil
}

// oddOne reports whether the serving chosen is the only one of its sample.
func oddOne(_ *study.Study, t choiceTurn) bool {
	chosen, n := t.chosen(), 0
	for _, r := range t.servings {
		if r.Sample == chosen {
			n++
		}
	}
	return n == 1
}

// firstOne reports whether the serving chosen is of the sample that the plan says has more.
func firstOne(s *study.Study, t choiceTurn) bool { return t.chosen() == s.Plan.Compare[0] }

// asReference reports whether the serving chosen is of the sample of the reference.
func asReference(_ *study.Study, t choiceTurn) bool { return t.chosen() == t.servings[0].Reference }
