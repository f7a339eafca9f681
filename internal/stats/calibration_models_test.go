package stats

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"cloche/internal/simulated"
)

// Calibration: studies simulated under the null hypothesis. An exact test
// rejects at 5 % and 1 % as often as it says, within four Monte Carlo standard
// errors; an approximate one within the slack stated beside it; a discrete
// exact one at most that often. See [simulated] for how many run and what they find.

const simulatedStudies = 20000

// calibration is one test under one null hypothesis.
type calibration struct {
	Name    string
	Studies int
	Slack   float64 // as a share of the level, beyond Monte Carlo error
	AtMost  bool    // discrete: may reject less often
	P       func(rng *rand.Rand) float64
}

func (c calibration) Run(t *testing.T) {
	t.Parallel()
	n := simulated.Studies(c.Studies)
	const workers = 2
	var below [workers][2]int
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			rng := newTestRand(uint64(100 + w))
			for i := w; i < n; i += workers {
				p := c.P(rng)
				for l, level := range []float64{0.05, 0.01} {
					if p <= level {
						below[w][l]++
					}
				}
			}
		})
	}
	wg.Wait()
	for l, level := range []float64{0.05, 0.01} {
		rate := float64(below[0][l]+below[1][l]) / float64(n)
		margin := simulated.Margin(level, n) + c.Slack*level
		t.Logf("rejects %.4f at %.2f (%d studies, margin %.4f)", rate, level, n, margin)
		if rate > level+margin || !c.AtMost && rate < level-margin {
			t.Errorf("rejects %.4f at %.2f, margin %.4f", rate, level, margin)
		}
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err) // a simulated study is always well formed
	}
	return v
}

// likert rounds a table to a scale of 1 to 9.
func likert(rows [][]float64) [][]float64 {
	return mapTable(rows, func(_ int, v float64) float64 { return math.Max(1, math.Min(9, math.Round(5+1.5*v))) })
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
	for _, c := range []calibration{
		{"repeated measures F", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			return must(RMAnova(simulatedTable(rng, 12, 4, 0), RMAnovaOptions{})).P
		}},
		{"greenhouse–geisser, unequal spread", simulatedStudies, 0.3, false, func(rng *rand.Rand) float64 {
			rows := simulatedTable(rng, 15, 4, 0)
			for _, row := range rows {
				row[0] += 2 * rng.NormFloat64()
			}
			return must(RMAnova(rows, RMAnovaOptions{})).Sphericity.GGP
		}},
		{"tukey, any pair", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			smallest := 1.0
			for _, p := range must(RMAnova(simulatedTable(rng, 10, 4, 0), RMAnovaOptions{})).Pairs {
				smallest = math.Min(smallest, p.PTukey)
			}
			return smallest
		}},
		{"contrast", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			return must(WithinContrast(simulatedTable(rng, 10, 4, 0), []float64{-3, -1, 1, 3}, 0)).P
		}},
		{"two-way interaction", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			cells := make([][][]float64, 10)
			for i, row := range simulatedTable(rng, 10, 6, 0) {
				cells[i] = [][]float64{row[:3], row[3:]}
			}
			return must(RMAnovaTwoWay(cells)).AB.P
		}},
		{"friedman, chi-squared on nine points", simulatedStudies, 0.35, false, func(rng *rand.Rand) float64 {
			return must(Friedman(likert(simulatedTable(rng, 20, 4, 0)))).P
		}},
		{"friedman, F on nine points", simulatedStudies, 0.25, false, func(rng *rand.Rand) float64 {
			return must(Friedman(likert(simulatedTable(rng, 20, 4, 0)))).FP
		}},
		{"friedman, exact", simulatedStudies / 10, 0, true, func(rng *rand.Rand) float64 {
			return must(Friedman(likert(simulatedTable(rng, 6, 3, 0)))).ExactP
		}},
		{"page, exact", simulatedStudies, 0, true, func(rng *rand.Rand) float64 {
			return must(Page(likert(simulatedTable(rng, 8, 4, 0)))).ExactPGreater
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCalibrationOfGroupsAndBlocks(t *testing.T) {
	blocks, samples := []int{0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3}, []int{0, 1, 2, 0, 1, 3, 0, 2, 3, 1, 2, 3}
	for _, c := range []calibration{
		{"one-way F", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			return must(OneWayAnova(independentGroups(rng, []float64{1, 1, 1}, []int{5, 9, 12}))).P
		}},
		{"welch, unequal spread", simulatedStudies, 0.15, false, func(rng *rand.Rand) float64 {
			return must(OneWayAnova(independentGroups(rng, []float64{1, 3, 2}, []int{12, 15, 20}))).WelchP
		}},
		{"kruskal–wallis", simulatedStudies, 0.35, false, func(rng *rand.Rand) float64 {
			return must(KruskalWallis(independentGroups(rng, []float64{1, 1, 1}, []int{12, 12, 12}))).P
		}},
		{"two-way type III, unbalanced", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			y := make([]float64, 15)
			for i := range y {
				y[i] = rng.NormFloat64()
			}
			return must(TwoWayAnova(y, []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1, 1}, []int{0, 0, 1, 1, 2, 2, 0, 1, 1, 1, 2, 2, 2, 2, 0})).TypeIII[0].P
		}},
		{"crossover treatment", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			g := make([][2]float64, 16)
			for i, row := range simulatedTable(rng, 16, 2, 0) {
				g[i] = [2]float64{row[0], row[1]}
			}
			return must(Crossover2x2(g[:7], g[7:], 0)).Treatment.P
		}},
		{"incomplete blocks F", simulatedStudies, 0, false, func(rng *rand.Rand) float64 {
			y := make([]float64, 12)
			level := []float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
			for i := range y {
				y[i] = level[blocks[i]] + rng.NormFloat64()
			}
			return must(IncompleteBlocks(y, blocks, samples)).P
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

// missed is a p-value of whether an interval holds what was put in: 0 when it does not,
// 1 when it does, so that the rate at 5 % is the share of misses.
func missed(i Interval, truth float64) float64 {
	if i.Lo <= truth && truth <= i.Hi {
		return 1
	}
	return 0
}

func TestCalibrationOfMixedModels(t *testing.T) {
	random := []RandomTerm{{Group: Term{"assessor"}}}
	unbalanced := panel{assessors: 12, samples: 4, repeats: 1, assessorSD: 1, missing: 0.15}
	fit := func(rng *rand.Rand) *MixedFit {
		return must(FitMixed(MixedModel{Data: unbalanced.draw(rng), Fixed: []Term{{"sample"}}, Random: random}))
	}
	for _, c := range []calibration{
		{"mixed model F, missing ratings", simulatedStudies, 0.15, false, func(rng *rand.Rand) float64 { return fit(rng).Anova()[0].P }},
		{"mixed model, assessor-by-sample as error", simulatedStudies / 4, 0.3, false, func(rng *rand.Rand) float64 {
			d := panel{assessors: 10, samples: 3, repeats: 2, assessorSD: 1, interactionSD: 0.7}.draw(rng)
			return must(FitMixed(MixedModel{Data: d, Fixed: []Term{{"sample"}}, Random: append(random, RandomTerm{Group: Term{"assessor", "sample"}})})).Anova()[0].P
		}},
		{"variance between assessors, on the boundary", simulatedStudies / 4, 0.2, true, func(rng *rand.Rand) float64 {
			d := panel{assessors: 30, samples: 4, sittings: 6}.draw(rng)
			large := must(FitMixed(MixedModel{Data: d, Fixed: []Term{{"sample"}}, Random: []RandomTerm{{Group: Term{"sitting"}}, random[0]}}))
			small := must(FitMixed(MixedModel{Data: d, Fixed: []Term{{"sample"}}, Random: large.model.Random[:1]}))
			return must(LikelihoodRatio(small, large)).PBoundary
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

// coverage is one interval under a known truth. At 95 % the rate at 1 % is that
// of a sure miss too, so only the first is compared.
type coverage struct {
	Name    string
	Studies int
	Slack   float64
	Miss    func(rng *rand.Rand) float64 // see [missed]
}

func (c coverage) Run(t *testing.T) {
	t.Parallel()
	n := simulated.Studies(c.Studies)
	rng, misses := newTestRand(77), 0.0
	for range n {
		misses += 1 - c.Miss(rng)
	}
	rate := misses / float64(n)
	margin := simulated.Margin(0.05, n) + c.Slack*0.05
	t.Logf("misses %.4f of %d, margin %.4f", rate, n, margin)
	if math.Abs(rate-0.05) > margin {
		t.Errorf("misses %.4f at 95 %%, margin %.4f", rate, margin)
	}
}

func TestCoverageOfSampleComparisons(t *testing.T) {
	for _, c := range []coverage{
		{"tukey's interval, all pairs at once", simulatedStudies / 4, 0, func(rng *rand.Rand) float64 {
			worst := 1.0
			for _, p := range must(RMAnova(simulatedTable(rng, 9, 4, 0.4), RMAnovaOptions{})).Pairs {
				worst = math.Min(worst, missed(p.Tukey, 0.4*float64(p.B-p.A)))
			}
			return worst
		}},
		{"crossover treatment", simulatedStudies, 0, func(rng *rand.Rand) float64 {
			g := make([][2]float64, 16)
			for i, row := range simulatedTable(rng, 16, 2, 0) {
				g[i] = [2]float64{row[0], row[1]}
				g[i][i/8] += 0.6
			}
			return missed(must(Crossover2x2(g[:8], g[8:], 0)).Treatment.CI, 0.6)
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCoverageOfMixedModels(t *testing.T) {
	p := panel{assessors: 12, samples: 3, assessorSD: 1, effect: 0.7, missing: 0.15}
	for _, c := range []coverage{
		{"mixed model pair", simulatedStudies / 4, 0.1, func(rng *rand.Rand) float64 {
			f := must(FitMixed(MixedModel{Data: p.draw(rng), Fixed: []Term{{"sample"}}, Random: []RandomTerm{{Group: Term{"assessor"}}}}))
			return missed(must(f.Pairs("sample"))[0].CI, 0.7)
		}},
		{"mixed model mean", simulatedStudies / 4, 0.15, func(rng *rand.Rand) float64 {
			f := must(FitMixed(MixedModel{Data: p.draw(rng), Fixed: []Term{{"sample"}}, Random: []RandomTerm{{Group: Term{"assessor"}}}}))
			return missed(must(f.Means("sample"))[1].CI, 5.7)
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCalibrationOfOrdinalModels(t *testing.T) {
	for _, c := range []calibration{
		{"ordinal effect, likelihood ratio", simulatedStudies / 4, 0.25, false, func(rng *rand.Rand) float64 {
			m := drawOrdinal(rng, 40, 2, 5, 0, 0)
			m.Group = nil
			large := must(FitOrdinal(m))
			m.Fixed = nil
			return must(OrdinalLRT(must(FitOrdinal(m)), large)).P
		}},
		{"ordinal effect with assessors, Wald", simulatedStudies / 8, 0.3, false, func(rng *rand.Rand) float64 {
			m := drawOrdinal(rng, 40, 2, 5, 1, 0)
			m.Points = 5
			f := must(FitOrdinal(m))
			return f.Coefficients[len(f.Coefficients)-1].P
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}

func TestCoverageOfOrdinalModels(t *testing.T) {
	for _, c := range []coverage{
		{"ordinal effect with assessors", simulatedStudies / 10, 0.3, func(rng *rand.Rand) float64 {
			m := drawOrdinal(rng, 60, 2, 7, 1, 1)
			f := must(FitOrdinal(m))
			return missed(f.Coefficients[len(f.Coefficients)-1].CI, 1)
		}},
	} {
		t.Run(c.Name, c.Run)
	}
}
