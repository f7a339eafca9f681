package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/model"
	"cloche/internal/stats/ordinal"
	"cloche/internal/study"
)

// OrdinalPart is what a scale of few labels says beyond its means: a model of the
// answers by their order. Nil parts are of scales with more points, or of answers that
// the model cannot be fitted to.
type OrdinalPart struct {
	Test   Test
	Odds   Effect       // odds of an answer higher up: of the first sample over those of the second
	Shares [2][]float64 // of each label, as the model has it, over people like these; in the order of the scale
	Counts [2][]int     // of each label, as answered
}

// quadraturePoints of the model's random levels: with ten, estimates are right to six digits
// (checked against R's ordinal, which has the same with ten).
const quadraturePoints = 10

const stratumFactor = "stratum"

// ordinalFit is the model of all samples on one attribute.
type ordinalFit struct {
	fit    *ordinal.Result // nil where there is none
	counts map[study.SampleID][]int
	names  map[study.SampleID]string // of their coefficients
}

// fitOrdinal fits the models of all attributes with few labels.
func (p *panel) fitOrdinal(s *study.Study) error {
	fits := make([]ordinalFit, len(s.Attributes))
	err := atOnce(len(fits), func(i int) (err error) {
		if a := s.Attributes[i]; a.Scale.IsOrdinal() {
			fits[i], err = p.ordinalOf(s, a)
		}
		return err
	})
	p.ordinal = map[study.AttributeID]ordinalFit{}
	for i, f := range fits {
		if f.counts != nil {
			p.ordinal[s.Attributes[i].ID] = f
		}
	}
	return err
}

// ordinalOf models the answers on an attribute: samples fixed; assessors random where they
// answered more than once, strata fixed where each has one sample within strata.
func (p *panel) ordinalOf(s *study.Study, a study.Attribute) (ordinalFit, error) {
	out := ordinalFit{counts: map[study.SampleID][]int{}, names: map[study.SampleID]string{}}
	rated := p.ratedSamples(s, a.ID)
	t := p.servings(s, a.ID, rated)
	m := ordinal.Model{Level: s.Plan.Level(), Fixed: []model.Term{{sampleFactor}}, Points: quadraturePoints,
		Levels: a.Scale.Labels}
	m.Data.Response = make([]float64, len(t.rating))
	for i, v := range t.rating {
		m.Data.Response[i] = v - 1
		x := rated[t.sample[i]]
		if out.counts[x] == nil {
			out.counts[x] = make([]int, len(m.Levels))
		}
		out.counts[x][int(v)-1]++
	}
	m.Data.Factors = []model.Factor{factorOf(sampleFactor, t.sample, len(rated))}
	if len(t.rating) > len(t.people) {
		m.Group = model.Term{assessorFactor}
		m.Data.Factors = append(m.Data.Factors, factorOf(assessorFactor, t.assessor, len(t.people)))
	} else if f, ok := p.strataOf(t); ok {
		m.Fixed = append(m.Fixed, model.Term{stratumFactor})
		m.Data.Factors = append(m.Data.Factors, f)
	}
	for k, x := range rated {
		if k == 0 {
			out.names[x] = ""
			continue
		}
		out.names[x] = sampleFactor + strconv.Itoa(k)
	}
	if len(rated) < 2 {
		return out, nil
	}
	fit, err := ordinal.Fit(m)
	if errors.Is(err, ordinal.ErrCategories) || errors.Is(err, model.ErrGrouping) { // one answer, or one assessor
		return out, nil
	}
	if err != nil {
		return out, fmt.Errorf("model the answers on %s: %w", a.ID, err)
	}
	out.fit = fit
	return out, nil
}

// ratedSamples are the samples that somebody rated on an attribute.
func (p *panel) ratedSamples(s *study.Study, a study.AttributeID) (rated []study.SampleID) {
	for _, x := range s.Samples {
		for _, in := range p.column(a, x.ID) {
			if len(in) > 0 {
				rated = append(rated, x.ID)
				break
			}
		}
	}
	return rated
}

// strataOf are the strata of the people of servings; not ok where there are none, or
// somebody's is not known.
func (p *panel) strataOf(t servings) (model.Factor, bool) {
	code, number := make([]int, len(t.rating)), map[string]int{}
	for i, k := range t.assessor {
		stratum := p.strata[t.people[k]]
		if stratum == "" {
			return model.Factor{}, false
		}
		if _, known := number[stratum]; !known {
			number[stratum] = len(number)
		}
		code[i] = number[stratum]
	}
	return factorOf(stratumFactor, code, len(number)), len(number) > 1
}

// byOrder fills the ordinal part of a finding, and its test where the plan asks for it.
func (p *panel) byOrder(plan study.AnalysisPlan, f *Finding) error {
	m, ok := p.ordinal[f.Attribute]
	planned := plan.Test == study.Ordinal
	if ok && m.fit != nil {
		for _, w := range m.fit.Warnings {
			if w.Code != stats.WarnSingular { // assessors alike are no fault
				f.warn(Warning(w))
			}
		}
		part, err := m.part(f.Two(), f.side(plan), plan.Level())
		if err != nil {
			return err
		}
		f.Ordinal = part
	}
	switch {
	case f.Ordinal != nil && planned:
		f.Test, f.Also = f.Ordinal.Test, append([]Test{f.Test}, f.Also...)
		f.Lean = signOf(f.Ordinal.Test.Statistic)
	case planned && f.Attribute == plan.Attribute:
		f.warn(warnNoOrdinal(f.Test.Method, ok))
	case f.Ordinal != nil:
		f.Also = append(f.Also, f.Ordinal.Test)
	}
	if f.Ordinal != nil {
		f.Effects = append([]Effect{f.Ordinal.Odds}, f.Effects...)
	}
	return nil
}

// part is what the model says of two samples; nil where it has no finite answer.
func (m ordinalFit) part(pair [2]study.SampleID, side stats.Alternative, level float64) (*OrdinalPart, error) {
	a, okA := m.names[pair[0]]
	b, okB := m.names[pair[1]]
	if !okA || !okB || !m.fit.Converged {
		return nil, nil // no part, and no error
	}
	c, err := m.fit.Difference(a, b, level)
	if err != nil || math.IsNaN(c.P) {
		return nil, err
	}
	out := &OrdinalPart{Test: noTest(method.Ordinal), Odds: Effect{method.OddsRatio, math.Exp(c.Estimate),
		stats.Interval{Lo: math.Exp(c.CI.Lo), Hi: math.Exp(c.CI.Hi), Level: level}}}
	out.Test.Statistic, out.Test.P = c.Z, normalP(c.Z, side)
	for k, name := range [2]string{a, b} {
		used, err := m.fit.Shares(name)
		if err != nil || used == nil {
			return nil, err
		}
		out.Counts[k] = m.counts[pair[k]]
		out.Shares[k] = make([]float64, len(out.Counts[k]))
		for i, label := range m.fit.Used {
			out.Shares[k][label] = used[i]
		}
	}
	return out, nil
}

// OfTen is how many more people of ten, as the model has it, would answer with some label
// or one above it of the first sample than of the second: at the label, from 0, where that
// is most. Negative: fewer.
func (o *OrdinalPart) OfTen() (label int, people float64) {
	sum := 0.0
	for i := len(o.Shares[0]) - 1; i > 0; i-- {
		if sum += o.Shares[0][i] - o.Shares[1][i]; math.Abs(10*sum) > math.Abs(people) {
			label, people = i, 10*sum
		}
	}
	return label, people
}

// without is the panel on one attribute without some people.
func (p *panel) without(a study.AttributeID, samples []study.Sample, people []string) *panel {
	rest := &panel{assessors: p.assessors, strata: p.strata, columns: map[columnKey]column{}}
	for _, x := range samples {
		all := p.column(a, x.ID)
		kept := make(column, len(all))
		for i, in := range all {
			if !slices.Contains(people, p.assessors[i]) {
				kept[i] = in
			}
		}
		rest.columns[columnKey{a, x.ID}] = kept
	}
	return rest
}

// byOrderWithout is [panel.byOrder] of the finding again, without some people.
func (p *panel) byOrderWithout(s *study.Study, f *Finding, people []string) error {
	a, _ := s.Attribute(f.Attribute)
	if s.Plan.Test != study.Ordinal || !a.Scale.IsOrdinal() {
		return nil
	}
	rest := p.without(f.Attribute, s.Samples, people)
	fit, err := rest.ordinalOf(s, a)
	if err != nil {
		return err
	}
	rest.ordinal = map[study.AttributeID]ordinalFit{f.Attribute: fit}
	return rest.byOrder(s.Plan, f)
}

// checkByOrder is the finding by the model of the order of the answers, beside another
// test. Its estimate is no difference of means, so that it has the sign alone.
func (f *Finding) checkByOrder(plan study.AnalysisPlan) (Recheck, bool) {
	if f.Ordinal == nil || plan.Test == study.Ordinal {
		return Recheck{}, false
	}
	return Recheck{Method: method.Ordinal, What: method.Ordinal.Title(), N: f.N, Value: math.NaN(),
		CI: stats.NoInterval(plan.Level()), P: f.Ordinal.Test.P, Odds: &f.Ordinal.Odds,
		Lean: signOf(f.Ordinal.Test.Statistic)}, true
}

func warnNoOrdinal(instead method.ID, few bool) Warning {
	why := "everybody gave the same answer, or the answers set the samples apart so completely that nothing finite fits"
	if !few {
		why = fmt.Sprintf("it is for scales of %d labels at most", study.FewLabels)
	}
	return Warning{WarnNoOrdinal, fmt.Sprintf("the planned %s could not be done: %s. The %s stands in its place",
		method.Ordinal.Title(), why, instead.Title())}
}
