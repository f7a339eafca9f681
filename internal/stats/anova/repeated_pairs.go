package anova

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ttest"
)

// RepeatedPair compares columns A < B of [Repeated]: by their own paired t test
// (nothing assumed of the other samples) and on the pooled error mean square.
type RepeatedPair struct {
	A, B        int
	Diff        float64 // mean of B less mean of A
	TPaired     float64
	DFPaired    float64
	PPaired     float64
	CI          stats.Interval // of Diff, from the paired t
	Dz          float64        // Diff / standard deviation of the differences
	PHolm       float64        // PPaired adjusted over all pairs
	PBH         float64
	PBonferroni float64
	TPooled     float64        // on the error mean square
	PLSD        float64        // Fisher's: two-sided, not adjusted
	PTukey      float64        // Tukey's honestly significant difference
	Tukey       stats.Interval // simultaneous interval of Diff
}

// comparePairs fills in all pairs. Tukey (1953) on the studentized range; the
// level of both intervals is the same.
func (r *RepeatedResult) comparePairs(rows [][]float64, level float64) {
	columns := make([][]float64, r.K)
	for j := range columns {
		columns[j] = stats.Column(rows, j)
	}
	se := math.Sqrt(2 * r.MSError / float64(r.N))
	half := math.NaN()
	pooled := r.MSError > 0
	if pooled {
		half = dist.StudentizedRangeUpper(1-level, r.K, r.DF2) * se / math.Sqrt2
	}
	var p []float64
	for a := range r.K {
		for b := a + 1; b < r.K; b++ {
			pair := pairedPair(columns[a], columns[b], level)
			pair.A, pair.B = a, b
			pair.TPooled, pair.PLSD, pair.PTukey = math.NaN(), math.NaN(), math.NaN()
			pair.Tukey = stats.NoInterval(level)
			if pooled {
				pair.TPooled = pair.Diff / se
				pair.PLSD = dist.TTwoSided(pair.TPooled, r.DF2)
				pair.PTukey = dist.StudentizedRangeSurvival(math.Abs(pair.TPooled)*math.Sqrt2, r.K, r.DF2)
				pair.Tukey = stats.Interval{Lo: pair.Diff - half, Hi: pair.Diff + half, Level: level}
			}
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.PPaired)
		}
	}
	holm, bh, bonferroni := stats.Holm(p), stats.BenjaminiHochberg(p), stats.Bonferroni(p)
	for i := range r.Pairs {
		r.Pairs[i].PHolm, r.Pairs[i].PBH, r.Pairs[i].PBonferroni = holm[i], bh[i], bonferroni[i]
	}
}

// pairedPair is the paired t test of b against a. Its figures are NaN when the
// differences do not vary; the warning stands with the analysis.
func pairedPair(a, b []float64, level float64) RepeatedPair {
	nan := math.NaN()
	pair := RepeatedPair{Diff: nan, TPaired: nan, DFPaired: float64(len(a) - 1), PPaired: nan,
		CI: stats.NoInterval(level), Dz: nan}
	t, err := ttest.Paired(b, a, ttest.PairedOptions{Level: level})
	if err != nil {
		return pair
	}
	pair.Diff, pair.TPaired, pair.PPaired, pair.CI = t.Diff, t.T, dist.TTwoSided(t.T, t.DF), t.CI
	if t.SD > 0 {
		pair.Dz = t.Diff / t.SD
	}
	return pair
}
