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
	Method  method.ID // another one than the planned; "" = the planned one, of other people
	What    string    // in words
	Without []string  // assessors left out, natural order; none where the same people are reckoned otherwise
	N       int       // people
	// as that of the finding; of a panel and of a ranking that of [Finding.FurthestApart]; of a dish laid on a line
	// of amounts the points by which it is rated above it; or NaN
	Value  float64
	CI     stats.Interval
	Lean   int     // sign of what it finds, where it has no value; 0 = that of Value
	P      float64 // of the test as planned, or of the other test
	Odds   *Effect // what the test looks at, where that is the order of the answers
	Agrees bool    // it finds what the primary finding does: nothing, or a difference the same way
}

// recheck reckons the primary finding of ratings in other ways: by the other tests, with
// the order of serving allowed for, by the model of all samples, without whoever moves it
// most, and without those who were served, or answered, otherwise than planned. None of it
// changes the finding.
func (p *panel) recheck(s *study.Study, f *Finding, all []Finding) error {
	if f.Role != Primary || f.Verdict.Code == TooFew {
		return nil
	}
	switch f.Kind {
	case KindPair, KindGroups:
		return p.recheckTwo(s, f, all)
	case KindFactor:
		return p.recheckEffect(s, f)
	case KindPanel:
		return p.recheckPanel(s, f)
	}
	return nil
}

// reckoned adds a way in which the finding was reckoned anew. Even is the value that means
// no difference. Where a way has no value, or the finding no direction, that it finds
// something is all that can agree.
func (f *Finding) reckoned(r Recheck, alpha, even float64) {
	found, way := f.Test.P < alpha, f.way(even)
	again := cmp.Or(r.Lean, signOf(r.Value-even))
	unsaid := f.undirected() && (again == 0 || way == 0)
	r.Agrees = (r.P < alpha) == found && (!found || f.Verdict.Sameness || unsaid || again == way)
	f.Rechecks = append(f.Rechecks, r)
}

// undirected reports whether the finding is of more than two samples together, so that a
// test of it has no direction.
func (f *Finding) undirected() bool {
	return f.Kind == KindPanel || f.Kind == KindRanking || f.Kind == KindWords ||
		f.Kind == KindFactor && !f.Factor.Contrast
}

// recheckTwo is [panel.recheck] of two samples.
func (p *panel) recheckTwo(s *study.Study, f *Finding, all []Finding) error {
	plan := s.Plan
	if f.Measure == method.ModelDifference {
		return p.recheckModel(s, f, all)
	}
	if !f.Verdict.Sameness && !f.lookedEarly() { // the others do not allow for looks
		if err := p.recheckByTests(s, f, all); err != nil {
			return err
		}
	}
	return p.recheckPeople(s, f, f.mostInfluential(), f.moves(),
		func(what string, people []string) (Recheck, error) {
			r, err := f.without(p, s, what, people...)
			return r, err
		}, plan.Alpha)
}

// recheckByTests reckons two samples by all other tests that there are.
func (p *panel) recheckByTests(s *study.Study, f *Finding, all []Finding) error {
	plan := s.Plan
	if err := f.recheckByOtherTests(plan); err != nil {
		return err
	}
	for _, way := range []func() (Recheck, bool, error){
		func() (Recheck, bool, error) { return p.checkByLottery(s, f) },
		func() (r Recheck, ok bool, err error) { r, ok = f.checkByOrder(plan); return },
		func() (r Recheck, ok bool, err error) { r, ok = f.withOrder(plan); return },
		func() (r Recheck, ok bool, err error) { r, ok = f.byModel(plan, all); return },
		func() (r Recheck, ok bool, err error) { r, ok = f.withCarryOver(plan, all); return },
	} {
		r, ok, err := way()
		if err != nil {
			return err
		}
		if ok {
			f.reckoned(r, plan.Alpha, 0)
		}
	}
	return nil
}

// recheckPeople reckons a finding of ratings without whoever moves it most, and without
// those of each breach, as long as two are left.
func (p *panel) recheckPeople(s *study.Study, f *Finding, most, how string,
	without func(what string, people []string) (Recheck, error), alpha float64) error {
	ways := []leftAside{{fmt.Sprintf("without assessor %s, %s", most, how), []string{most}}}
	for _, b := range breaches {
		if people := p.markedIn(f, b.of); len(people) > 0 && len(people) <= f.N-2 {
			ways = append(ways, leftAside{b.withoutThose(s), people})
		}
	}
	for _, w := range ways {
		r, err := without(w.what, w.people)
		if err != nil {
			return err
		}
		r.Without = w.people
		f.reckoned(r, alpha, 0)
	}
	return nil
}

// leftAside are people without whom a finding is reckoned, in words.
type leftAside struct {
	what   string
	people []string
}

// way is the sign of what a finding says: of its estimate, or of what its test looks at
// where the plan tests the order of answers. Even is the value that means no difference.
func (f *Finding) way(even float64) int {
	switch {
	case f.Test.Method == method.Ordinal:
		return f.Lean
	case f.Kind == KindNamedDose: // what it is worth may be without a value
		return signOf(f.Dose.Laid.Shift.Value)
	}
	return signOf(f.Value - even)
}

// recheckByOtherTests reckons by each test beside the planned one that has an estimate of
// its own.
func (f *Finding) recheckByOtherTests(plan study.AnalysisPlan) error {
	for _, other := range f.Also {
		r, ok, err := f.byOtherTest(plan, other)
		if err != nil {
			return err
		}
		if ok {
			f.reckoned(r, plan.Alpha, 0)
		}
	}
	return nil
}

// byOtherTest is a test beside the planned one, with the estimate that goes with it.
func (f *Finding) byOtherTest(plan study.AnalysisPlan, other Test) (Recheck, bool, error) {
	measures := map[method.ID]method.ID{method.PairedT: method.MeanDifference, method.SignedRank: method.HodgesLehmann,
		method.WelchT: method.MeanDifference, method.StratifiedT: method.MeanDifference,
		method.RankSum: method.HodgesLehmannShift, method.StratifiedRankSum: method.HodgesLehmannWithin}
	measure, ok := measures[other.Method]
	if !ok || math.IsNaN(other.P) {
		return Recheck{}, false, nil
	}
	again := *f
	again.Measure, again.Drawn = measure, nil
	if other.Method == method.WelchT { // whose difference is not within strata
		again.Groups.Strata = 0
	}
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
	again.Looks = f.Looks.copied()
	var err error
	if again.Evidence, err = f.Evidence.recount(again.Pair.Each); err != nil {
		return Recheck{}, err
	}
	again.N = len(again.Pair.Each) + again.Groups.Ns[0] + again.Groups.Ns[1]
	measure := again.measure
	if f.Kind == KindGroups {
		again.Groups.Strata = f.Groups.Strata
		if plan.Test == study.RankSum {
			again.Measure = again.shift()
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
	err = measure(plan)
	if err == nil {
		err = p.byOrderWithout(s, &again, people)
	}
	ci := again.CI
	if f.Verdict.Sameness {
		ci = again.EquivalenceCI
	}
	r := Recheck{What: what, N: again.N, Value: again.Value, CI: ci, P: again.Test.P}
	if again.Test.Method == method.Ordinal {
		r.Odds, r.Lean = &again.Ordinal.Odds, again.Lean
	}
	return r, err
}

// markedIn are those with a rating of a finding that bears a mark.
func (p *panel) markedIn(f *Finding, of marks) (people []string) {
	for i, who := range p.assessors {
		for _, x := range f.Comparison {
			if slices.ContainsFunc(p.column(f.Attribute, x)[i], func(v scored) bool { return v.marks&of != 0 }) {
				people = append(people, who)
				break
			}
		}
	}
	return people
}
