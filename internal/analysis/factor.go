package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/mixed"
	"cloche/internal/study"
)

// FactorPart is what a comparison of the levels of a factor of crossed samples has: of the
// names over all dishes, of the dishes over all names, or whether the one depends on the
// other. A contrast, of two levels, fills [Finding.Pair] too: with the mean that an
// assessor gave at each level; and for the dependence of two by two with the difference of
// the names in each of the dishes.
type FactorPart struct {
	Factor   study.Factor
	Levels   []string // ids; two are the first minus the second; of both factors: none
	Contrast bool     // it has a size and a direction
	Table    study.Crossed
	Cells    []SampleEstimate // the mean of each sample, on its own
	Each     []Rated          // what everybody said, for the figure
	Model    *ModelEffect     // the same in the mixed model, by every rating; nil where it cannot be told
}

// ModelEffect is an effect of crossed samples in the mixed model of all ratings:
//
//	rating = sample + position + assessor + error
//
// with the contrast taken over the samples. It needs no complete table of anybody.
type ModelEffect struct {
	People int
	mixed.ContrastTest
}

// ReasonPartOfTable leaves out of an effect of crossed samples whoever did not rate all
// that it is made of.
const ReasonPartOfTable = "did not rate every sample that the effect is made of"

// factorEffect is a question to the ratings of crossed samples.
type factorEffect struct {
	attribute study.Attribute
	factor    study.Factor
	levels    [2]string // empty: all
	role      Role
}

// effectsOf lists what is asked of crossed samples, the primary first: of each attribute
// the name over the dishes, the dish over the names, and whether the one depends on the
// other. Of more than two names all are compared together, then every two of them.
func effectsOf(s *study.Study) (study.Crossed, []factorEffect) {
	c, ok := s.Crossed()
	if !ok || s.Serving.Design == study.One {
		return c, nil
	}
	var all []factorEffect
	for _, a := range attributesFromPrimary(s) {
		for _, f := range []study.Factor{study.NameFactor, study.DishFactor} {
			levels := c.Levels(f)
			if len(levels) > 2 {
				all = append(all, factorEffect{a, f, [2]string{}, Secondary})
			}
			for i, x := range levels {
				for _, y := range levels[i+1:] {
					all = append(all, factorEffect{a, f, asPlanned(s.Plan, f, [2]string{x, y}), Secondary})
				}
			}
		}
		all = append(all, factorEffect{a, study.NameByDish, [2]string{}, Secondary})
	}
	p := s.Plan
	primary := slices.IndexFunc(all, func(e factorEffect) bool {
		return e.factor == p.EffectOf && e.levels == p.Levels && e.attribute.ID == p.Attribute
	})
	if primary >= 0 {
		e := all[primary]
		e.role = Primary
		all = append([]factorEffect{e}, slices.Delete(all, primary, primary+1)...)
	}
	return c, all
}

// asPlanned turns two levels so that they stand as the plan has them.
func asPlanned(p study.AnalysisPlan, f study.Factor, levels [2]string) [2]string {
	if f == p.EffectOf && levels == [2]string{p.Levels[1], p.Levels[0]} {
		return p.Levels
	}
	return levels
}

func attributesFromPrimary(s *study.Study) []study.Attribute {
	primary, _ := s.Attribute(s.Plan.Attribute)
	return append([]study.Attribute{primary}, slices.DeleteFunc(slices.Clone(s.Attributes),
		func(a study.Attribute) bool { return a.ID == primary.ID })...)
}

// rows are the contrasts of the samples that an effect is made of, one weight for each
// sample in the order of ids, and which samples they use.
func (e factorEffect) rows(c study.Crossed, ids []study.SampleID) (rows [][]float64, used []study.SampleID) {
	weigh := func(cells map[study.SampleID]float64) {
		row := make([]float64, len(ids))
		for i, id := range ids {
			row[i] = cells[id]
			if cells[id] != 0 && !slices.Contains(used, id) {
				used = append(used, id)
			}
		}
		rows = append(rows, row)
	}
	if e.factor == study.NameByDish {
		for d := 1; d < len(c.Dishes); d++ {
			for n := 1; n < len(c.Names); n++ {
				weigh(map[study.SampleID]float64{c.Cells[0][0]: 1, c.Cells[0][n]: -1, c.Cells[d][0]: -1,
					c.Cells[d][n]: 1})
			}
		}
		return rows, used
	}
	levels := c.Levels(e.factor)
	if e.levels != [2]string{} {
		levels = e.levels[:]
	}
	for _, level := range levels[1:] {
		cells := map[study.SampleID]float64{}
		for sign, at := range map[float64]string{1: levels[0], -1: level} {
			samples := c.At(e.factor, at)
			for _, x := range samples {
				cells[x] = sign / float64(len(samples))
			}
		}
		weigh(cells)
	}
	return rows, used
}

// findEffects answers what is asked of crossed samples.
func (p *panel) findEffects(s *study.Study, left *leftOut) ([]Finding, error) {
	c, all := effectsOf(s)
	models := map[study.AttributeID]*tableModel{}
	var found []Finding
	for _, e := range all {
		m := models[e.attribute.ID]
		if m == nil {
			var err error
			if m, err = p.modelOfTable(s, e.attribute); err != nil {
				return nil, fmt.Errorf("model of %s: %w", e.attribute.ID, err)
			}
			models[e.attribute.ID] = m
		}
		f, err := p.findEffect(s, c, e, m, left)
		if err != nil {
			return nil, fmt.Errorf("effect of the %s on %s: %w", e.factor, e.attribute.ID, err)
		}
		found = append(found, f)
	}
	return found, nil
}

// tableModel is the mixed model of an attribute; fit is nil where there is none.
type tableModel struct {
	fit      *mixed.Result
	samples  []study.SampleID
	people   int
	checks   []Check
	warnings []Warning
	each     []Rated
}

func (p *panel) modelOfTable(s *study.Study, a study.Attribute) (*tableModel, error) {
	samples, positions := p.ratedOn(s, a.ID)
	t := p.servings(s, a.ID, samples)
	m := &tableModel{samples: samples, people: len(t.people), each: t.each()}
	if m.people < 2 || len(samples) < len(s.Samples) {
		return m, nil
	}
	f := emptyPanel(s, a)
	fit, err := f.fitModel(s, t, len(positions) > 1)
	m.fit, m.checks, m.warnings = fit, f.Checks, f.Warnings
	return m, err
}

// findEffect answers one question to crossed samples: by each assessor's own contrast or
// table where everybody is to rate all samples, by the model where the plan serves each
// some of them or says so.
func (p *panel) findEffect(s *study.Study, c study.Crossed, e factorEffect, m *tableModel, left *leftOut) (Finding,
	error) {
	f := emptyFinding(comparison{attribute: e.attribute, role: e.role}, s.Plan.Level())
	f.Kind = KindFactor
	f.Factor = FactorPart{Factor: e.factor, Contrast: e.isContrast(c), Table: c, Each: m.each}
	switch {
	case e.levels != [2]string{}:
		f.Factor.Levels = e.levels[:]
	case e.factor != study.NameByDish:
		f.Factor.Levels = c.Levels(e.factor)
	}
	rows, used := e.rows(c, sampleIDs(s))
	f.Comparison = used
	f.Factor.Cells = cellMeans(m.each, used, s.Plan.Level())
	if err := f.inModel(m, rows); err != nil {
		return f, err
	}
	f.Pair.Each, f.Excluded = p.ownContrasts(c, e, used, s.Serving.Design, left)
	f.N = len(f.Pair.Each)
	if err := f.testEffect(s, p, e, m); err != nil {
		return f, err
	}
	p.remarkEffect(s, e, &f)
	return f, nil
}

func (e factorEffect) isContrast(c study.Crossed) bool {
	return c.IsContrast(study.AnalysisPlan{EffectOf: e.factor, Levels: e.levels})
}

// inModel fills what the model says of an effect.
func (f *Finding) inModel(m *tableModel, rows [][]float64) error {
	if m.fit == nil {
		return nil
	}
	t, err := m.fit.Contrasts(sampleFactor, rows)
	if err != nil || math.IsNaN(t.P) {
		return err
	}
	f.Factor.Model = &ModelEffect{m.people, t}
	return nil
}

// modelTest is the test of the effect in the model.
func (f *Finding) modelTest(side stats.Alternative) Test {
	m := f.Factor.Model
	if f.Factor.Contrast {
		t := noTest(method.MixedT)
		t.Title = "t test of the contrast in a mixed model"
		if m != nil {
			t.Statistic, t.DF, t.P = m.T, m.DF2, dist.TPValue(m.T, m.DF2, side)
		}
		return t
	}
	t := noTest(method.MixedF)
	t.Title = "F test of the effect in a mixed model"
	if m != nil {
		t.Statistic, t.DF, t.DF2, t.P = m.F, m.DF1, m.DF2, m.P
	}
	return t
}

// byModelAlone reports whether effects of crossed samples are tested in the model: where
// nobody is to rate the whole table, and where the plan says so.
func byModelAlone(s *study.Study) bool {
	return s.Serving.Design == study.Some || s.Plan.EffectOf != "" && s.Plan.Test == study.MixedF
}

// ownContrasts are what each assessor said at the two sides of a contrast, and who is left
// out because they did not rate all that it is made of. Of an effect that is no contrast
// each is one of those who rated the whole table, without values.
func (p *panel) ownContrasts(c study.Crossed, e factorEffect, used []study.SampleID, design study.Design,
	left *leftOut) (
	[]Pair, []Exclusion) {
	var pairs []Pair
	here := newLeftOut(nil)
	for i, who := range p.assessors {
		rated := map[study.SampleID]float64{}
		for _, x := range used {
			if v, _, ok := p.column(e.attribute.ID, x).mean(i); ok {
				rated[x] = v
			}
		}
		switch {
		case len(rated) == len(used):
			first, second := e.sides(c, rated)
			if math.Abs(first-second) < 1e-12*(math.Abs(first)+math.Abs(second)+e.span()) { // rounding of means
				second = first
			}
			pairs = append(pairs, Pair{Assessor: who, First: first, Second: second})
		case design == study.Some:
			here.add(ReasonByDesign, who)
		default:
			here.add(ReasonPartOfTable, who)
			left.add(ReasonPartOfTable, who)
		}
	}
	return pairs, here.exclusions()
}

// span is the length of the scale of the attribute.
func (e factorEffect) span() float64 { return e.attribute.Scale.Max() - e.attribute.Scale.Min() }

// sides are the two means that a contrast compares, or the two differences.
func (e factorEffect) sides(c study.Crossed, rated map[study.SampleID]float64) (first, second float64) {
	mean := func(samples []study.SampleID) float64 {
		values := make([]float64, len(samples))
		for i, x := range samples {
			values[i] = rated[x]
		}
		return stats.Mean(values)
	}
	switch {
	case !e.isContrast(c):
		return 0, 0
	case e.factor == study.NameByDish:
		return rated[c.Cells[0][0]] - rated[c.Cells[0][1]], rated[c.Cells[1][0]] - rated[c.Cells[1][1]]
	}
	return mean(c.At(e.factor, e.levels[0])), mean(c.At(e.factor, e.levels[1]))
}

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
	if f.Role == Primary && s.Plan.Sides != study.TwoSided && s.Plan.Sides != "" {
		f.warn(warnOneSided())
	}
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "rated every sample that the effect is made of"))
	}
	if len(f.Excluded) > 0 {
		f.warn(warnIncomplete(f.Excluded))
	}
	if p.most > 1 {
		f.warn(warnReplicates(p.most))
	}
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

// recheckEffect reckons a primary effect in other ways, as [panel.recheck] does a pair.
func (p *panel) recheckEffect(s *study.Study, f *Finding) error {
	plan := s.Plan
	if !f.Factor.Contrast || len(f.Pair.Each) == 0 {
		return nil
	}
	found := f.Test.P < plan.Alpha
	add := func(r Recheck) {
		r.Agrees = (r.P < plan.Alpha) == found && (!found || f.Verdict.Sameness || signOf(r.Value) == signOf(f.Value))
		f.Rechecks = append(f.Rechecks, r)
	}
	if !f.Verdict.Sameness {
		if r, ok, err := f.byOtherTest(plan); err != nil {
			return err
		} else if ok {
			add(r)
		}
		if m := f.Factor.Model; m != nil {
			add(Recheck{Method: method.MixedT, What: f.modelTest(f.side(plan)).Title + ", by every rating",
				N: m.People, Value: m.Estimate,
				CI: m.CI, P: dist.TPValue(m.T, m.DF2, f.side(plan))})
		}
	}
	who := f.mostInfluential()
	r, err := f.without(p, s, fmt.Sprintf("without assessor %s, who moves the difference most", who), who)
	if err != nil {
		return err
	}
	add(r)
	broken := p.brokenIn(f, breaches[0].of)
	if len(broken) == 0 || len(broken) > f.N-2 {
		return nil
	}
	if r, err = f.without(p, s, "without those for whom the blind was broken", broken...); err != nil {
		return err
	}
	add(r)
	return nil
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
