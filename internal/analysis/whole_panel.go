package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/study"
)

// Names of the factors of the model.
const (
	sampleFactor   = "sample"
	assessorFactor = "assessor"
)

// fewestSamples is from how many samples on a study has findings of the whole panel:
// two are a pair.
const fewestSamples = 3

// wholePanels asks of each attribute whether its samples are all alike, the primary one
// first where the plan compares all. None where the
// study has two samples, or each assessor gets one.
func (p *panel) wholePanels(s *study.Study) ([]Finding, error) {
	if len(s.Samples) < fewestSamples || s.Serving.Design == study.One {
		return nil, nil
	}
	all := make([]Finding, len(s.Attributes))
	err := atOnce(len(all), func(i int) (err error) {
		a := s.Attributes[i]
		if all[i], err = p.wholePanel(s, a); err != nil {
			return fmt.Errorf("compare all samples on %s: %w", a.ID, err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i := range all {
		if s.Plan.WholePanel && all[i].Attribute == s.Plan.Attribute {
			all[i].Role = Primary
			return slices.Concat(all[i:i+1], all[:i], all[i+1:]), nil
		}
	}
	return all, nil
}

// wholePanel answers for one attribute, from every rating of it:
//
//	rating = sample + position + assessor + error
//
// with sample and position fixed, assessor and error normal; of several sittings the
// sitting is normal too, and of several ratings of a sample what is an assessor's own about
// it, see [servings.levels]. The F test of the samples
// has Satterthwaite's degrees of freedom or Kenward and Roger's, means and pairs are those of the model, pairs
// are adjusted by Tukey's range. Beside it stand the repeated-measures analysis with
// Greenhouse and Geisser's correction and Friedman's test, of those who rated every
// sample; in a plan by ranks Friedman's comes first, with Conover's pairs adjusted by
// Holm. Carry-over is no part of the model, because the level of a mean cannot be told
// from it; a second model with it is held beside the first, see [PanelPart].
//
// Where ratings have no position, or which samples were served goes with the position,
// the model is without it and says so.
func (p *panel) wholePanel(s *study.Study, a study.Attribute) (Finding, error) {
	f, t, fit, err := p.compareTogether(s, a)
	if err != nil || fit == nil {
		return f, err
	}
	if err := f.carryOver(s, t, fit); err != nil {
		return f, err
	}
	f.Panel.giveLetters(s.Plan.Alpha)
	p.remarkPanel(s, a, &f)
	return f, nil
}

// compareTogether is [panel.wholePanel] without what is only held beside the test, the means and
// the pairs.
func (p *panel) compareTogether(s *study.Study, a study.Attribute) (Finding, servings, *mixed.Result, error) {
	f, t, fit, err := p.modelOfAll(s, a)
	if err != nil || fit == nil {
		return f, t, nil, err
	}
	f.scatter(fit)
	f.warnFit(fit)
	if err := f.estimates(fit, t); err != nil {
		return f, t, nil, err
	}
	return f, t, fit, f.besideModel(s.Plan, t)
}

// modelOfAll fits the model of one attribute, and tests by it. The fit is nil where there is
// none, and the finding says why.
func (p *panel) modelOfAll(s *study.Study, a study.Attribute) (Finding, servings, *mixed.Result, error) {
	f := emptyPanel(s, a)
	samples, positions := p.ratedOn(s, a.ID)
	t := p.servings(s, a.ID, samples)
	f.N = len(t.people)
	f.Panel.Each = t.each()
	if f.N < 2 || len(samples) < fewestSamples {
		f.warn(warnNoPanel(len(samples), f.N))
		return f, t, nil, nil
	}
	fit, err := f.fitModel(s, t, len(positions) > 1)
	if errors.Is(err, model.ErrGrouping) {
		f.warn(warnNoModel())
		return f, t, nil, nil
	}
	return f, t, fit, err
}

func emptyPanel(s *study.Study, a study.Attribute) Finding {
	nan := math.NaN()
	level := s.Plan.Level()
	f := Finding{
		Kind: KindPanel, Attribute: a.ID, Role: Secondary,
		Estimate: Estimate{Value: nan, CI: stats.Interval{Lo: nan, Hi: nan, Level: level}},
		Test:     noTest(method.MixedF),
	}
	for _, x := range s.Samples {
		f.Comparison = append(f.Comparison, x.ID)
	}
	return f
}

func noTest(id method.ID) Test {
	nan := math.NaN()
	return Test{Method: id, Title: id.Title(), Statistic: nan, DF: nan, DF2: nan, P: nan, PAdjusted: nan}
}

// servings are the ratings of an attribute, one a row.
type servings struct {
	rating   []float64
	assessor []int // index into people
	sample   []int // index into samples
	position []int // 0 = not known
	sitting  []int // 0 = not known
	people   []string
	samples  []study.SampleID
	known    bool // every rating has a position
}

func (p *panel) servings(s *study.Study, on study.AttributeID, samples []study.SampleID) servings {
	t := servings{samples: samples, known: true}
	columns := p.columnsOf(on, samples)
	for i, who := range p.assessors {
		before := len(t.rating)
		for k, c := range columns {
			for _, v := range c[i] {
				t.rating, t.sample = append(t.rating, v.value), append(t.sample, k)
				t.position, t.sitting = append(t.position, v.position), append(t.sitting, v.sitting)
				t.assessor = append(t.assessor, len(t.people))
				t.known = t.known && v.position > 0
			}
		}
		if len(t.rating) > before {
			t.people = append(t.people, who)
		}
	}
	return t
}

// each are the ratings of everybody, a mean where somebody rated a sample more than once.
func (t servings) each() []Rated {
	all := make([]Rated, 0, len(t.rating))
	count := 0
	for i, v := range t.rating {
		last := len(all) - 1
		if i > 0 && t.assessor[i] == t.assessor[i-1] && t.sample[i] == t.sample[i-1] {
			count++
			all[last].Value += (v - all[last].Value) / float64(count)
			continue
		}
		count = 1
		all = append(all, Rated{t.people[t.assessor[i]], t.samples[t.sample[i]], v})
	}
	return all
}

// table has a row for each person and a column for each sample, NaN where it was not rated;
// each is what [servings.each] gives.
func (t servings) table(each []Rated) [][]float64 {
	rows, index := make([][]float64, len(t.people)), map[study.SampleID]int{}
	for i := range rows {
		rows[i] = make([]float64, len(t.samples))
		for k := range rows[i] {
			rows[i][k] = math.NaN()
		}
	}
	for k, x := range t.samples {
		index[x] = k
	}
	person := -1
	who := ""
	for _, r := range each {
		if person < 0 || r.Assessor != who {
			person, who = person+1, r.Assessor
		}
		rows[person][index[r.Sample]] = r.Value
	}
	return rows
}

func factorOf(name string, code []int, levels int) model.Factor {
	f := model.Factor{Name: name, Code: code, Levels: make([]string, levels)}
	for i := range f.Levels {
		f.Levels[i] = strconv.Itoa(i)
	}
	return f
}

// fitLevels fits the mixed model, without position where it cannot be told from the samples.
func (f *Finding) fitLevels(s *study.Study, t servings, ordered bool) (*mixed.Result, error) {
	levels := t.levels(ordered && t.known)
	f.Panel.Sittings = levels.sittings
	f.warnEach(levels.warnings)
	m := mixed.Model{Level: s.Plan.Level(), Fixed: []model.Term{{sampleFactor}}, Random: levels.terms,
		SmallSample: levels.several,
		Data: model.Data{Response: t.rating,
			Factors: append(levels.factors, factorOf(sampleFactor, t.sample, len(t.samples)))}}
	if !t.known {
		f.warn(warnOrderUnknown())
		return f.fitted(m)
	}
	if !ordered {
		return f.fitted(m)
	}
	with := m
	with.Data.Factors = append(slices.Clip(with.Data.Factors), mixed.PositionsOf(t.position))
	with.Fixed = []model.Term{{sampleFactor}, {mixed.PositionFactor}}
	fit, err := f.fitted(with)
	if err != nil {
		return nil, err
	}
	means, err := fit.Means(sampleFactor)
	if err != nil {
		return nil, err
	}
	for _, x := range means {
		if math.IsNaN(x.Mean) {
			f.warn(warnOrderUnchecked("which samples were served goes with the position, so that the model is " +
				"without it"))
			f.Checks = nil
			return f.fitted(m)
		}
	}
	return fit, nil
}

// fitted fits a model and fills the test of the samples, and the check of position
// where the model has it.
func (f *Finding) fitted(m mixed.Model) (*mixed.Result, error) {
	fit, err := mixed.Fit(m)
	if err != nil {
		return nil, err
	}
	for _, t := range fit.Anova() {
		if t.Term[0] == sampleFactor {
			f.Test.Title = titleIn(fit, f.Test.Title)
			f.Test.Statistic, f.Test.DF, f.Test.DF2, f.Test.P = t.F, t.DF1, t.DF2, t.P
			continue
		}
		f.Checks = append(f.Checks, fCheck(method.Position, t, m.Level))
		if t.P < periodAlpha {
			f.warn(warnPositionEffect(t.P))
		}
	}
	return fit, nil
}

// titleIn is what a test in a fitted model is called.
func titleIn(fit *mixed.Result, title string) string {
	if fit.SmallSample() {
		return title + ", with Kenward and Roger’s correction"
	}
	return title
}

func fCheck(id method.ID, t mixed.TermTest, level float64) Check {
	nan := math.NaN()
	return Check{Method: id, Title: id.Title(), Estimate: nan, CI: stats.Interval{Lo: nan, Hi: nan, Level: level},
		Statistic: t.F, DF: t.DF1, DF2: t.DF2, P: t.P}
}

// estimates fills the means and the pairs of the model.
func (f *Finding) estimates(fit *mixed.Result, t servings) error {
	means, err := fit.Means(sampleFactor)
	if err != nil {
		return err
	}
	raters := map[study.SampleID]int{}
	for _, r := range f.Panel.Each {
		raters[r.Sample]++
	}
	for k, m := range means {
		x := t.samples[k]
		f.Panel.Estimates = append(f.Panel.Estimates, SampleEstimate{Sample: x, N: raters[x], Mean: m.Mean, CI: m.CI})
	}
	pairs, err := fit.Pairs(sampleFactor)
	if err != nil {
		return err
	}
	quantile := rangeQuantile{}
	for _, p := range pairs {
		f.Panel.Pairs = append(f.Panel.Pairs, tukeyPair(p, t.samples, &quantile))
	}
	f.Panel.Adjustment = method.Tukey
	return nil
}

// sameOf is the interval of two one-sided tests of a pair, each at one minus the level of
// its interval.
func sameOf(difference float64, p mixed.LevelPair) stats.Interval {
	level := 2*p.CI.Level - 1
	if level <= 0 {
		return stats.NoInterval(0)
	}
	half := dist.TQuantile(p.CI.Level, p.DF) * p.SE
	return stats.Interval{Lo: difference - half, Hi: difference + half, Level: level}
}

// tukeyPair is a pair of the model, first minus second, with Tukey's interval.
func tukeyPair(p mixed.LevelPair, samples []study.SampleID, q *rangeQuantile) PanelPair {
	out := PanelPair{First: samples[p.A], Second: samples[p.B], Difference: -p.Estimate,
		CI: stats.Interval{Lo: -p.CI.Hi, Hi: -p.CI.Lo, Level: p.CI.Level}, WithCarryOver: math.NaN()}
	out.Test = noTest(method.MixedT)
	out.Test.Statistic, out.Test.DF, out.Test.P, out.Test.PAdjusted = -p.T, p.DF, p.P, p.PTukey
	out.EquivalenceCI = sameOf(out.Difference, p)
	half := q.of(p.CI.Level, len(samples), p.DF) / math.Sqrt2 * p.SE
	out.Adjusted = stats.Interval{Lo: out.Difference - half, Hi: out.Difference + half, Level: p.CI.Level}
	return out
}

// rangeQuantile is the quantile of the studentized range that was asked for last: where
// everybody rated everything all pairs have the same.
type rangeQuantile struct {
	level, df, value float64
	k                int
}

func (q *rangeQuantile) of(level float64, k int, df float64) float64 {
	if q.level != level || q.k != k || !(math.Abs(q.df-df) <= 1e-11*df) {
		*q = rangeQuantile{level, df, dist.StudentizedRangeQuantile(level, k, df), k}
	}
	return q.value
}
