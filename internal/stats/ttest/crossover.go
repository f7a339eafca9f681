package ttest

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// CrossoverResult is what [Crossover] finds.
type CrossoverResult struct {
	NAB, NBA    int
	Treatment   CrossoverEffect // A less B
	Period      CrossoverEffect // period 1 less period 2
	CarryOver   CrossoverEffect // mean total of the AB group less that of the BA group
	FirstPeriod CrossoverEffect // A less B from period 1 alone, free of carry-over
	Warnings    []stats.Warning
}

// CrossoverEffect is an estimate with its t test. T, P and CI are NaN when
// there is no spread or there are too few assessors.
type CrossoverEffect struct {
	Estimate, SE, T, DF, P float64
	CI                     stats.Interval
}

// WarnCarryOver marks a two-period crossover in which the groups' totals
// differ at the 10 % level that Grizzle (1965), Biometrics 21, 467–480, used.
const WarnCarryOver = "carry-over"

// Crossover analyses the crossover of two samples over two periods: ab
// holds the ratings in periods 1 and 2 of the assessors who had A first, ba of
// those who had B first. Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8,
// 7–20: the period differences of the two groups are compared for the
// treatment, their sum for the period, the totals for carry-over. Choosing
// between Treatment and FirstPeriod by the test for carry-over biases both
// (Freeman 1989, Stat. Med. 8, 1421–1432): decide beforehand.
func Crossover(ab, ba [][2]float64, level float64) (CrossoverResult, error) {
	x, y := periodScores(ab), periodScores(ba)
	if err := stats.CheckUsable(x.first, y.first, x.total, y.total); err != nil {
		return CrossoverResult{}, fmt.Errorf("two-period crossover: %w", err)
	}
	r := CrossoverResult{NAB: len(ab), NBA: len(ba)}
	reversed := make([]float64, len(y.difference))
	for i, d := range y.difference {
		reversed[i] = -d
	}
	for _, c := range []struct {
		to     *CrossoverEffect
		x, y   []float64
		factor float64
	}{
		{&r.Treatment, x.difference, y.difference, 0.5},
		{&r.Period, x.difference, reversed, 0.5},
		{&r.CarryOver, x.total, y.total, 1},
		{&r.FirstPeriod, x.first, y.first, 1},
	} {
		t, err := Pooled(c.x, c.y, TwoSampleOptions{Level: level})
		if err != nil {
			return CrossoverResult{}, fmt.Errorf("two-period crossover: %w", err)
		}
		*c.to = CrossoverEffect{Estimate: t.Diff * c.factor, SE: t.SE * c.factor, T: t.T, DF: t.DF,
			P:  dist.TTwoSided(t.T, t.DF),
			CI: stats.Interval{Lo: t.CI.Lo * c.factor, Hi: t.CI.Hi * c.factor, Level: t.CI.Level}}
	}
	if math.IsNaN(r.Treatment.P) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnTooFew,
			Text: "the differences between periods do not vary within the groups, or there are fewer than three " +
				"assessors: the samples cannot be tested"})
	}
	if !math.IsNaN(r.Treatment.P) && math.IsNaN(r.Period.P+r.CarryOver.P+r.FirstPeriod.P) {
		r.Warnings = append(r.Warnings, stats.NoSpread("values behind one of the comparisons within each order"))
	}
	if r.CarryOver.P < 0.1 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnCarryOver,
			Text: "the two orders differ in their totals: what was tasted first may have marked what came second, " +
				"which the comparison of the samples then carries"})
	}
	return r, nil
}

// periodSums are what the two-period analysis needs of one group.
type periodSums struct{ difference, total, first []float64 }

func periodScores(group [][2]float64) (s periodSums) {
	var second []float64
	for _, p := range group {
		s.difference = append(s.difference, p[0]-p[1])
		s.total = append(s.total, p[0]+p[1])
		s.first = append(s.first, p[0])
		second = append(second, p[1])
	}
	grid := stats.Resolution(s.first, second)
	stats.LevelIfConstant(s.difference, grid)
	stats.LevelIfConstant(s.total, grid)
	return s
}
