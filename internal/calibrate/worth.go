package calibrate

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// Where a name is laid on a series of amounts the series rises, by the smallest slope worth
// acting on, so that amounts can be told apart. How strongly people taste it differs between
// them by tastePart. Each study is simulated once more with a name that is worth worthPart of
// the series: the set of amounts has to hold that, whatever its shape.
const (
	tastePart = 0.3
	worthPart = 0.25
	risePart  = 0.5 // of the scale, over the series, where the plan states no slope
)

// riseWith has the ratings that decide rise with the amounts, and a name be worth so much,
// where a name is laid on a series. A series by itself changes nothing.
func riseWith(s *study.Study, all analysis.Truth, worth float64) {
	series, laid := s.Series()
	if len(laid) == 0 {
		return
	}
	x, slope := all[s.Plan.Attribute], riseOf(s)
	x.Effects, x.EffectSD = map[study.SampleID]float64{}, tastePart
	centre := 0.0
	for _, v := range series {
		centre += s.Amount(v.ID) / float64(len(series))
	}
	for _, v := range s.Samples {
		x.Effects[v.ID] = slope * (s.Amount(v.ID) - centre)
	}
	for _, v := range laid {
		x.Effects[v.ID] += slope * worth
	}
	all[s.Plan.Attribute] = x
}

// riseOf is how much each unit more adds, in points.
func riseOf(s *study.Study) float64 {
	if s.Plan.SmallestEffect > 0 {
		return s.Plan.SmallestEffect
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	return risePart * (a.Scale.Max() - a.Scale.Min()) / spanOf(s)
}

// spanOf is from the least amount to the most.
func spanOf(s *study.Study) float64 {
	series, _ := s.Series()
	return s.Amount(series[len(series)-1].ID) - s.Amount(series[0].ID)
}

// countWorth plays a study in which the first name that is laid on the series is worth
// something, and counts what is said of it.
func (t tally) countWorth(s *study.Study, plan *design.Plan, seed uint64) error {
	if _, laid := s.Series(); !s.Question.Kind().Amounts || len(laid) == 0 {
		return nil
	}
	what, _ := truth(s)
	worth := worthPart * spanOf(s)
	riseWith(s, what, worth)
	r, err := analysis.Analyse(s, analysis.Simulate(s, onEvenings(s, plan), what, seed), analysis.Options{})
	if err != nil {
		return err
	}
	set := r.Findings[0].Dose.Laid.Fieller
	if set.Shape == "" { // no line could be drawn
		return nil
	}
	t.count(OfWorth, set.Holds(worth))
	if r.Findings[0].Dose.Complete {
		t.count(OfUnbounded, set.Shape != dose.Bounded)
	}
	return nil
}

// unbounded is how often amounts that everybody rates are not told apart: as often as a t
// test of the mean of people's own slopes finds none.
func unbounded(s *study.Study) float64 {
	what, _ := truth(s)
	x, ss := what[s.Plan.Attribute], 0.0
	series, _ := s.Series()
	mean := 0.0
	for _, v := range series {
		mean += s.Amount(v.ID) / float64(len(series))
	}
	for _, v := range series {
		ss += (s.Amount(v.ID) - mean) * (s.Amount(v.ID) - mean)
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	own := a.Scale.Step() * a.Scale.Step() / 12 // of rounding
	own += x.SampleSD*x.SampleSD + x.RatingSD*x.RatingSD/float64(max(1, s.Serving.Replicates))
	slope := riseOf(s)
	sd := math.Sqrt(own/ss + slope*slope*tastePart*tastePart)
	p, err := size.PowerT(s.Panel.Assessors, size.TDesign{Effect: slope / sd, Alpha: s.Plan.Alpha})
	if err != nil {
		return math.NaN()
	}
	return 1 - p.Power
}
