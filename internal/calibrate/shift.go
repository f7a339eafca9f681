package calibrate

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// shiftPart is a true difference where tasting may stop early, in standard deviations of people's differences:
// of three looks or of evidence over some fifty people about half then stop before the end.
const shiftPart = 0.4

// countShift plays a study that may stop early once more with samples that differ, and counts whether the
// interval holds by how much.
func (t tally) countShift(s *study.Study, plan *design.Plan, seed uint64) error {
	if !s.Plan.LooksEarly() {
		return nil
	}
	what, _ := truth(s)
	x := what[s.Plan.Attribute]
	shift := shiftPart * math.Sqrt2 * x.RatingSD
	x.Effects = map[study.SampleID]float64{s.Plan.Compare[0]: shift}
	what[s.Plan.Attribute] = x
	r, err := analysis.Analyse(s, analysis.Simulate(s, onEvenings(s, plan), what, seed), analysis.Options{})
	if err != nil {
		return err
	}
	if ci := r.Findings[0].CI; !ci.Absent() {
		t.count(OfShift, ci.Lo <= shift && shift <= ci.Hi)
	}
	return nil
}
