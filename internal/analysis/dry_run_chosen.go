package analysis

import (
	"fmt"
	"math"

	"cloche/internal/study"
)

// What a dry run of rising amounts assumes of people: their own thresholds scatter with a
// standard deviation of one step of the series, and each comes to taste it over about one
// step (a choice of ours).
const (
	stepsOfScatter = 1
	logitsOfStep   = 4
)

// MiddleOfSeries is the geometric middle of the amounts of a threshold.
func MiddleOfSeries(s *study.Study) float64 {
	least, most := s.Amount(s.Samples[1].ID), s.Amount(s.Samples[len(s.Samples)-1].ID)
	return math.Sqrt(least * most)
}

// chooses reports whether people choose or sort servings, and are right or wrong.
func (d DryRun) chooses() bool {
	k := d.Study.Question.Kind()
	return k.Tells || k.Ascending
}

// checkChosen refuses a truth that cannot be simulated.
func (d DryRun) checkChosen() error {
	share := d.Study.Question.Kind().Tells || d.ticks()
	if !(d.Difference >= 0) || math.IsInf(d.Difference, 0) || share && d.Difference >= 1 {
		return fmt.Errorf("%w: a share of %g who truly tell, or tick, cannot be simulated", ErrPlan, d.Difference)
	}
	return nil
}

// chosen are the answers of one simulated study: the share of the people who truly tell is
// right and the others guess, or half of the people taste it from an amount on.
func (d DryRun) chosen(seed uint64) []Rating {
	if !d.Study.Question.Kind().Ascending {
		return SimulateTold(d.Study, d.Plan, d.Difference, seed)
	}
	truth := TrueThreshold{Middle: d.Difference}
	if step, ok := StepOf(d.Study); ok {
		truth.Spread, truth.Slope = stepsOfScatter*math.Log10(step), logitsOfStep/math.Log10(step)
	}
	return SimulateThreshold(d.Study, d.Plan, truth, seed)
}

// finds analyses one simulated study after another: whether the planned question is answered
// as it looks for.
func (d DryRun) finds(s *study.Study, answers func(seed uint64) []Rating) func(seed uint64) (bool, error) {
	q, _ := answeringOf(s.Question)
	return func(seed uint64) (bool, error) {
		all := answers(seed)
		r := &Result{Assessors: len(assessorsOf(all))}
		if err := q.find(s, all, nil, newLeftOut(nil), r); err != nil {
			return false, err
		}
		return FindsAsPlanned(s, r.Findings[0]), nil
	}
}

// FindsAsPlanned reports whether the primary finding finds what its plan looks for: a
// difference, or that so few tell two samples apart that they pass for the same.
func FindsAsPlanned(s *study.Study, f Finding) bool {
	switch {
	case s.Plan.StopEarly, s.Question.Kind().OneDish:
		return f.Verdict.Different()
	case s.Question.Kind().Tells && s.Plan.Test == study.Equivalence:
		return f.Verdict.Code == Alike
	}
	return f.Test.P < s.Plan.Alpha
}
