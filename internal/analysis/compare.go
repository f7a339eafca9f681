package analysis

import (
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// exactPairs is the number of pairs up to which the signed-rank p is exact. A
// study may hold hundreds of comparisons, and beyond 300 pairs the normal
// approximation is right to three digits at a fraction of the time.
const exactPairs = 300

// compare answers one comparison.
func (p *panel) compare(s *study.Study, c comparison, left *leftOut) (Finding, error) {
	f := emptyFinding(c, s.Plan.Level())
	if m := p.models[c.attribute.ID]; m != nil {
		err := p.compareByModel(s, c, m, &f)
		return f, err
	}
	f.Pair.Each, f.Excluded = p.pairs(c, s.Serving.Design, left)
	f.N = len(f.Pair.Each)
	if f.N == 0 {
		f.warn(warnNoPairs(s.Serving.Design))
		return f, nil
	}
	if p.came != nil && c.role == Primary {
		if err := f.takeEarly(s, p.came); err != nil {
			return f, err
		}
	}
	plan := p.byLottery(s.Plan, c, &f, false)
	if err := f.measure(plan); err != nil {
		return f, err
	}
	if err := p.byOrder(s.Plan, &f); err != nil {
		return f, err
	}
	if err := p.checkOrder(s, c, &f); err != nil {
		return f, err
	}
	p.remark(s, c, &f)
	return f, p.findPeople(s, c, &f)
}

// emptyFinding is a comparison of two samples of which nothing is known yet.
func emptyFinding(c comparison, level float64) Finding {
	nan := math.NaN()
	return Finding{
		Kind: KindPair, Attribute: c.attribute.ID, Comparison: c.pair[:], Role: c.role,
		Estimate: Estimate{Measure: method.MeanDifference, Value: nan,
			CI: stats.Interval{Lo: nan, Hi: nan, Level: level}},
		Test: noTest(""),
		Pair: PairPart{Means: [2]float64{nan, nan}, SDs: [2]float64{nan, nan}},
	}
}

// measure fills what follows from the pairs alone: means, tests and effect sizes.
func (f *Finding) measure(plan study.AnalysisPlan) error {
	x, y := columns(f.Pair.Each)
	f.Pair.Means = [2]float64{stats.Mean(x), stats.Mean(y)}
	f.Pair.SDs = [2]float64{stats.SD(x), stats.SD(y)}
	if err := f.test(plan, x, y); err != nil {
		return err
	}
	if err := f.size(x, y, plan.Level()); err != nil || !f.lookedEarly() {
		return err
	}
	if f.Evidence != nil {
		return f.remarkEvidence(plan)
	}
	return f.remarkLooks(plan)
}

// takeEarly keeps the pairs that came before tasting could end.
func (f *Finding) takeEarly(s *study.Study, came arrivals) error {
	if s.Plan.Evidence != "" {
		return f.takeEvidence(s, came)
	}
	return f.takeLooks(s, came, false)
}

// lookedEarly reports whether the finding allows for looks before the end.
func (f *Finding) lookedEarly() bool { return f.Looks != nil || f.Evidence != nil }

// test fills the planned test, beside it the other tests of the same comparison,
// and the difference with the interval that goes with the planned test.
func (f *Finding) test(plan study.AnalysisPlan, x, y []float64) error {
	side := f.side(plan)
	t, tResult, err := pairedTest(side, x, y)
	if err != nil {
		return err
	}
	rank, rankResult, err := rankTest(side, x, y)
	if err != nil {
		return err
	}
	sign, err := f.count(side, plan.Level(), x, y)
	if err != nil {
		return err
	}
	f.warnAll(tResult.Warnings)
	f.warnAll(rankResult.Warnings)
	if rankResult.NUsed > 0 && (rankResult.Ties || rankResult.Zeros > 0) {
		f.warn(warnTies(rankResult))
	}
	f.Test, f.Also, f.Lean = t, []Test{rank, sign}, signOf(tResult.Diff)
	switch {
	case f.Drawn != nil:
		f.testByLottery(plan, t, rank, sign)
	case f.Looks != nil && !f.Looks.adjusts() && tResult.SD > 0: // one look: its t test is that of the plan
		f.Test.Method, f.Test.Title = method.PlannedLooks, method.PlannedLooks.Title()
	case f.Looks.adjusts() && tResult.SD > 0:
		if err := f.testAfterLooks(plan, t, tResult); err != nil {
			return err
		}
	case f.Evidence != nil && (tResult.SD > 0 || f.Evidence.By == study.ByBetting):
		f.testByEvidence(t)
	case f.asksSameness(plan):
		if err := f.testSameness(plan, tResult, []Test{t, rank, sign}, x, y); err != nil {
			return err
		}
	case plan.Test == study.SignedRank:
		f.Test, f.Also, f.Measure = rank, []Test{t, sign}, method.HodgesLehmann
		f.Lean = signOf(rankResult.WPlus - rankResult.WMinus)
	case f.N > 1 && tResult.SD == 0:
		f.withoutScatter(sign, rank, t)
	}
	return f.locate(plan, x, y)
}

// withoutScatter answers for a t test when all differences are equal: their spread
// is 0, so that the test has nothing to hold the mean against. The signs and the
// median speak all the same.
func (f *Finding) withoutScatter(sign, rank, t Test) {
	f.Measure = method.MedianDifference
	if math.IsNaN(sign.P) { // nobody moved at all
		return
	}
	f.Test, f.Also = sign, []Test{rank, t}
	f.warn(warnSignInstead(method.PairedT))
}

// locate fills the difference and its intervals, and the mean among the effects
// where the difference is another estimate.
func (f *Finding) locate(plan study.AnalysisPlan, x, y []float64) error {
	level := plan.Level()
	e, err := f.estimatedAt(level)
	if err != nil {
		return err
	}
	f.Value, f.CI = e.value, e.ci
	f.warnAll(e.warnings)
	if err := f.locateSameness(plan, 1); err != nil {
		return err
	}
	if f.Measure != method.HodgesLehmann && f.Measure != method.AfterLooks &&
		f.Measure != method.AtAnyMoment {
		return nil
	}
	mean, err := estimated(method.MeanDifference, x, y, level)
	f.Effects = append(f.Effects, Effect{method.MeanDifference, mean.value, mean.ci})
	return err
}

// side is the alternative that the finding's tests look for.
func (f *Finding) side(plan study.AnalysisPlan) stats.Alternative {
	if f.Role == Primary {
		return sideOf(plan.Sides)
	}
	return stats.TwoSided
}

func pairedTest(side stats.Alternative, x, y []float64) (Test, ttest.PairedResult, error) {
	t, err := ttest.Paired(x, y, ttest.PairedOptions{Alternative: side})
	return Test{method.PairedT, method.PairedT.Title(), t.T, t.DF, math.NaN(), t.P, math.NaN()}, t, err
}

func rankTest(side stats.Alternative, x, y []float64) (Test, ranks.SignedRankResult, error) {
	r, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{Alternative: side, ExactMax: exactPairs})
	return Test{method.SignedRank, rankTitle(r), r.WPlus, math.NaN(), math.NaN(), r.P, math.NaN()}, r, err
}

func rankTitle(r ranks.SignedRankResult) string {
	switch title := method.SignedRank.Title(); {
	case r.Exact:
		return title + ", exact"
	case r.NUsed > 0:
		return title + ", normal approximation"
	default: // nobody moved
		return title
	}
}

func sideOf(s study.Sides) stats.Alternative {
	switch s {
	case study.Greater:
		return stats.Greater
	case study.Less:
		return stats.Less
	}
	return stats.TwoSided
}

// count fills who moved which way and the median difference, and returns the sign test.
func (f *Finding) count(side stats.Alternative, level float64, x, y []float64) (Test, error) {
	sign, err := ranks.SignTest(x, y, ranks.SignTestOptions{Alternative: side, Level: level})
	if err != nil {
		return Test{}, err
	}
	f.Pair.Moved = Moved{sign.Up, sign.Down, sign.Same}
	f.Effects = append(f.Effects, Effect{method.MedianDifference, sign.Median,
		reaching(sign.MedianCI, sign.MedianCI.Level, 1)})
	f.warnAll(sign.Warnings)
	return Test{method.Sign, method.Sign.Title() + ", exact", float64(sign.Up), math.NaN(), math.NaN(), sign.P,
		math.NaN()}, nil
}

// size fills the standardised effects, ahead of the median difference.
func (f *Finding) size(x, y []float64, level float64) error {
	dz, err := effect.CohenDz(x, y, level)
	if err != nil {
		return err
	}
	f.warnAll(dz.Warnings)
	// g_z is J·d_z (Hedges 1981); multiplied here, as the interval of d_z is costly.
	j := effect.HedgesJ(float64(len(x) - 1))
	if j == 0 { // two pairs: 0 with an interval of no width would look like knowledge
		j = math.NaN()
	}
	gz := Effect{method.Gz, j * dz.Value, stats.Interval{Lo: j * dz.CI.Lo, Hi: j * dz.CI.Hi, Level: dz.CI.Level}}
	f.Effects = append([]Effect{{method.Dz, dz.Value, dz.CI}, gz}, f.Effects...)
	return nil
}

// warn adds a warning once.
func (f *Finding) warn(w Warning) {
	for _, have := range f.Warnings {
		if have == w {
			return
		}
	}
	f.Warnings = append(f.Warnings, w)
}

func (f *Finding) warnAll(ws []stats.Warning) {
	for _, w := range ws {
		f.warn(Warning(w))
	}
}
