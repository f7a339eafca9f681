package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

// Calibration: simulated studies in which nothing differs, 20,000 in the full run
// (see [simulated] for how many run and what they find). A test that
// is exact for continuous data must reject at its level within Monte Carlo
// error; a test of discrete data must not reject more often. Intervals must
// cover the truth at their level.

var calibrationStudies = simulated.Studies(20_000)

// rejections runs the studies and returns for each test how often p ≤ 0.05
// and p ≤ 0.01.
func rejections(tests int, study func(r *rand.Rand, p []float64)) [][2]float64 {
	const streams = 40
	counts := make([][][2]int, streams)
	numeric.InParallel(streams, func(s int) {
		r := rand.New(rand.NewPCG(1, uint64(s)))
		counts[s] = make([][2]int, tests)
		p := make([]float64, tests)
		for range calibrationStudies / streams {
			study(r, p)
			for i, v := range p {
				if v <= 0.05 {
					counts[s][i][0]++
				}
				if v <= 0.01 {
					counts[s][i][1]++
				}
			}
		}
	})
	rates := make([][2]float64, tests)
	for _, c := range counts {
		for i := range c {
			rates[i][0] += float64(c[i][0]) / float64(calibrationStudies)
			rates[i][1] += float64(c[i][1]) / float64(calibrationStudies)
		}
	}
	return rates
}

// fourErrors is four Monte Carlo standard errors of a rate.
func fourErrors(rate float64) float64 { return simulated.Margin(rate, calibrationStudies) }

type calibratedTest struct {
	name  string
	exact bool    // rejects at its level, not below
	slack float64 // allowance of a large-sample test, as a share of the level
}

func checkRejections(t *testing.T, tests []calibratedTest, rates [][2]float64) {
	t.Helper()
	for i, test := range tests {
		t.Logf("%-28s 5 %%: %.4f  1 %%: %.4f", test.name, rates[i][0], rates[i][1])
		for k, level := range []float64{0.05, 0.01} {
			most := level*(1+test.slack) + fourErrors(level)
			if rates[i][k] > most || test.exact && rates[i][k] < level-fourErrors(level) {
				t.Errorf("%s rejects %.4f of null studies at %v", test.name, rates[i][k], level)
			}
		}
	}
}

func nineFrom(r *rand.Rand, x []float64, mean float64) {
	for i := range x {
		x[i] = min(9, max(1, math.Round(mean+1.5*r.NormFloat64())))
	}
}

func TestCalibrationPairedContinuous(t *testing.T) {
	tests := []calibratedTest{{name: "paired t, n=12", exact: true}, {name: "signed rank exact, n=12"},
		{name: "signed rank normal, n=40", slack: 0.05}, {name: "sign test, n=12"}, {name: "sign flips, n=12"},
		{name: "TOST at a bound, n=12", exact: true}}
	rates := rejections(len(tests), func(r *rand.Rand, p []float64) {
		x, y, long, zero := make([]float64, 12), make([]float64, 12), make([]float64, 40), make([]float64, 40)
		statstest.Normals(r, x, 5, 1)
		statstest.Normals(r, y, 5, 2)
		statstest.Normals(r, long, 0, 1)
		a, _ := ttest.Paired(x, y, ttest.PairedOptions{})
		b, _ := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
		c, _ := ranks.SignedRank(long, zero, ranks.SignedRankOptions{ExactMax: -1})
		d, _ := ranks.SignTest(x, y, ranks.SignTestOptions{})
		e, _ := ttest.SignFlip(x, y, ttest.SignFlipOptions{})
		// True difference on the upper bound, the lower far away: level α exactly.
		f, _ := ttest.TOST(x, y, ttest.TOSTOptions{Lower: -1e6, Upper: 1e-12})
		copy(p, []float64{a.P, b.P, c.P, d.P, e.P, f.P})
	})
	checkRejections(t, tests, rates)
}

func TestCalibrationPairedRatings(t *testing.T) {
	tests := []calibratedTest{{name: "signed rank, Pratt, n=20"}, {name: "signed rank, zeros dropped"},
		{name: "sign test"},
		{name: "sign flips"}, {name: "McNemar exact"}, {name: "McNemar mid-p",
			slack: 0.05}, {name: "Cochran Q, 4 samples", slack: 0.1}}
	rates := rejections(len(tests), func(r *rand.Rand, p []float64) {
		x, y := make([]float64, 20), make([]float64, 20)
		nineFrom(r, x, 6.5)
		nineFrom(r, y, 6.5)
		a, _ := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
		b, _ := ranks.SignedRank(x, y, ranks.SignedRankOptions{Zeros: ranks.WilcoxonZeros})
		c, _ := ranks.SignTest(x, y, ranks.SignTestOptions{})
		d, _ := ttest.SignFlip(x, y, ttest.SignFlipOptions{})
		answers := make([][]bool, 40)
		var table [2][2]int
		for i := range answers {
			level := r.NormFloat64()
			answers[i] = make([]bool, 4)
			for j := range answers[i] {
				answers[i][j] = level+r.NormFloat64() > 0
			}
			table[1-int(numeric.Indicator(answers[i][0]))][1-int(numeric.Indicator(answers[i][1]))]++
		}
		m, _ := choice.McNemar(table, 0)
		q, _ := choice.CochranQ(answers)
		copy(p, []float64{a.P, b.P, c.P, d.P, m.ExactP, m.MidP, q.P})
	})
	checkRejections(t, tests, rates)
}

func TestCalibrationIndependent(t *testing.T) {
	tests := []calibratedTest{{name: "pooled t, 9 and 14", exact: true}, {name: "Welch t, sd 1 and 3", slack: 0.1},
		{name: "Mann–Whitney exact"}, {name: "Mann–Whitney exact, ratings"},
		{name: "Mann–Whitney normal, ratings", slack: 0.05},
		{name: "exact binomial"}}
	rates := rejections(len(tests), func(r *rand.Rand, p []float64) {
		x, y := make([]float64, 9), make([]float64, 14)
		statstest.Normals(r, x, 5, 1)
		statstest.Normals(r, y, 5, 1)
		a, _ := ttest.Pooled(x, y, ttest.TwoSampleOptions{})
		c, _ := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{})
		statstest.Normals(r, y, 5, 3)
		b, _ := ttest.Welch(x, y, ttest.TwoSampleOptions{})
		nineFrom(r, x, 7)
		nineFrom(r, y, 7)
		d, _ := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{})
		e, _ := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{ExactCost: -1})
		right := 0
		for range 20 {
			right += int(numeric.Indicator(r.IntN(3) == 0))
		}
		g, _ := choice.BinomialTest(right, 20, 1.0/3, choice.BinomialTestOptions{Alternative: stats.Greater})
		copy(p, []float64{a.P, b.P, c.P, d.P, e.P, g.P})
	})
	checkRejections(t, tests, rates)
}

func TestCoverageTwoSamples(t *testing.T) {
	const level = 0.9
	cases := []struct {
		name        string
		least, most float64
		interval    func(r *rand.Rand) (stats.Interval, float64) // with the truth
	}{
		{"mean difference, n=8", level, level, func(r *rand.Rand) (stats.Interval, float64) {
			x, y := make([]float64, 8), make([]float64, 8)
			statstest.Normals(r, x, 6, 1)
			statstest.Normals(r, y, 5.5, 1)
			p, _ := ttest.Paired(x, y, ttest.PairedOptions{Level: level})
			return p.CI, 0.5
		}},
		{"d_z 0.8, n=10", level, level, func(r *rand.Rand) (stats.Interval, float64) {
			x := make([]float64, 10)
			statstest.Normals(r, x, 0.8, 1)
			e, _ := effect.CohenDz(x, make([]float64, 10), level)
			return e.CI, 0.8
		}},
		{"d_s 1, 6 and 9", level, level, func(r *rand.Rand) (stats.Interval, float64) {
			x, y := make([]float64, 6), make([]float64, 9)
			statstest.Normals(r, x, 1, 1)
			statstest.Normals(r, y, 0, 1)
			e, _ := effect.TwoSample(x, y, level)
			return e.Ds.CI, 1
		}},
		{"Hodges–Lehmann, n=12", level, 0.92, func(r *rand.Rand) (stats.Interval, float64) {
			x := make([]float64, 12)
			statstest.Normals(r, x, 0, 1)
			h, _ := ranks.HodgesLehmannPaired(x, make([]float64, 12), level)
			return h.CI, 0
		}},
		{"Hodges–Lehmann shift, 8 and 10", level, 0.92, func(r *rand.Rand) (stats.Interval, float64) {
			x, y := make([]float64, 8), make([]float64, 10)
			statstest.Normals(r, x, 1, 1)
			statstest.Normals(r, y, 0, 1)
			h, _ := ranks.HodgesLehmann(x, y, level)
			return h.CI, 1
		}},
		{"median, n=20", level, 0.97, func(r *rand.Rand) (stats.Interval, float64) {
			x := make([]float64, 20)
			statstest.Normals(r, x, 0, 1)
			s, _ := ranks.SignTest(x, make([]float64, 20), ranks.SignTestOptions{Level: level})
			return s.MedianCI, 0
		}},
		{"Clopper–Pearson, 0.3 of 40", level, 1, func(r *rand.Rand) (stats.Interval, float64) {
			return dist.ClopperPearson(successes(r, 40, 0.3), 40, level), 0.3
		}},
		{"Wilson, 0.3 of 40", 0.88, 0.93, func(r *rand.Rand) (stats.Interval, float64) {
			return choice.WilsonInterval(successes(r, 40, 0.3), 40, level), 0.3
		}},
		{"Newcombe paired, n=50", 0.88, 0.93, func(r *rand.Rand) (stats.Interval, float64) {
			var table [2][2]int
			for range 50 {
				first, second := r.Float64() < 0.6, r.Float64() < 0.4
				table[1-int(numeric.Indicator(first))][1-int(numeric.Indicator(second))]++
			}
			m, _ := choice.McNemar(table, level)
			return m.ScoreCI, 0.2
		}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(2, 3))
			covered := 0.0
			for range calibrationStudies {
				i, truth := tc.interval(r)
				covered += numeric.Indicator(i.Lo <= truth && truth <= i.Hi)
			}
			rate := covered / float64(calibrationStudies)
			t.Logf("covers %.4f of %v", rate, level)
			if rate < tc.least-fourErrors(level) || rate > tc.most+fourErrors(level) {
				t.Errorf("covers %.4f, want %v to %v", rate, tc.least, tc.most)
			}
		})
	}
}

func successes(r *rand.Rand, n int, p float64) int {
	x := 0
	for range n {
		x += int(numeric.Indicator(r.Float64() < p))
	}
	return x
}
