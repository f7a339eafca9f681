package analysis

import (
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// GroupsPart is what only a comparison of two groups of people has, each of whom rated
// one of the samples.
type GroupsPart struct {
	Ns     [2]int // people in each group
	Means  [2]float64
	SDs    [2]float64
	CIs    [2]stats.Interval // of each mean, on its own
	Above  Effect            // probability of superiority; of [method.Superiority]
	Strata int               // within which the groups are compared; 0 = not stratified
	Each   [2][]InGroup      // what each assessor said, for the figure
}

// InGroup is what one assessor of a group said. Stratum is "" when it is not known.
type InGroup struct {
	Assessor string
	Stratum  string
	Value    float64
}

// values are the ratings of a group.
func values(group []InGroup) []float64 {
	out := make([]float64, len(group))
	for i, v := range group {
		out[i] = v.Value
	}
	return out
}

func strataOf(group []InGroup) []string {
	out := make([]string, len(group))
	for i, v := range group {
		out[i] = v.Stratum
	}
	return out
}

// exactGroupsCost bounds the exact distribution of the rank sum, in additions: about
// ten milliseconds, 35 people against 35 with ties. A study may hold many comparisons.
const exactGroupsCost = 20_000_000

// compareGroups answers one comparison where each assessor got one sample: of those who
// rated the first with those who rated the second. Where the plan keeps groups even within
// strata, and the ratings say who belongs where, the means are compared within strata.
func (p *panel) compareGroups(s *study.Study, c comparison, left *leftOut) (Finding, error) {
	f := emptyFinding(c, s.Plan.Level())
	f.Kind = KindGroups
	f.Test = noTest(method.ID(s.Plan.Test))
	f.Groups = GroupsPart{Means: f.Pair.Means, SDs: f.Pair.SDs,
		CIs: [2]stats.Interval{stats.NoInterval(s.Plan.Level()), stats.NoInterval(s.Plan.Level())}}
	f.Groups.Each, f.Excluded = p.groups(c, left)
	for k, group := range f.Groups.Each {
		f.Groups.Ns[k] = len(group)
		f.N += len(group)
	}
	f.Groups.Strata = stratified(s, f.Groups.Each)
	if s.Plan.Test == study.RankSum {
		f.Measure = f.shift()
	}
	p.remarkGroups(s, c, &f)
	if f.Groups.Ns[0] == 0 || f.Groups.Ns[1] == 0 {
		return f, nil
	}
	plan := p.byLottery(s.Plan, c, &f, true)
	if err := f.measureGroups(plan); err != nil {
		return f, err
	}
	if err := p.byOrder(s.Plan, &f); err != nil {
		return f, err
	}
	f.remarkEndsOf(s, c, values(f.Groups.Each[0]), values(f.Groups.Each[1]))
	return f, nil
}

// ReasonBoth leaves out of groups whoever is in both.
const ReasonBoth = "rated both samples, where each was to rate one"

// groups returns what each assessor said who rated one of the two samples.
func (p *panel) groups(c comparison, left *leftOut) (groups [2][]InGroup, excluded []Exclusion) {
	here := newLeftOut(nil)
	first, second := p.column(c.attribute.ID, c.pair[0]), p.column(c.attribute.ID, c.pair[1])
	for i, assessor := range p.assessors {
		a, _, okA := first.mean(i)
		b, _, okB := second.mean(i)
		switch {
		case okA && okB:
			here.add(ReasonBoth, assessor)
			left.add(ReasonBoth, assessor)
		case okA:
			groups[0] = append(groups[0], InGroup{assessor, p.strata[assessor], a})
		case okB:
			groups[1] = append(groups[1], InGroup{assessor, p.strata[assessor], b})
		}
	}
	return groups, here.exclusions()
}

// stratified counts the strata within which groups are compared; 0 where the plan has
// none, or somebody's is not known.
func stratified(s *study.Study, groups [2][]InGroup) int {
	seen := map[string]bool{}
	for _, group := range groups {
		for _, v := range group {
			if v.Stratum == "" {
				return 0
			}
			seen[v.Stratum] = true
		}
	}
	if len(s.Serving.Strata) == 0 {
		return 0
	}
	return len(seen)
}

// measureGroups fills what follows from the two groups.
func (f *Finding) measureGroups(plan study.AnalysisPlan) error {
	g := &f.Groups
	x, y := values(g.Each[0]), values(g.Each[1])
	for k, v := range [2][]float64{x, y} {
		g.Means[k], g.SDs[k] = stats.Mean(v), stats.SD(v)
		if n := len(v); n > 1 {
			g.CIs[k] = dist.TInterval(g.Means[k], g.SDs[k]/math.Sqrt(float64(n)), float64(n-1), plan.Level(),
				stats.TwoSided)
		}
	}
	if err := f.testGroups(plan, x, y); err != nil {
		return err
	}
	if err := f.locateGroups(plan); err != nil {
		return err
	}
	return f.sizeGroups(plan.Level(), x, y)
}

// testGroups fills the planned test and those beside it.
func (f *Finding) testGroups(plan study.AnalysisPlan, x, y []float64) error {
	side := f.side(plan)
	means, err := f.meanTests(side, x, y)
	if err != nil {
		return err
	}
	byRank, lean, err := f.rankTests(side, x, y)
	if err != nil {
		return err
	}
	rank, rest := byRank[0], slices.Concat(means[1:], byRank[1:])
	if f.Drawn != nil {
		f.testByLottery(plan, slices.Concat([]Test{means[0], rank}, rest)...)
		return nil
	}
	if plan.Test == study.RankSum {
		f.Lean, f.Measure = lean, f.shift()
		f.Test, f.Also = rank, slices.Concat(means[:1], rest)
		return nil
	}
	f.Test, f.Also, f.Lean = means[0], slices.Concat([]Test{rank}, rest), signOf(stats.Mean(x)-stats.Mean(y))
	if f.asksSameness(plan) {
		return f.samenessOfGroups(plan, x, y)
	}
	if math.IsNaN(f.Test.P) && !math.IsNaN(rank.P) && min(len(x), len(y)) > 1 {
		f.Test, f.Also, f.Measure, f.Lean = rank, slices.Concat(means[:1], rest), f.shift(), lean
		f.warn(warnRanksInstead())
	}
	return nil
}

// shift is the measure that goes with the rank test: within strata where there are any.
func (f *Finding) shift() method.ID {
	if f.Groups.Strata > 1 {
		return method.HodgesLehmannWithin
	}
	return method.HodgesLehmannShift
}

// rankTests are the tests of the ranks of the two groups, the one within strata first where
// there are strata, and the way in which that leans.
func (f *Finding) rankTests(side stats.Alternative, x, y []float64) (tests []Test, lean int, err error) {
	mw, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{Alternative: side, ExactCost: exactGroupsCost})
	if err != nil {
		return nil, 0, err
	}
	plain := noTest(method.RankSum)
	plain.Statistic, plain.P = mw.U, mw.P
	plain.sayExact(mw.Exact)
	if f.Groups.Strata < 2 {
		return []Test{plain}, signOf(mw.U - mw.UOther), nil
	}
	a, b := f.Groups.Each[0], f.Groups.Each[1]
	r, err := ranks.Stratified{X: x, Y: y, XStratum: strataOf(a), YStratum: strataOf(b)}.Test(side)
	if err != nil {
		return nil, 0, err
	}
	within := noTest(method.StratifiedRankSum)
	within.Statistic, within.P = r.Z, r.P
	within.sayExact(r.Exact)
	return []Test{within, plain}, signOf(r.Statistic - r.Mean), nil
}

// sayExact adds to the title how p was found.
func (t *Test) sayExact(exact bool) {
	switch {
	case math.IsNaN(t.P):
	case exact:
		t.Title += ", exact"
	default:
		t.Title += ", normal approximation"
	}
}

// meanTests are the tests of the two means, the one within strata first where there are
// strata.
func (f *Finding) meanTests(side stats.Alternative, x, y []float64) ([]Test, error) {
	w, err := ttest.Welch(x, y, ttest.TwoSampleOptions{Alternative: side})
	if err != nil {
		return nil, err
	}
	welch := noTest(method.WelchT)
	welch.Statistic, welch.DF, welch.P = w.T, w.DF, w.P
	if f.Groups.Strata < 2 {
		return []Test{welch}, nil
	}
	r, err := f.withinStrata().Test(ttest.TwoSampleOptions{Alternative: side})
	if err != nil {
		return nil, err
	}
	within := noTest(method.StratifiedT)
	within.Statistic, within.DF, within.P = r.T, r.DF, r.P
	if r.Compared == 0 { // groups of different strata cannot be told from the strata
		f.Groups.Strata = 0
		f.warn(warnStrataApart())
		return []Test{welch}, nil
	}
	return []Test{within, welch}, nil
}

func (f *Finding) withinStrata() ttest.Stratified {
	a, b := f.Groups.Each[0], f.Groups.Each[1]
	return ttest.Stratified{X: values(a), Y: values(b), XStratum: strataOf(a), YStratum: strataOf(b)}
}

// locateGroups fills the difference and its intervals, and the difference of means among
// the effects where the difference is another estimate.
func (f *Finding) locateGroups(plan study.AnalysisPlan) error {
	e, err := f.estimatedAt(plan.Level())
	if err != nil {
		return err
	}
	f.Value, f.CI = e.value, e.ci
	f.warnAll(e.warnings)
	if err := f.locateSameness(plan, 1); err != nil {
		return err
	}
	if f.Measure == method.MeanDifference {
		return nil
	}
	e, err = f.estimatedGroups(method.MeanDifference, plan.Level())
	f.Effects = append(f.Effects, Effect{method.MeanDifference, e.value, e.ci})
	return err
}

// estimatedAt is the estimate of the finding with its interval at a level.
func (f *Finding) estimatedAt(level float64) (estimate, error) {
	if f.Drawn != nil {
		return lotteryEstimate(f.Drawn, level), nil
	}
	if f.Kind == KindGroups {
		return f.estimatedGroups(f.Measure, level)
	}
	if f.Measure == method.AfterLooks {
		return f.estimatedAfterLooks(level)
	}
	if f.Measure == method.AtAnyMoment {
		return f.estimatedByEvidence(level)
	}
	if m := f.Pair.Model; f.Measure == method.ModelDifference {
		return estimate{m.Estimate, m.at(level), nil}, nil
	}
	if m := f.Factor.Model; f.Kind == KindFactor && len(f.Pair.Each) == 0 && m != nil {
		return estimate{m.Estimate, m.at(level), nil}, nil
	}
	x, y := columns(f.Pair.Each)
	return estimated(f.Measure, x, y, level)
}

// estimatedGroups estimates the difference of two groups by the measure that goes with a
// test: of means, within strata where there are any, or the shift of Hodges and Lehmann.
func (f *Finding) estimatedGroups(measure method.ID, level float64) (estimate, error) {
	x, y := values(f.Groups.Each[0]), values(f.Groups.Each[1])
	switch {
	case measure == method.HodgesLehmannShift:
		r, err := ranks.HodgesLehmann(x, y, level)
		return estimate{r.Estimate, reaching(r.CI, r.Achieved, level), r.Warnings}, err
	case measure == method.HodgesLehmannWithin:
		a, b := f.Groups.Each[0], f.Groups.Each[1]
		r, err := ranks.Stratified{X: x, Y: y, XStratum: strataOf(a), YStratum: strataOf(b)}.Shift(level)
		return estimate{r.Estimate, r.CI, r.Warnings}, err
	case f.Groups.Strata > 1:
		r, err := f.withinStrata().Test(ttest.TwoSampleOptions{Level: level})
		return estimate{r.Diff, r.CI, r.Warnings}, err
	}
	r, err := ttest.Welch(x, y, ttest.TwoSampleOptions{Level: level})
	return estimate{r.Diff, r.CI, r.Warnings}, err
}

// sizeGroups fills the standardised effects.
func (f *Finding) sizeGroups(level float64, x, y []float64) error {
	e, err := effect.TwoSample(x, y, level)
	if err != nil {
		return err
	}
	f.Groups.Above = Effect{method.Superiority, e.Superiority, stats.Interval{Lo: (1 + e.CliffsDelta.CI.Lo) / 2,
		Hi: (1 + e.CliffsDelta.CI.Hi) / 2, Level: level}}
	f.Effects = append([]Effect{{method.HedgesG, e.Gs.Value, e.Gs.CI}, f.Groups.Above}, f.Effects...)
	return nil
}

// FewestInGroup is the least number of people in each group on which a verdict is given
// at this alpha: with fewer in two equal groups no rank sum reaches it, two-sided, as the
// most lopsided one has p = 2/C(2n, n).
func FewestInGroup(alpha float64) int {
	n, p := 1, 1.0
	for ; p > alpha; n++ { // C(2n+2, n+1) = C(2n, n) · 2(2n+1)/(n+1)
		k := float64(n)
		p *= (k + 1) / (2 * (2*k + 1))
	}
	return n
}
