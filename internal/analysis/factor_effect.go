package analysis

import (
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// testEffect fills the planned test of an effect and what stands beside it.
func (f *Finding) testEffect(s *study.Study, p *panel, e factorEffect, m *tableModel) error {
	if byModelAlone(s) {
		f.Checks = m.checks
		f.warnEach(m.warnings)
		return f.testByModel(s.Plan, m)
	}
	if f.N == 0 {
		f.warn(Warning{WarnNoPairs, "nobody rated every sample that the effect is made of, so that it cannot be " +
			"found within people"})
		return nil
	}
	if !f.Factor.Contrast {
		return f.testTogether(s, p, e)
	}
	plan := s.Plan
	switch {
	case byRanks(plan):
		plan.Test = study.SignedRank
	case plan.Test == study.Lottery: // which is of two samples
		plan.Test = study.PairedT
	}
	if err := f.measure(plan); err != nil {
		return err
	}
	if f.Factor.Model != nil && !f.asksSameness(plan) {
		f.Also = append(f.Also, f.modelTest(f.side(plan)))
	}
	return nil
}

func (f *Finding) warnEach(all []Warning) {
	for _, w := range all {
		f.warn(w)
	}
}

// testByModel answers from every rating, by the model.
func (f *Finding) testByModel(plan study.AnalysisPlan, m *tableModel) error {
	f.N, f.Pair.Each = m.people, nil
	f.Excluded = nil // every rating counts
	f.Test = f.modelTest(f.side(plan))
	if f.Factor.Model == nil {
		f.warn(Warning{WarnNoPairs, "the ratings are too few, or hang together too little, for a model of all samples"})
		return nil
	}
	if !f.Factor.Contrast {
		return nil
	}
	e := f.Factor.Model
	f.Value, f.Lean, f.CI = e.Estimate, signOf(e.Estimate), e.at(plan.Level())
	if level, ok := f.samenessLevel(plan, 1); ok {
		f.EquivalenceCI = e.at(level)
	}
	return nil
}

// at is the interval of a contrast in the model, at a level.
func (m *ModelEffect) at(level float64) stats.Interval {
	return dist.TInterval(m.Estimate, m.SE, m.DF2, level, stats.TwoSided)
}

// testTogether tests an effect that is no single difference, of those who rated the whole
// table: each against its own interaction with the assessors.
func (f *Finding) testTogether(s *study.Study, p *panel, e factorEffect) error {
	f.Measure = ""
	var tables [][][]float64
	for i := range p.assessors {
		table, whole := p.tableOf(f.Factor.Table, e.attribute.ID, i)
		if whole {
			tables = append(tables, table)
		}
	}
	r, err := anova.RepeatedTwoWay(tables)
	if err != nil {
		return err
	}
	f.warnAll(r.Warnings)
	of := map[study.Factor]anova.RepeatedEffect{study.DishFactor: r.A, study.NameFactor: r.B,
		study.NameByDish: r.AB}[e.factor]
	f.Test = noTest(method.RMAnova)
	f.Test.Statistic, f.Test.DF, f.Test.DF2, f.Test.P = of.F, of.GG*of.DF1, of.GG*of.DF2, of.GGP
	if f.Factor.Model != nil {
		f.Also = []Test{f.modelTest(stats.TwoSided)}
	}
	f.Pair.Each = nil
	return nil
}

// tableOf is what an assessor said of each sample, by dish and name.
func (p *panel) tableOf(c study.Crossed, on study.AttributeID, assessor int) (table [][]float64, whole bool) {
	for _, row := range c.Cells {
		values := make([]float64, len(row))
		for k, x := range row {
			v, _, ok := p.column(on, x).mean(assessor)
			if !ok {
				return nil, false
			}
			values[k] = v
		}
		table = append(table, values)
	}
	return table, true
}

// cellMeans are the means of samples, each with the interval of its own ratings.
func cellMeans(each []Rated, samples []study.SampleID, level float64) []SampleEstimate {
	var all []SampleEstimate
	for _, x := range samples {
		var values []float64
		for _, r := range each {
			if r.Sample == x {
				values = append(values, r.Value)
			}
		}
		e := SampleEstimate{Sample: x, N: len(values), Mean: stats.Mean(values), CI: stats.NoInterval(level)}
		if n := float64(len(values)); n > 1 {
			e.CI = dist.TInterval(e.Mean, stats.SD(values)/math.Sqrt(n), n-1, level, stats.TwoSided)
		}
		all = append(all, e)
	}
	return all
}

// remarkEffect is [panel.remark] of an effect.
func (p *panel) remarkEffect(s *study.Study, e factorEffect, f *Finding) {
	f.remarkSides(s)
	f.remarkPairs(s, "rated every sample that the effect is made of")
	p.remarkCounted(f)
	broken, all := 0, 0
	for _, x := range f.Comparison {
		broken, all = p.column(e.attribute.ID, x).addRevealed(broken, all)
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
	if len(f.Pair.Each) > 0 {
		f.remarkSkew()
	}
}

// judgeTogether gives the verdict on an effect that is no single difference: found or not,
// without a size.
func (f *Finding) judgeTogether(plan study.AnalysisPlan) {
	e := evidence{n: f.N, fewest: Fewest(plan.Alpha), found: f.Test.Deciding() < plan.Alpha}
	f.Verdict = Verdict{Code: e.code(), Margin: f.smallest(plan)}
	f.Verdict.Next = f.next(plan)
}

// recheckEffect is [panel.recheck] of an effect of crossed samples.
func (p *panel) recheckEffect(s *study.Study, f *Finding) error {
	if !f.Verdict.Sameness {
		if err := f.recheckEffectByTests(s.Plan); err != nil {
			return err
		}
	}
	if f.Factor.Contrast && len(f.Pair.Each) > 0 {
		return p.recheckPeople(s, f, f.mostInfluential(), f.moves(),
			func(what string, people []string) (Recheck, error) { return f.without(p, s, what, people...) },
			s.Plan.Alpha)
	}
	most := furthest(profiles(f.Factor.Each, f.Comparison))
	return p.recheckPeople(s, f, most, "who is furthest from the others",
		func(what string, people []string) (Recheck, error) { return p.effectWithout(s, f, what, people) },
		s.Plan.Alpha)
}

func (f *Finding) recheckEffectByTests(plan study.AnalysisPlan) error {
	if len(f.Pair.Each) > 0 {
		if err := f.recheckByOtherTests(plan); err != nil {
			return err
		}
	}
	m := f.Factor.Model
	if m == nil || f.Test.Method == method.MixedT || f.Test.Method == method.MixedF {
		return nil
	}
	t := f.modelTest(f.side(plan))
	again := Recheck{Method: t.Method, What: t.Title + ", by every rating", N: m.People, Value: math.NaN(),
		CI: stats.NoInterval(plan.Level()), P: t.P}
	if f.Factor.Contrast {
		again.Value, again.CI = m.Estimate, m.CI
	}
	f.reckoned(again, plan.Alpha, 0)
	return nil
}

// effectWithout finds an effect anew, of every rating but those of some people.
func (p *panel) effectWithout(s *study.Study, f *Finding, what string, people []string) (Recheck, error) {
	rest := p.without(f.Attribute, s.Samples, people)
	c, all := effectsOf(s)
	m, err := rest.modelOfTable(s, all[0].attribute)
	if err != nil {
		return Recheck{}, err
	}
	again, err := rest.findEffect(s, c, all[0], m, newLeftOut(nil))
	ci := again.CI
	if f.Verdict.Sameness {
		ci = again.EquivalenceCI
	}
	return Recheck{What: what, N: again.N, Value: again.Value, CI: ci, P: again.Test.P}, err
}

// SimulatesEffect reports whether a plan compares no effect of crossed samples, or one that
// a [DryRun] can simulate: a contrast within people.
func SimulatesEffect(s *study.Study) bool {
	if s.Plan.EffectOf == "" {
		return true
	}
	c, ok := s.Crossed()
	return ok && c.IsContrast(s.Plan) && !byModelAlone(s)
}

// primaryOf is the primary comparison; of crossed samples its attribute alone.
func primaryOf(s *study.Study) comparison {
	if s.Plan.EffectOf == "" {
		return comparisons(s)[0]
	}
	_, all := effectsOf(s)
	return comparison{attribute: all[0].attribute, role: Primary}
}

// primaryPairs are the pairs of the primary comparison.
func (p *panel) primaryPairs(s *study.Study, c comparison) []Pair {
	if s.Plan.EffectOf == "" {
		pairs, _ := p.pairs(c, s.Serving.Design, newLeftOut(nil))
		return pairs
	}
	table, all := effectsOf(s)
	_, used := all[0].rows(table, sampleIDs(s))
	pairs, _ := p.ownContrasts(table, all[0], used, s.Serving.Design, newLeftOut(nil))
	return pairs
}

// trueEffects make the primary contrast of crossed samples come out at a difference.
func trueEffects(s *study.Study, difference float64) map[study.SampleID]float64 {
	table, all := effectsOf(s)
	ids := sampleIDs(s)
	rows, _ := all[0].rows(table, ids)
	effects := map[study.SampleID]float64{}
	for i, w := range rows[0] {
		effects[ids[i]] = difference * w / stats.SumOfSquares(rows[0])
	}
	return effects
}

func sampleIDs(s *study.Study) []study.SampleID {
	ids := make([]study.SampleID, len(s.Samples))
	for i, x := range s.Samples {
		ids[i] = x.ID
	}
	return ids
}
