package size

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// PanelDesign is a planned comparison of t samples, k of them rated by each of n
// assessors, in a model with the assessor random and sample and position fixed.
//
// Every difference of two samples is then known as well as from
//
//	m = n·(k/t)·E
//
// assessors who rate both, with E the efficiency factor of the incomplete blocks (Yates
// 1936, Ann. Eugen. 7:121; Cochran & Cox 1957, ch. 11), and on
// n(k−1) − (t−1) − (k−1) degrees of freedom. This is exact for complete and balanced
// blocks and whole blocks of orders. What the random assessors tell of the samples beside (recovery of
// inter-block information) is left out, so that incomplete blocks find a little more.
//
// The truth that is looked for is the one hardest to find among those in which two samples
// differ by Effect: the two lie at the ends, all others midway between them (Cohen 1988,
// pp. 276–277, pattern 1, from memory), so that the noncentrality of F is m·Effect².
type PanelDesign struct {
	Samples    int     // t
	Each       int     // k; 0 means all
	Efficiency float64 // E; 0 means 1
	Effect     float64 // difference over the SD of an assessor's difference between two ratings
	Alpha      float64 // level of the test; 0 means 0.05
}

func (d PanelDesign) checked() (PanelDesign, error) {
	if d.Each == 0 {
		d.Each = d.Samples
	}
	if d.Efficiency == 0 {
		d.Efficiency = 1
	}
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if d.Samples < 2 || d.Each < 2 || d.Each > d.Samples || !(d.Efficiency > 0 && d.Efficiency <= 1+1e-9) ||
		!(d.Effect >= 0) || math.IsInf(d.Effect, 0) || stats.CheckLevel(d.Alpha) != nil {
		return d, ErrDesign
	}
	return d, nil
}

// pairs are how many assessors with both ratings would know a difference as well.
func (d PanelDesign) pairs(n int) float64 {
	return float64(n) * float64(d.Each) / float64(d.Samples) * d.Efficiency
}

func (d PanelDesign) residual(n int) int { return n*(d.Each-1) - (d.Samples - 1) - (d.Each - 1) }

// Fewest is the least number of assessors with which anything can be tested.
func (d PanelDesign) Fewest() int {
	d, _ = d.checked()
	n := 2
	for d.residual(n) < 1 {
		n++
	}
	return n
}

// PowerF returns the power of an F test on df1 and df2 degrees of freedom with
// noncentrality lambda (Tang 1938, Stat. Res. Mem. 2:126; tables in Cohen 1988, ch. 8).
// Errors: [ErrDesign].
func PowerF(df1, df2, lambda, alpha float64) (float64, error) {
	if !(df1 > 0) || !(df2 > 0) || !(lambda >= 0) || math.IsInf(lambda, 0) || stats.CheckLevel(alpha) != nil {
		return math.NaN(), ErrDesign
	}
	return dist.NoncentralFSurvival(fUpperQuantile(alpha, df1, df2), df1, df2, lambda), nil
}

// fUpperQuantile solves P(F > f) = tail, by bisection on ln f.
func fUpperQuantile(tail, df1, df2 float64) float64 {
	return math.Exp(numeric.Bisect(-700, 700, func(l float64) bool {
		return dist.FSurvival(math.Exp(l), df1, df2) > tail
	}))
}

// PowerPanel returns the power of the F test of all samples with n assessors. Errors:
// [ErrDesign].
func PowerPanel(n int, design PanelDesign) (float64, error) {
	d, err := design.checked()
	if err != nil || n < 2 || d.residual(n) < 1 {
		return math.NaN(), ErrDesign
	}
	return PowerF(float64(d.Samples-1), float64(d.residual(n)), d.pairs(n)*d.Effect*d.Effect, d.Alpha)
}

// PairTest is a test of one pair of samples by the model of all.
type PairTest struct {
	Tukey       bool // two-sided, adjusted for all pairs by the studentized range
	Alternative stats.Alternative
}

// PowerPanelPair returns the power with which n assessors tell two samples apart that
// differ by Effect, from the noncentral t distribution: exact with Tukey's adjustment too,
// which only moves the critical value. Errors: [ErrDesign].
func PowerPanelPair(n int, test PairTest, design PanelDesign) (float64, error) {
	d, err := design.checked()
	if err != nil || n < 2 || d.residual(n) < 1 {
		return math.NaN(), ErrDesign
	}
	df, shift := float64(d.residual(n)), d.Effect*math.Sqrt(d.pairs(n))
	both := func(critical float64) float64 {
		return min(1, dist.NoncentralTSurvival(critical, df, shift)+dist.NoncentralTCDF(-critical, df, shift))
	}
	switch {
	case test.Tukey:
		return both(dist.StudentizedRangeUpper(d.Alpha, d.Samples, df) / math.Sqrt2), nil
	case test.Alternative == stats.TwoSided:
		return both(dist.TQuantileUpper(d.Alpha/2, df)), nil
	}
	return dist.NoncentralTSurvival(dist.TQuantileUpper(d.Alpha, df), df, shift), nil
}

// SomePairs is how often Tukey's test of all pairs finds any, and all of them.
type SomePairs struct {
	Any SimulatedPower // at least one pair, when two samples differ by Effect and the others lie midway
	All SimulatedPower // every pair, when each sample differs from the next by Effect
}

// PowerSomePairs simulates Tukey's test of all pairs with n assessors. Estimated means
// and residual mean square are drawn from their own distributions, normal and chi-squared,
// rather than rating by rating: for complete and balanced blocks that is the same.
// replicates 0 means 10,000. Errors: [ErrDesign].
func PowerSomePairs(n, replicates int, seed uint64, design PanelDesign) (SomePairs, error) {
	d, err := design.checked()
	if replicates == 0 {
		replicates = 10_000
	}
	if err != nil || n < 2 || d.residual(n) < 1 || replicates < 1 {
		return SomePairs{}, ErrDesign
	}
	df := float64(d.residual(n))
	critical := dist.StudentizedRangeUpper(d.Alpha, d.Samples, df) / math.Sqrt2
	hits := replicated(replicates, seed, func(r *rand.Rand) func() []bool {
		noise, residual := make([]float64, d.Samples), distuv.ChiSquared{K: df, Src: r}
		x := make([]float64, d.Samples)
		scale := math.Sqrt(d.pairs(n))
		return func() []bool {
			for i := range noise {
				noise[i] = r.NormFloat64() / math.Sqrt2
			}
			bar := critical * math.Sqrt(residual.Rand()/df)
			copy(x, noise)
			x[0] -= scale * d.Effect / 2
			x[1] += scale * d.Effect / 2
			anyFound := slices.Max(x)-slices.Min(x) >= bar
			for i := range x {
				x[i] = noise[i] + scale*d.Effect*float64(i)
			}
			return []bool{anyFound, leastGap(x) >= bar}
		}
	})
	return SomePairs{Any: simulatedShare(hits[0], replicates), All: simulatedShare(hits[1], replicates)}, nil
}

func leastGap(x []float64) float64 {
	slices.Sort(x)
	gap := math.Inf(1)
	for i := 1; i < len(x); i++ {
		gap = min(gap, x[i]-x[i-1])
	}
	return gap
}

// SimulatedPower is the share of simulated studies that reject.
type SimulatedPower struct {
	Power      float64
	CI         stats.Interval // Wilson, 95 %: the error of simulating
	Replicates int
}

func simulatedShare(hits, replicates int) SimulatedPower {
	return SimulatedPower{Power: float64(hits) / float64(replicates),
		CI: choice.WilsonInterval(hits, replicates, stats.DefaultLevel), Replicates: replicates}
}

// replicatesPerStream bounds the studies that one stream of random numbers plays.
const replicatesPerStream = 1024

// replicated plays studies in streams of their own, as many at a time as there are
// processors, and counts how often each answer of play is true. The counts depend on the
// seed alone.
func replicated(replicates int, seed uint64, player func(r *rand.Rand) (play func() []bool)) []int {
	streams := (replicates + replicatesPerStream - 1) / replicatesPerStream
	counts := make([][]int, streams)
	numeric.InParallel(streams, func(stream int) {
		play := player(rand.New(rand.NewPCG(seed, uint64(stream))))
		for range min(replicatesPerStream, replicates-stream*replicatesPerStream) {
			for i, hit := range play() {
				if i == len(counts[stream]) {
					counts[stream] = append(counts[stream], 0)
				}
				if hit {
					counts[stream][i]++
				}
			}
		}
	})
	total := counts[0]
	for _, c := range counts[1:] {
		for i, v := range c {
			total[i] += v
		}
	}
	return total
}

// FewestAssessors returns the smallest number of assessors, from from on, whose power reaches what is
// wished for, 0 when none up to upTo does. Power has to rise with the panel.
func FewestAssessors(from, upTo int, wish float64, power func(n int) float64) int {
	if !(power(upTo) >= wish) {
		return 0
	}
	n, _ := smallestN(from, func(n int) (bool, error) { return n >= upTo || power(n) >= wish, nil })
	return n
}
