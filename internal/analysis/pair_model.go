package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/mixed"
	"cloche/internal/study"
)

// fitPairModels fits the model of each attribute where the plan tests pairs by it: every
// rating of every sample, see [panel.wholePanel].
func (p *panel) fitPairModels(s *study.Study) error {
	if s.Plan.Test != study.MixedT {
		return nil
	}
	fits := make([]*tableModel, len(s.Attributes))
	err := atOnce(len(fits), func(i int) (err error) {
		if fits[i], err = p.modelOfTable(s, s.Attributes[i]); err != nil {
			return fmt.Errorf("model of %s: %w", s.Attributes[i].ID, err)
		}
		return nil
	})
	p.models = map[study.AttributeID]*tableModel{}
	for i, m := range fits {
		p.models[s.Attributes[i].ID] = m
	}
	return err
}

// compareByModel answers for two samples from every rating: those of people who rated both,
// and those of people who rated one of them or neither, which tell of positions and of how
// much people differ. Patterson & Thompson (1971), Biometrika 58:545, recovery of
// inter-block information. The paired t test of those who rated both stands beside it.
func (p *panel) compareByModel(s *study.Study, c comparison, m *tableModel, f *Finding) error {
	if err := p.besideModel(s, c, f); err != nil {
		return err
	}
	f.Measure, f.Test = method.ModelDifference, noTest(method.MixedT)
	f.N = p.ratedEither(c)
	f.Checks = m.checks
	f.warnEach(m.warnings)
	p.remarkModel(s, c, f)
	effect, err := m.pair(c.pair)
	if err != nil {
		return err
	}
	f.Pair.Model = &effect
	if math.IsNaN(effect.P) {
		f.warn(Warning{WarnNoPairs, "the ratings are too few, or hang together too little, for a model of all samples"})
		return nil
	}
	f.Test.Title = titleIn(m.fit, f.Test.Title)
	f.Test.Statistic, f.Test.DF, f.Test.P = effect.T, effect.DF2, dist.TPValue(effect.T, effect.DF2, f.side(s.Plan))
	f.Value, f.Lean, f.CI = effect.Estimate, signOf(effect.Estimate), effect.at(s.Plan.Level())
	if err := p.byOrder(s.Plan, f); err != nil {
		return err
	}
	return f.locateSameness(s.Plan, 1)
}

// besideModel fills what follows from those who rated both samples, whom there may be none of.
func (p *panel) besideModel(s *study.Study, c comparison, f *Finding) error {
	f.Pair.Each, _ = p.pairs(c, s.Serving.Design, newLeftOut(nil)) // nobody is left out: every rating counts
	pairs := *f
	if pairs.N = len(pairs.Pair.Each); pairs.N == 0 {
		return nil
	}
	plan := s.Plan
	plan.Test = study.PairedT
	if err := pairs.measure(plan); err != nil {
		return err
	}
	f.Pair, f.Effects, f.Also = pairs.Pair, pairs.Effects, append([]Test{pairs.Test}, pairs.Also...)
	return nil
}

// remarkModel is [panel.remark] of a pair in the model.
func (p *panel) remarkModel(s *study.Study, c comparison, f *Finding) {
	f.remarkSides(s)
	f.remarkPairs(s, "rated one of the two samples or both")
	var ratings [2][]float64
	broken, all := 0, 0
	for k, x := range c.pair {
		column := p.column(c.attribute.ID, x)
		broken, all = column.addRevealed(broken, all)
		for _, in := range column {
			for _, v := range in {
				ratings[k] = append(ratings[k], v.value)
			}
		}
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
	f.remarkEndsOf(s, c, ratings[0], ratings[1])
}

// ratedEither counts who rated one of the two samples at least.
func (p *panel) ratedEither(c comparison) (n int) {
	first, second := p.column(c.attribute.ID, c.pair[0]), p.column(c.attribute.ID, c.pair[1])
	for i := range p.assessors {
		if len(first[i]) > 0 || len(second[i]) > 0 {
			n++
		}
	}
	return n
}

// pair is the first sample minus the second in the model; NaN where it cannot be told.
func (m *tableModel) pair(two [2]study.SampleID) (ModelEffect, error) {
	nan := math.NaN()
	if m.fit == nil {
		return ModelEffect{m.people, mixed.ContrastTest{Estimate: nan, SE: nan, T: nan, CI: stats.NoInterval(0), F: nan,
			DF1: nan, DF2: nan, P: nan}}, nil
	}
	row := make([]float64, len(m.samples))
	for i, x := range m.samples {
		switch x {
		case two[0]:
			row[i] = 1
		case two[1]:
			row[i] = -1
		}
	}
	t, err := m.fit.Contrasts(sampleFactor, [][]float64{row})
	return ModelEffect{m.people, t}, err
}

// recheckModel reckons a pair of the model in other ways: within those who rated both, with
// what was tasted just before allowed for, and without some of the people.
func (p *panel) recheckModel(s *study.Study, f *Finding, all []Finding) error {
	plan := s.Plan
	for _, other := range f.Also {
		r, ok, err := f.byOtherTest(plan, other)
		if err != nil {
			return err
		}
		if ok {
			r.What, r.N = r.What+", of those who rated both", len(f.Pair.Each)
			f.reckoned(r, plan.Alpha, 0)
		}
	}
	if r, ok := f.withCarryOver(plan, all); ok {
		f.reckoned(r, plan.Alpha, 0)
	}
	return p.recheckPeople(s, f, furthest(profiles(p.models[f.Attribute].each, sampleIDs(s))),
		"who is furthest from the others", func(what string, people []string) (Recheck, error) {
			return p.modelWithout(s, f, what, people)
		}, plan.Alpha)
}

// modelWithout is the pair in the model of everybody else's ratings.
func (p *panel) modelWithout(s *study.Study, f *Finding, what string, people []string) (Recheck, error) {
	a, _ := s.Attribute(f.Attribute)
	rest := p.without(a.ID, s.Samples, people)
	r := Recheck{What: what, N: rest.ratedEither(comparison{attribute: a, pair: f.Two()}), Value: math.NaN(),
		CI: stats.NoInterval(s.Plan.Level()), P: math.NaN()}
	m, err := rest.modelOfTable(s, a)
	if err != nil {
		return r, err
	}
	effect, err := m.pair(f.Two())
	if err == nil && !math.IsNaN(effect.P) {
		r.Value, r.CI = effect.Estimate, effect.at(s.Plan.Level())
		r.P = dist.TPValue(effect.T, effect.DF2, f.side(s.Plan))
	}
	return r, err
}
