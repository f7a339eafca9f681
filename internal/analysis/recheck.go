package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// Recheck is the primary finding reckoned in another way.
type Recheck struct {
	Method method.ID // another one than the planned; "" = the planned one, of other people
	What   string    // in words
	N      int       // people
	Value  float64
	CI     stats.Interval
	Lean   int     // sign of what it finds, where it has no value; 0 = that of Value
	P      float64 // of the test as planned, or of the other test
	Agrees bool    // it finds what the primary finding does: nothing, or a difference the same way
}

// recheck reckons the primary comparison of two samples in other ways: by the other test,
// with the order of serving allowed for, by the model of all samples, without whoever moves the difference most, and
// without those for whom the blind was broken. None of it changes the finding.
func (p *panel) recheck(s *study.Study, f *Finding, all []Finding) error {
	if f.Role == Primary && f.Kind == KindFactor && f.Verdict.Code != TooFew {
		return p.recheckEffect(s, f)
	}
	if f.Role != Primary || f.Kind != KindPair && f.Kind != KindGroups || f.Verdict.Code == TooFew {
		return nil
	}
	plan := s.Plan
	found := f.Test.P < plan.Alpha
	add := func(r Recheck) {
		sameWay := cmp.Or(r.Lean, signOf(r.Value)) == f.way()
		r.Agrees = (r.P < plan.Alpha) == found && (!found || f.Verdict.Sameness || sameWay)
		f.Rechecks = append(f.Rechecks, r)
	}
	if !f.Verdict.Sameness {
		if r, ok, err := f.byOtherTest(plan); err != nil {
			return err
		} else if ok {
			add(r)
		}
		if r, ok, err := p.checkByLottery(s, f); err != nil {
			return err
		} else if ok {
			add(r)
		}
		if r, ok := f.checkByOrder(plan); ok {
			add(r)
		}
		if r, ok := f.withOrder(plan); ok {
			add(r)
		}
		if r, ok := f.byModel(plan, all); ok {
			add(r)
		}
		if r, ok := f.withCarryOver(plan, all); ok {
			add(r)
		}
	}
	who := f.mostInfluential()
	r, err := f.without(p, s, fmt.Sprintf("without assessor %s, who moves the difference most", who), who)
	if err != nil {
		return err
	}
	add(r)
	for _, breach := range breaches {
		broken := p.brokenIn(f, breach.of)
		if len(broken) == 0 || len(broken) > f.N-2 {
			continue
		}
		if r, err = f.without(p, s, breach.without, broken...); err != nil {
			return err
		}
		add(r)
	}
	return nil
}

// breaches are what may have gone otherwise than planned for some people.
var breaches = []struct {
	without string
	of      func(scored) bool
}{
	{"without those for whom the blind was broken", func(v scored) bool { return v.revealed }},
	{"without those with a plate that nobody noted as set down", func(v scored) bool { return v.notSetDown }},
}

// way is the sign of what a finding says: of its estimate, or of what its test looks at
// where the plan tests the order of answers.
func (f *Finding) way() int {
	if f.Test.Method == method.Ordinal {
		return f.Lean
	}
	return signOf(f.Value)
}

// byOtherTest is the test beside the planned one, with the estimate that goes with it.
func (f *Finding) byOtherTest(plan study.AnalysisPlan) (Recheck, bool, error) {
	measures := map[method.ID]method.ID{method.PairedT: method.MeanDifference, method.SignedRank: method.HodgesLehmann,
		method.WelchT: method.MeanDifference, method.StratifiedT: method.MeanDifference,
		method.RankSum: method.HodgesLehmannShift}
	if len(f.Also) == 0 {
		return Recheck{}, false, nil
	}
	other := f.Also[0]
	measure, ok := measures[other.Method]
	if !ok || math.IsNaN(other.P) {
		return Recheck{}, false, nil
	}
	again := *f
	again.Measure, again.Drawn = measure, nil
	e, err := again.estimatedAt(plan.Level())
	return Recheck{Method: other.Method, What: other.Name(), N: f.N, Value: e.value, CI: e.ci, P: other.P}, true, err
}

// withOrder is the difference with the order of serving allowed for.
func (f *Finding) withOrder(plan study.AnalysisPlan) (Recheck, bool) {
	for _, c := range f.Checks {
		if c.Method == method.PeriodAdjusted && !math.IsNaN(c.P) {
			return Recheck{Method: c.Method, What: c.Title, N: f.N, Value: c.Estimate, CI: c.CI,
				P: dist.TPValue(c.Statistic, c.DF, f.side(plan))}, true
		}
	}
	return Recheck{}, false
}

// signOfPair is 1 for the two samples that a finding compares, −1 for the two the other way
// round, 0 for any others.
func (f *Finding) signOfPair(first, second study.SampleID) float64 {
	switch [2]study.SampleID{first, second} {
	case f.Two():
		return 1
	case [2]study.SampleID{f.Comparison[1], f.Comparison[0]}:
		return -1
	}
	return 0
}

// byModel is the pair in the model of all samples, on its own.
func (f *Finding) byModel(plan study.AnalysisPlan, all []Finding) (Recheck, bool) {
	for _, panel := range all {
		if panel.Kind != KindPanel || panel.Attribute != f.Attribute {
			continue
		}
		for _, x := range panel.Panel.Pairs {
			sign := f.signOfPair(x.First, x.Second)
			if sign == 0 || x.Test.Method != method.MixedT || math.IsNaN(x.Test.P) {
				continue
			}
			ci := x.CI
			if sign < 0 {
				ci.Lo, ci.Hi = -ci.Hi, -ci.Lo
			}
			return Recheck{Method: method.MixedT, What: method.MixedT.Title() + ", by every rating", N: panel.N,
					Value: sign * x.Difference, CI: ci,
					P: dist.TPValue(sign*x.Test.Statistic, x.Test.DF, f.side(plan))},
				true
		}
	}
	return Recheck{}, false
}

// mostInfluential is who moves the difference of means most when left out.
func (f *Finding) mostInfluential() string {
	who, most := "", -1.0
	look := func(assessor string, value, mean float64, n int) {
		if by := math.Abs(value-mean) / float64(max(1, n-1)); by > most {
			who, most = assessor, by
		}
	}
	for _, v := range f.Pair.Each {
		look(v.Assessor, v.First-v.Second, f.Pair.Means[0]-f.Pair.Means[1], f.N)
	}
	for k, group := range f.Groups.Each {
		for _, v := range group {
			look(v.Assessor, v.Value, f.Groups.Means[k], f.Groups.Ns[k])
		}
	}
	return who
}

// without reckons the finding anew without some people.
func (f *Finding) without(p *panel, s *study.Study, what string, people ...string) (Recheck, error) {
	plan := s.Plan
	again := Finding{Kind: f.Kind, Attribute: f.Attribute, Role: f.Role, Comparison: f.Comparison,
		Estimate: Estimate{Measure: method.MeanDifference, CI: stats.NoInterval(plan.Level())}}
	again.Pair.Each = slices.DeleteFunc(slices.Clone(f.Pair.Each),
		func(v Pair) bool { return slices.Contains(people, v.Assessor) })
	for k, group := range f.Groups.Each {
		again.Groups.Each[k] = slices.DeleteFunc(slices.Clone(group),
			func(v InGroup) bool { return slices.Contains(people, v.Assessor) })
		again.Groups.Ns[k] = len(again.Groups.Each[k])
	}
	again.N = len(again.Pair.Each) + again.Groups.Ns[0] + again.Groups.Ns[1]
	measure := again.measure
	if f.Kind == KindGroups {
		again.Groups.Strata = f.Groups.Strata
		if plan.Test == study.RankSum {
			again.Measure = method.HodgesLehmannShift
		}
		measure = again.measureGroups
	}
	if again.N < 2 || f.Kind == KindGroups && min(again.Groups.Ns[0], again.Groups.Ns[1]) == 0 {
		return Recheck{What: what, N: again.N, Value: math.NaN(), CI: stats.NoInterval(plan.Level()),
			P: math.NaN()}, nil
	}
	if f.Drawn != nil {
		var err error
		if again.Drawn, err = p.drawOne(s, f, fewerDraws, people...); err != nil {
			return Recheck{}, err
		}
	}
	if again.Drawn == nil && plan.Test == study.Lottery {
		plan.Test = study.PairedT
	}
	err := measure(plan)
	if err == nil {
		err = p.byOrderWithout(s, &again, people)
	}
	ci := again.CI
	if f.Verdict.Sameness {
		ci = again.EquivalenceCI
	}
	return Recheck{What: what, N: again.N, Value: again.Value, CI: ci, P: again.Test.P}, err
}

// brokenIn are those of a finding with a rating of which something is so.
func (p *panel) brokenIn(f *Finding, is func(scored) bool) (broken []string) {
	for i, who := range p.assessors {
		for _, x := range f.Comparison {
			if slices.ContainsFunc(p.column(f.Attribute, x)[i], is) {
				broken = append(broken, who)
				break
			}
		}
	}
	return broken
}
