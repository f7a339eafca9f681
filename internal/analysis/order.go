package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// Levels at which the checks of order speak. A carry-over check has little
// power and is read at 10 % (Grizzle 1965, Biometrics 21:467; its limits:
// Freeman 1989, Stat. Med. 8:1421).
const (
	periodAlpha = 0.05
	carryAlpha  = 0.10
)

// checkOrder checks whether the order of serving shows in the ratings: as a
// two-period crossover when each assessor rated exactly two servings, else by
// an F test of position.
func (p *panel) checkOrder(s *study.Study, c comparison, f *Finding) error {
	if p.unordered {
		f.warn(warnOrderUnknown())
		return nil
	}
	if p.isCrossover(s) {
		return f.checkCrossover(Label(s, c.pair[0]), Label(s, c.pair[1]))
	}
	check := p.positions[c.attribute.ID]
	f.Checks = append(f.Checks, check.Check)
	switch {
	case check.unchecked != "":
		f.warn(warnOrderUnchecked(check.unchecked))
	case check.P < periodAlpha:
		f.warn(warnPositionEffect(check.P))
	}
	if check.groups != nil {
		f.warn(warnOrderPart(check.groups))
	}
	return nil
}

// isCrossover reports whether each assessor was to rate exactly two servings.
func (p *panel) isCrossover(s *study.Study) bool { return len(s.Samples) == 2 && p.most == 1 }

// checkPositions holds the ratings of each attribute against the positions, for
// [panel.checkOrder].
func (p *panel) checkPositions(s *study.Study) {
	if p.unordered || p.isCrossover(s) {
		return
	}
	models, checks := make([]additive, len(s.Attributes)), make([]positionCheck, len(s.Attributes))
	numeric.InParallel(len(models), func(i int) { models[i] = p.additiveModel(s, s.Attributes[i].ID) })
	var first anova.Partial
	if len(models) > 0 {
		first = anova.NewPartial(models[0].samples, models[0].positions)
	}
	numeric.InParallel(len(checks), func(i int) {
		m, columns := models[i], first
		if !m.servedAs(models[0]) {
			columns = anova.NewPartial(m.samples, m.positions)
		}
		checks[i] = checkPosition(s, m, columns)
	})
	for i, a := range s.Attributes {
		p.positions[a.ID] = checks[i]
	}
}

// checkCrossover compares the two orders of serving (Hills & Armitage 1979,
// Br. J. Clin. Pharmacol. 8:7). With x = a − b per assessor and τ the
// difference of samples, π that of first and second serving: x has mean τ + π
// where a came first and τ − π where b did. So half the difference of the
// group means estimates π, half their sum τ freed of π. A carry-over that
// differs between a and b shows in the sums a + b.
func (f *Finding) checkCrossover(a, b string) error {
	var x, sum [2][]float64 // [0] a first, [1] b first
	for _, v := range f.Pair.Each {
		if v.FirstPosition == 0 {
			f.warn(warnOrderUnknown())
			return nil
		}
		g := 0
		if v.FirstPosition < 0 {
			g = 1
		}
		x[g] = append(x[g], v.First-v.Second)
		sum[g] = append(sum[g], v.First+v.Second)
	}
	if len(x[0]) < 2 || len(x[1]) < 2 {
		f.warn(warnOrderUnchecked(fmt.Sprintf("“%s” came first for %d of the assessors and “%s” for %d, "+
			"and it takes at least two of each", a, len(x[0]), b, len(x[1]))))
		return nil
	}
	negative := make([]float64, len(x[1]))
	for i, v := range x[1] {
		negative[i] = -v
	}
	for _, part := range []struct {
		check  method.ID
		a, b   []float64
		factor float64
	}{
		{method.Period, x[0], x[1], 0.5},
		{method.CarryOver, sum[0], sum[1], 1},
		{method.PeriodAdjusted, x[0], negative, 0.5},
	} {
		t, err := ttest.Pooled(part.a, part.b, ttest.TwoSampleOptions{Level: f.CI.Level})
		if err != nil {
			return err
		}
		f.addCheck(part.check, t, part.factor)
	}
	f.remarkCrossover()
	return nil
}

func (f *Finding) addCheck(check method.ID, t ttest.TwoSampleResult, factor float64) {
	f.Checks = append(f.Checks, Check{
		Method: check, Title: check.Title(), Estimate: factor * t.Diff,
		CI:        stats.Interval{Lo: factor * t.CI.Lo, Hi: factor * t.CI.Hi, Level: t.CI.Level},
		Statistic: t.T, DF: t.DF, DF2: math.NaN(), P: t.P,
	})
	if math.IsNaN(t.P) { // the warnings of t speak of ratings, which these are not
		f.warn(warnOrderUnchecked("within each order of serving there is no scatter to hold the orders against"))
	}
}

func (f *Finding) remarkCrossover() {
	for _, c := range f.Checks {
		switch {
		case c.Method == method.Period && c.P < periodAlpha:
			f.warn(warnPeriod(c))
		case c.Method == method.CarryOver && c.P < carryAlpha:
			f.warn(warnCarryOver(c))
		}
	}
}
