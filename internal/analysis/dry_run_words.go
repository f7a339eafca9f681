package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// ticks reports whether people tick the words of a list.
func (d DryRun) ticks() bool { return d.Study.Question.Response() == study.TickWords }

// FurthestApart are the two samples that a dry run of all samples, or of words, sets apart.
func FurthestApart(s *study.Study) (most, least study.SampleID) {
	return s.Samples[0].ID, s.Samples[len(s.Samples)-1].ID
}

// trueTicks is what is assumed of words, the truth of [tickDesign]: half of the people tick
// each word for each sample, and no tick says anything of the next; but the first word is
// ticked by the difference more for one sample than for another. What is rated beside knows
// no effect.
func (d DryRun) trueTicks() Truth {
	list, _ := d.Study.Words()
	t := Truth{}
	for _, id := range list.Scale.Ticks { // ticked where a normal number lies above 0
		t[id] = TrueAttribute{Mean: 0.5, RatingSD: 1}
	}
	most, least := FurthestApart(d.Study)
	up := dist.NormalQuantile(0.5 + d.Difference/2)
	first := t[list.Scale.Ticks[0]]
	first.Effects = map[study.SampleID]float64{most: up, least: -up}
	t[list.Scale.Ticks[0]] = first
	return t
}

// triedDraws is how many shuffles the test of all words draws in one of many simulated
// studies: a tenth of those of an analysis, for time. Its level is kept all the same, and of
// its power little is lost.
const triedDraws = 199

// ticksP is the p of all words together in one simulated study.
func (d DryRun) ticksP(seed uint64) (float64, error) {
	t, err := newTickRows(d.Study, Simulate(d.Study, d.Plan, d.trueTicks(), seed))
	if err != nil {
		return 0, err
	}
	r, err := choice.Ticks(t.inFixedOrder(d.Study), triedDraws)
	return r.P, err
}

// togetherP is the p of all samples compared together in one simulated study, on the attribute
// that decides.
func (d DryRun) togetherP(seed uint64) (float64, error) {
	a, _ := d.Study.Attribute(d.Study.Plan.Attribute)
	one, truth := *d.Study, d.truth()
	one.Attributes = []study.Attribute{a}
	p, err := tabulate(&one, simulateAttribute(a, d.Plan, truth.of(a), seed))
	if err != nil {
		return 0, err
	}
	f, t, fit, err := p.modelOfAll(&one, a)
	if err == nil && fit != nil && one.Plan.Test != study.MixedF { // which only stands beside the model
		err = f.besideModel(one.Plan, t)
	}
	return f.Test.P, err
}

// WordsTogetherPower is the chance that the planned panel finds by the test of all words
// together that samples differ, when the smallest share worth acting on sets two of them
// apart in one word; see [tickedTogether].
func WordsTogetherPower(s *study.Study) float64 {
	list, _ := s.Words()
	return tickedTogether(len(s.Samples), len(list.Scale.Ticks), s.Plan.SmallestEffect, s.Plan.Alpha, s.Panel.Assessors)
}
