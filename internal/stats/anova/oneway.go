package anova

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
)

// OneWayResult is what [OneWay] finds. Figures that cannot be computed
// are NaN, with a warning.
type OneWayResult struct {
	N, K                       int
	Counts                     []int
	Means                      []float64
	SSBetween, SSWithin        float64
	DF1, DF2, MSWithin         float64
	F, P                       float64
	Eta2, Omega2               float64
	WelchF, WelchDF1, WelchDF2 float64 // variances not assumed equal
	WelchP                     float64
	Kruskal                    ranks.KruskalWallisResult
	Pairs                      []OneWayPair
	Warnings                   []stats.Warning
}

// OneWayPair compares groups A < B on the pooled variance within groups.
type OneWayPair struct {
	A, B       int
	Diff       float64 // mean of B less mean of A
	SE, T, P   float64
	LSD        float64 // Fisher's least significant difference at 5 %
	PHolm, PBH float64
	PTukey     float64        // Tukey–Kramer
	Tukey      stats.Interval // simultaneous 95 % interval of Diff
}

// OneWay compares the means of k independent groups, none of them empty.
// F and η² as in any textbook; ω²: Hays (1963), Statistics for Psychologists;
// Welch (1951), Biometrika 38, 330–336, for unequal variances; pairs by
// Tukey–Kramer (Kramer 1956, Biometrics 12, 307–310). It needs one group with
// two values or more and some spread within groups; Welch's form needs two
// values and some spread in every group.
func OneWay(groups [][]float64) (OneWayResult, error) {
	kruskal, err := ranks.KruskalWallis(groups)
	if err != nil {
		return OneWayResult{}, fmt.Errorf("one-way anova: %w", err)
	}
	nan := math.NaN()
	r := OneWayResult{K: len(groups), Kruskal: kruskal, F: nan, P: nan, MSWithin: nan, Eta2: nan, Omega2: nan,
		WelchF: nan, WelchDF1: nan, WelchDF2: nan, WelchP: nan, Warnings: kruskal.Warnings}
	var all []float64
	for _, g := range groups {
		m := stats.Mean(g)
		r.Counts, r.Means = append(r.Counts, len(g)), append(r.Means, m)
		for _, v := range g {
			r.SSWithin += (v - m) * (v - m)
		}
		all = append(all, g...)
	}
	grand := stats.Mean(all)
	for i, m := range r.Means {
		r.SSBetween += float64(r.Counts[i]) * (m - grand) * (m - grand)
	}
	r.N = len(all)
	r.DF1, r.DF2 = float64(r.K-1), float64(r.N-r.K)
	r.test(stats.SumOfSquares(all))
	r.welch(groups)
	r.comparePairs()
	return r, nil
}

// test fills in F and the effect sizes; raw is the sum of squared values.
func (r *OneWayResult) test(raw float64) {
	if r.N == r.K {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnTooFew,
			Text: "one value in each group: at least one group needs two"})
		return
	}
	if stats.RoundingOnly(r.SSBetween, raw) {
		r.SSBetween = 0
	}
	if stats.RoundingOnly(r.SSWithin, raw) {
		r.SSWithin, r.MSWithin = 0, 0
		if r.SSBetween > 0 {
			r.Eta2 = 1
		}
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "the values within each group are all equal: nothing is left to test the groups against"})
		return
	}
	r.MSWithin = r.SSWithin / r.DF2
	r.F = r.SSBetween / r.DF1 / r.MSWithin
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
	r.Eta2 = r.SSBetween / (r.SSBetween + r.SSWithin)
	r.Omega2 = (r.SSBetween - r.DF1*r.MSWithin) / (r.SSBetween + r.SSWithin + r.MSWithin)
}

// welch fills in Welch's form, which weighs each mean by nᵢ/sᵢ².
func (r *OneWayResult) welch(groups [][]float64) {
	weights := make([]float64, r.K)
	total, mean := 0.0, 0.0
	for i, g := range groups {
		if len(g) < 2 || !(stats.Variance(g) > 0) {
			r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnTooFew,
				Text: "a group with fewer than two different values: the test for unequal variances cannot be " +
					"computed"})
			return
		}
		weights[i] = float64(len(g)) / stats.Variance(g)
		total += weights[i]
		mean += weights[i] * r.Means[i]
	}
	mean /= total
	k := float64(r.K)
	between, spread := 0.0, 0.0
	for i, w := range weights {
		d := r.Means[i] - mean
		between += w * d * d
		spread += (1 - w/total) * (1 - w/total) / float64(r.Counts[i]-1)
	}
	spread /= k*k - 1
	r.WelchDF1, r.WelchDF2 = k-1, 1/(3*spread)
	r.WelchF = between / (k - 1) / (1 + 2*(k-2)*spread)
	r.WelchP = dist.FSurvival(r.WelchF, r.WelchDF1, r.WelchDF2)
}

// comparePairs fills in all pairs; without spread within groups only the
// differences.
func (r *OneWayResult) comparePairs() {
	const level = stats.DefaultLevel
	nan := math.NaN()
	quantile, critical := nan, nan
	if r.MSWithin > 0 {
		quantile, critical = dist.TQuantileUpper((1-level)/2, r.DF2), dist.StudentizedRangeUpper(1-level, r.K, r.DF2)
	}
	var p []float64
	for a := range r.K {
		for b := a + 1; b < r.K; b++ {
			pair := OneWayPair{A: a, B: b, Diff: r.Means[b] - r.Means[a], SE: nan, T: nan, P: nan, LSD: nan,
				PTukey: nan, Tukey: stats.NoInterval(level)}
			if r.MSWithin > 0 {
				pair.SE = math.Sqrt(r.MSWithin * (1/float64(r.Counts[a]) + 1/float64(r.Counts[b])))
				pair.T = pair.Diff / pair.SE
				pair.P = dist.TTwoSided(pair.T, r.DF2)
				pair.LSD = quantile * pair.SE
				pair.PTukey = dist.StudentizedRangeSurvival(math.Abs(pair.T)*math.Sqrt2, r.K, r.DF2)
				half := critical * pair.SE / math.Sqrt2
				pair.Tukey = stats.Interval{Lo: pair.Diff - half, Hi: pair.Diff + half, Level: level}
			}
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.P)
		}
	}
	holm, bh := stats.Holm(p), stats.BenjaminiHochberg(p)
	for i := range r.Pairs {
		r.Pairs[i].PHolm, r.Pairs[i].PBH = holm[i], bh[i]
	}
}
