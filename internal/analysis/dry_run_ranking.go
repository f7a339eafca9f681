package analysis

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"cloche/internal/design"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// ranks reports whether people put samples in an order, so that there is nothing to rate.
func (d DryRun) ranks() bool { return d.Study.Question.Response() == study.RankAll }

// BestAndWorst are the samples that a dry run of an order assumes to be put first and last:
// by the order expected, else the first and the last of the study.
func BestAndWorst(s *study.Study) (best, worst study.SampleID) {
	ids := s.Plan.Expected
	if len(ids) == 0 {
		ids = sampleIDs(s)
	}
	return ids[0], ids[len(ids)-1]
}

// ahead is how far each sample is before the middle, in standard deviations of what one
// person sees of it: the truth of [rankingDesign].
func (d DryRun) ahead() map[study.SampleID]float64 {
	if d.Difference == 0 {
		return nil
	}
	best, worst := BestAndWorst(d.Study)
	half := dist.NormalQuantile(d.Difference) / math.Sqrt2
	return map[study.SampleID]float64{best: half, worst: -half}
}

// orders are what a panel of a plan answers.
func (d DryRun) orders(seed uint64) []Rating {
	random := newStream(seed, "orders")
	ahead := d.ahead()
	var all []Rating
	for i := range d.Plan.Assessors {
		first := len(all)
		for _, v := range d.Plan.Assessor(i) {
			if v.Role != design.Rated {
				continue
			}
			all = append(all, Rating{Assessor: AssessorLabel(i), Turn: int(v.Turn), Position: int(v.Position),
				Code: v.Code, Sample: d.Plan.Samples[v.Sample], Attribute: study.RankAnswer})
		}
		putInOrder(all[first:], ahead, random)
	}
	return all
}

// putInOrder gives each serving of a tray its place, 1 for the best that somebody saw.
func putInOrder(tray []Rating, ahead map[study.SampleID]float64, random *rand.Rand) {
	seen, by := make([]float64, len(tray)), make([]int, len(tray))
	for i, r := range tray {
		seen[i], by[i] = ahead[r.Sample]+random.NormFloat64(), i
	}
	slices.SortFunc(by, func(a, b int) int { return cmp.Compare(seen[b], seen[a]) })
	for place, i := range by {
		tray[i].Value = float64(place + 1)
	}
}

// orderP is the p of the planned test in one simulated study, as [findRanking] has it.
func (d DryRun) orderP(seed uint64) (float64, error) {
	turns, err := choiceTurns(d.Study, d.orders(seed))
	if err != nil {
		return math.NaN(), err
	}
	f := Finding{Comparison: sampleIDs(d.Study)}
	places := placesOf(d.Study, turns)
	if err := f.testOrder(places); err != nil {
		return math.NaN(), err
	}
	if err := f.testExpectedOrder(d.Study, places); err != nil || len(turns) < Fewest(d.Study.Plan.Alpha) {
		return math.NaN(), err
	}
	return f.Test.P, nil
}
