package anova

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

// likert rounds a table to a scale of 1 to 9.
func likert(rows [][]float64) [][]float64 {
	return statstest.MapTable(rows, func(_ int, v float64) float64 {
		return math.Max(1, math.Min(9, math.Round(5+1.5*v)))
	})
}

func independentGroups(rng *rand.Rand, sd []float64, n []int) [][]float64 {
	groups := make([][]float64, len(n))
	for i := range n {
		for range n[i] {
			groups[i] = append(groups[i], sd[i]*rng.NormFloat64())
		}
	}
	return groups
}

func TestCalibrationOfSampleComparisons(t *testing.T) {
	for _, c := range []statstest.Calibration{
		{Name: "repeated measures F", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(Repeated(statstest.SimulatedTable(rng, 12, 4, 0), RepeatedOptions{})).P
			}},
		{Name: "greenhouse–geisser, unequal spread", Studies: statstest.SimulatedStudies, Slack: 0.3, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				rows := statstest.SimulatedTable(rng, 15, 4, 0)
				for _, row := range rows {
					row[0] += 2 * rng.NormFloat64()
				}
				return statstest.Must(Repeated(rows, RepeatedOptions{})).Sphericity.GGP
			}},
		{Name: "tukey, any pair", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				smallest := 1.0
				for _, p := range statstest.Must(Repeated(statstest.SimulatedTable(rng, 10, 4, 0),
					RepeatedOptions{})).Pairs {
					smallest = math.Min(smallest, p.PTukey)
				}
				return smallest
			}},
		{Name: "two-way interaction", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				cells := make([][][]float64, 10)
				for i, row := range statstest.SimulatedTable(rng, 10, 6, 0) {
					cells[i] = [][]float64{row[:3], row[3:]}
				}
				return statstest.Must(RepeatedTwoWay(cells)).AB.P
			}},
		{Name: "friedman, chi-squared on nine points", Studies: statstest.SimulatedStudies, Slack: 0.35, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(ranks.Friedman(likert(statstest.SimulatedTable(rng, 20, 4, 0)))).P
			}},
		{Name: "friedman, F on nine points", Studies: statstest.SimulatedStudies, Slack: 0.25, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(ranks.Friedman(likert(statstest.SimulatedTable(rng, 20, 4, 0)))).FP
			}},
		{Name: "friedman, exact", Studies: statstest.SimulatedStudies / 10, Slack: 0, AtMost: true,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(ranks.Friedman(likert(statstest.SimulatedTable(rng, 6, 3, 0)))).ExactP
			}},
		{Name: "page, exact", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: true,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(ranks.Page(likert(statstest.SimulatedTable(rng, 8, 4, 0)))).ExactPGreater
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCalibrationOfGroupsAndBlocks(t *testing.T) {
	blocks, samples := []int{0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3}, []int{0, 1, 2, 0, 1, 3, 0, 2, 3, 1, 2, 3}
	for _, c := range []statstest.Calibration{
		{Name: "one-way F", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(OneWay(independentGroups(rng, []float64{1, 1, 1}, []int{5, 9, 12}))).P
			}},
		{Name: "welch, unequal spread", Studies: statstest.SimulatedStudies, Slack: 0.15, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(OneWay(independentGroups(rng, []float64{1, 3, 2}, []int{12, 15, 20}))).WelchP
			}},
		{Name: "kruskal–wallis", Studies: statstest.SimulatedStudies, Slack: 0.35, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				return statstest.Must(ranks.KruskalWallis(independentGroups(rng, []float64{1, 1, 1},
					[]int{12, 12, 12}))).P
			}},
		{Name: "two-way type III, unbalanced", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				y := make([]float64, 15)
				for i := range y {
					y[i] = rng.NormFloat64()
				}
				return statstest.Must(TwoWay(y, []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1, 1},
					[]int{0, 0, 1, 1, 2, 2, 0, 1, 1, 1, 2, 2, 2, 2, 0})).TypeIII[0].P
			}},
		{Name: "crossover treatment", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				g := make([][2]float64, 16)
				for i, row := range statstest.SimulatedTable(rng, 16, 2, 0) {
					g[i] = [2]float64{row[0], row[1]}
				}
				return statstest.Must(ttest.Crossover(g[:7], g[7:], 0)).Treatment.P
			}},
		{Name: "incomplete blocks F", Studies: statstest.SimulatedStudies, Slack: 0, AtMost: false,
			P: func(rng *rand.Rand) float64 {
				y := make([]float64, 12)
				level := []float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
				for i := range y {
					y[i] = level[blocks[i]] + rng.NormFloat64()
				}
				return statstest.Must(IncompleteBlocks(y, blocks, samples)).P
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCoverageOfSampleComparisons(t *testing.T) {
	for _, c := range []statstest.Coverage{
		{Name: "tukey's interval, all pairs at once", Studies: statstest.SimulatedStudies / 4, Slack: 0,
			Miss: func(rng *rand.Rand) float64 {
				worst := 1.0
				for _, p := range statstest.Must(Repeated(statstest.SimulatedTable(rng, 9, 4, 0.4),
					RepeatedOptions{})).Pairs {
					worst = math.Min(worst, statstest.Missed(p.Tukey, 0.4*float64(p.B-p.A)))
				}
				return worst
			}},
		{Name: "crossover treatment", Studies: statstest.SimulatedStudies, Slack: 0,
			Miss: func(rng *rand.Rand) float64 {
				g := make([][2]float64, 16)
				for i, row := range statstest.SimulatedTable(rng, 16, 2, 0) {
					g[i] = [2]float64{row[0], row[1]}
					g[i][i/8] += 0.6
				}
				return statstest.Missed(statstest.Must(ttest.Crossover(g[:8], g[8:], 0)).Treatment.CI, 0.6)
			}},
	} {
		t.Run(c.Name, c.Run)
	}
}
