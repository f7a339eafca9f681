package stats

import "math"

// PairedTOptions sets a paired t test; the zero value is two-sided against
// a mean difference of 0 with a 95 % interval.
type PairedTOptions struct {
	Mu          float64     // mean difference under the null hypothesis
	Alternative Alternative // side; also gives a one-sided interval
	Level       float64     // confidence level; 0 means 0.95
}

// PairedTResult is the outcome of [PairedT]. What cannot be computed is NaN
// and a warning says why.
type PairedTResult struct {
	N            int         // pairs
	MeanX, MeanY float64     // means of the two samples
	Diff         float64     // mean of x − y
	SD           float64     // standard deviation of the differences, divisor n−1
	SE           float64     // SD/√n
	T, DF, P     float64     // statistic, degrees of freedom n−1, p-value
	CI           Interval    // of the mean difference; unbounded on one side for a one-sided test
	R            float64     // Pearson correlation of x and y
	Alternative  Alternative // as asked for
	Warnings     []Warning
}

// PairedT tests whether the mean of the paired differences x − y is Mu
// (Student 1908, Biometrika 6:1): t = (mean(d) − Mu)/(s_d/√n) on n−1 degrees
// of freedom.
//
// Assumes independent pairs and differences that are near normal, or enough
// of them. With one pair, or when all differences are equal (compared on ten
// decimals), T, P and CI are NaN with a warning. Errors: [ErrUnequalLengths],
// [ErrEmpty], [ErrNotFinite], [ErrLevel].
func PairedT(x, y []float64, o PairedTOptions) (PairedTResult, error) {
	level, err := levelOr95(o.Level)
	if err != nil {
		return PairedTResult{}, err
	}
	d, gridded, err := differences(x, y)
	if err != nil {
		return PairedTResult{}, err
	}
	if err := checkSize([]float64{o.Mu}); err != nil {
		return PairedTResult{}, err
	}
	nan := math.NaN()
	r := PairedTResult{N: len(d), MeanX: Mean(x), MeanY: Mean(y), Diff: Mean(d), DF: float64(len(d) - 1),
		SD: sdUnlessConstant(d, gridded), T: nan, P: nan, CI: absent(level), R: correlation(x, y), Alternative: o.Alternative}
	r.SE = r.SD / math.Sqrt(float64(r.N))
	if r.N < 2 {
		r.DF = nan
		r.Warnings = append(r.Warnings, warnTooFew(2, "pairs"))
		return r, nil
	}
	if math.IsNaN(r.R) {
		r.Warnings = append(r.Warnings, warnNoCorrelation())
	}
	if r.SD == 0 {
		r.Warnings = append(r.Warnings, warnConstant("differences"))
		return r, nil
	}
	r.T = (r.Diff - o.Mu) / r.SE
	r.P = tPValue(r.T, r.DF, o.Alternative)
	r.CI = tInterval(r.Diff, r.SE, r.DF, level, o.Alternative)
	return r, nil
}

// sdUnlessConstant is the standard deviation of raw, exactly 0 when the
// values are equal on the grid.
func sdUnlessConstant(raw, gridded []float64) float64 {
	if len(raw) > 1 && allEqual(gridded) {
		return 0
	}
	return SD(raw)
}
