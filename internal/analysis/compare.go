package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// Methods of tests and measures of effects: stable short words.
const (
	MethodPairedT    = string(study.PairedT)
	MethodSignedRank = string(study.SignedRank)
	MethodSign       = "sign"

	MeasureDz     = "d_z"
	MeasureGz     = "g_z"
	MeasureMedian = "median-difference" // scale points
)

// exactPairs is the number of pairs up to which the signed-rank p is exact. A
// study may hold hundreds of comparisons, and beyond 300 pairs the normal
// approximation is right to three digits at a fraction of the time.
const exactPairs = 300

// compare answers one comparison.
func (p *panel) compare(s *study.Study, c comparison, left *leftOut) (Finding, error) {
	f := emptyFinding(c, s.Plan.Level())
	f.Pairs, f.Excluded = p.pairs(c, s.Serving.Design, left)
	f.N = len(f.Pairs)
	if f.N == 0 {
		f.warn(warnNoPairs(s.Serving.Design))
		return f, nil
	}
	if err := f.measure(s.Plan); err != nil {
		return f, err
	}
	if err := p.checkOrder(s, c, &f); err != nil {
		return f, err
	}
	p.remark(s, c, &f)
	return f, nil
}

func emptyFinding(c comparison, level float64) Finding {
	nan := math.NaN()
	return Finding{
		Attribute: c.attribute.ID, Comparison: c.pair, Role: c.role,
		Means: [2]float64{nan, nan}, SDs: [2]float64{nan, nan},
		Difference: nan, CI: stats.Interval{Lo: nan, Hi: nan, Level: level},
		Test: Test{Statistic: nan, DF: nan, P: nan, PAdjusted: nan},
	}
}

// measure fills what follows from the pairs alone: means, tests and effect sizes.
func (f *Finding) measure(plan study.AnalysisPlan) error {
	x, y := columns(f.Pairs)
	f.Means = [2]float64{stats.Mean(x), stats.Mean(y)}
	f.SDs = [2]float64{stats.SD(x), stats.SD(y)}
	if err := f.test(plan, x, y); err != nil {
		return err
	}
	return f.size(x, y, plan.Level())
}

// test fills the difference, its interval, the planned test and, beside it,
// the other tests of the same comparison.
func (f *Finding) test(plan study.AnalysisPlan, x, y []float64) error {
	side := f.side(plan)
	tTest, tWarnings, err := pairedTest(plan, side, x, y)
	if err != nil {
		return err
	}
	two, err := stats.PairedT(x, y, stats.PairedTOptions{Level: plan.Level()})
	if err != nil {
		return err
	}
	rankTest, rank, err := rankTest(side, x, y)
	if err != nil {
		return err
	}
	f.Difference, f.CI = two.Diff, two.CI
	f.warnAll(tWarnings)
	f.warnAll(rank.Warnings)
	if rank.NUsed > 0 && (rank.Ties || rank.Zeros > 0) {
		f.warn(warnTies(rank.Exact))
	}
	f.Test, f.Also = tTest, []Test{rankTest}
	if plan.Test == study.SignedRank {
		f.Test, f.Also = rankTest, []Test{tTest}
	}
	return f.count(side, plan.Level(), x, y)
}

// side is the alternative that the finding's tests look for.
func (f *Finding) side(plan study.AnalysisPlan) stats.Alternative {
	if f.Role == Primary {
		return sideOf(plan.Sides)
	}
	return stats.TwoSided
}

func pairedTest(plan study.AnalysisPlan, side stats.Alternative, x, y []float64) (Test, []stats.Warning, error) {
	t, err := stats.PairedT(x, y, stats.PairedTOptions{Alternative: side, Level: plan.Level()})
	return Test{MethodPairedT, "paired t test", t.T, t.DF, t.P, math.NaN()}, t.Warnings, err
}

func rankTest(side stats.Alternative, x, y []float64) (Test, stats.SignedRankResult, error) {
	r, err := stats.SignedRank(x, y, stats.SignedRankOptions{Alternative: side, ExactMax: exactPairs})
	return Test{MethodSignedRank, rankTitle(r.Exact), r.WPlus, math.NaN(), r.P, math.NaN()}, r, err
}

func rankTitle(exact bool) string {
	if exact {
		return "Wilcoxon signed-rank test, exact"
	}
	return "Wilcoxon signed-rank test, normal approximation"
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

// count fills who moved which way, with the sign test and the median difference.
func (f *Finding) count(side stats.Alternative, level float64, x, y []float64) error {
	sign, err := stats.SignTest(x, y, stats.SignTestOptions{Alternative: side, Level: level})
	if err != nil {
		return err
	}
	f.Moved = Moved{sign.Up, sign.Down, sign.Same}
	f.Also = append(f.Also, Test{MethodSign, "sign test, exact", float64(sign.Up), math.NaN(), sign.P, math.NaN()})
	f.Effects = append(f.Effects, Effect{MeasureMedian, sign.Median, sign.MedianCI})
	f.warnAll(sign.Warnings)
	return nil
}

// size fills the standardised effects, ahead of the median difference.
func (f *Finding) size(x, y []float64, level float64) error {
	dz, err := stats.CohenDz(x, y, level)
	if err != nil {
		return err
	}
	f.warnAll(dz.Warnings)
	// g_z is J·d_z (Hedges 1981); multiplied here, as the interval of d_z is costly.
	j := stats.HedgesJ(float64(len(x) - 1))
	if j == 0 { // two pairs: 0 with an interval of no width would look like knowledge
		j = math.NaN()
	}
	gz := Effect{MeasureGz, j * dz.Value, stats.Interval{Lo: j * dz.CI.Lo, Hi: j * dz.CI.Hi, Level: dz.CI.Level}}
	f.Effects = append([]Effect{{MeasureDz, dz.Value, dz.CI}, gz}, f.Effects...)
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
