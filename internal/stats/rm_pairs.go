package stats

import "math"

// RMPair compares columns A < B of [RMAnova]: by their own paired t test
// (nothing assumed of the other samples) and on the pooled error mean square.
type RMPair struct {
	A, B        int
	Diff        float64 // mean of B less mean of A
	TPaired     float64
	DFPaired    float64
	PPaired     float64
	CI          Interval // of Diff, from the paired t
	Dz          float64  // Diff / standard deviation of the differences
	PHolm       float64  // PPaired adjusted over all pairs
	PBH         float64
	PBonferroni float64
	TPooled     float64  // on the error mean square
	PLSD        float64  // Fisher's: two-sided, not adjusted
	PTukey      float64  // Tukey's honestly significant difference
	Tukey       Interval // simultaneous interval of Diff
}

// comparePairs fills in all pairs. Tukey (1953) on the studentized range; the
// level of both intervals is the same.
func (r *RMAnovaResult) comparePairs(rows [][]float64, level float64) {
	columns := make([][]float64, r.K)
	for j := range columns {
		columns[j] = column(rows, j)
	}
	se := math.Sqrt(2 * r.MSError / float64(r.N))
	half := math.NaN()
	pooled := r.MSError > 0
	if pooled {
		half = studentizedRangeUpper(1-level, r.K, r.DF2) * se / math.Sqrt2
	}
	var p []float64
	for a := range r.K {
		for b := a + 1; b < r.K; b++ {
			pair := pairedPair(columns[a], columns[b], level)
			pair.A, pair.B = a, b
			pair.TPooled, pair.PLSD, pair.PTukey = math.NaN(), math.NaN(), math.NaN()
			pair.Tukey = absent(level)
			if pooled {
				pair.TPooled = pair.Diff / se
				pair.PLSD = tTwoSided(pair.TPooled, r.DF2)
				pair.PTukey = StudentizedRangeSurvival(math.Abs(pair.TPooled)*math.Sqrt2, r.K, r.DF2)
				pair.Tukey = Interval{pair.Diff - half, pair.Diff + half, level}
			}
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.PPaired)
		}
	}
	holm, bh, bonferroni := Holm(p), BenjaminiHochberg(p), Bonferroni(p)
	for i := range r.Pairs {
		r.Pairs[i].PHolm, r.Pairs[i].PBH, r.Pairs[i].PBonferroni = holm[i], bh[i], bonferroni[i]
	}
}

// pairedPair is the paired t test of b against a. Its figures are NaN when the
// differences do not vary; the warning stands with the analysis.
func pairedPair(a, b []float64, level float64) RMPair {
	nan := math.NaN()
	pair := RMPair{Diff: nan, TPaired: nan, DFPaired: float64(len(a) - 1), PPaired: nan, CI: absent(level), Dz: nan}
	t, err := PairedT(b, a, PairedTOptions{Level: level})
	if err != nil {
		return pair
	}
	pair.Diff, pair.TPaired, pair.PPaired, pair.CI = t.Diff, t.T, tTwoSided(t.T, t.DF), t.CI
	if t.SD > 0 {
		pair.Dz = t.Diff / t.SD
	}
	return pair
}
