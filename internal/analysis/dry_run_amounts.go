package analysis

import "cloche/internal/study"

// trueSeries is what is assumed of a series of amounts: the rating rises by the difference
// for each unit more, around the middle of the series. Where a dish is laid on it, the rating
// rises by the smallest slope worth acting on, and the question is what the name is worth:
// nothing where the difference is 0, else [WorthTried].
func (d DryRun) trueSeries() map[study.SampleID]float64 {
	s := d.Study
	series, laid := s.Series()
	slope, centre := d.Difference, 0.0
	if len(laid) > 0 {
		slope = s.Plan.SmallestEffect
	}
	for _, x := range series {
		centre += s.Amount(x.ID) / float64(len(series))
	}
	effects := map[study.SampleID]float64{}
	for _, x := range s.Samples {
		effects[x.ID] = slope * (s.Amount(x.ID) - centre)
	}
	for _, x := range laid {
		effects[x.ID] += d.Difference * WorthTried(s)
	}
	return effects
}

// findsOnMain reports of one simulated study after another whether its primary finding, on
// the attribute that decides alone, is found.
func (d DryRun) findsOnMain() func(seed uint64) (bool, error) {
	a, _ := d.Study.Attribute(d.Study.Plan.Attribute)
	one, truth := *d.Study, d.truth()
	one.Attributes = []study.Attribute{a}
	return d.finds(&one, func(seed uint64) []Rating {
		return simulateAttribute(a, d.Plan, truth.of(a), seed)
	})
}
