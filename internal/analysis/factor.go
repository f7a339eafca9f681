package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
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
	if errors.Is(err, model.ErrGrouping) { // without a model an effect says so
		return m, nil
	}
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
