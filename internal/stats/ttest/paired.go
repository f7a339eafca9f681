package ttest

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// PairedOptions sets a paired t test; the zero value is two-sided against
// a mean difference of 0 with a 95 % interval.
type PairedOptions struct {
	Mu          float64           // mean difference under the null hypothesis
	Alternative stats.Alternative // side; also gives a one-sided interval
	Level       float64           // confidence level; 0 means 0.95
}

// PairedResult is the outcome of [Paired]. What cannot be computed is NaN
// and a warning says why.
type PairedResult struct {
	N            int               // pairs
	MeanX, MeanY float64           // means of the two samples
	Diff         float64           // mean of x − y
	SD           float64           // standard deviation of the differences, divisor n−1
	SE           float64           // SD/√n
	T, DF, P     float64           // statistic, degrees of freedom n−1, p-value
	CI           stats.Interval    // of the mean difference; unbounded on one side for a one-sided test
	R            float64           // Pearson correlation of x and y
	Alternative  stats.Alternative // as asked for
	Warnings     []stats.Warning
}

// Paired tests whether the mean of the paired differences x − y is Mu
// (Student 1908, Biometrika 6:1): t = (mean(d) − Mu)/(s_d/√n) on n−1 degrees
// of freedom.
//
// Assumes independent pairs and differences that are near normal, or enough
// of them. With one pair, or when all differences are equal (compared on ten
// decimals), T, P and CI are NaN with a warning. Errors: [stats.ErrUnequalLengths],
// [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
func Paired(x, y []float64, o PairedOptions) (PairedResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return PairedResult{}, err
	}
	d, gridded, err := stats.Differences(x, y)
	if err != nil {
		return PairedResult{}, err
	}
	if err := stats.CheckSize([]float64{o.Mu}); err != nil {
		return PairedResult{}, err
	}
	nan := math.NaN()
	r := PairedResult{N: len(d), MeanX: stats.Mean(x), MeanY: stats.Mean(y), Diff: stats.Mean(d),
		DF: float64(len(d) - 1),
		SD: stats.SDUnlessConstant(d, gridded), T: nan, P: nan, CI: stats.NoInterval(level), R: stats.Correlation(x,
			y), Alternative: o.Alternative}
	r.SE = r.SD / math.Sqrt(float64(r.N))
	if r.N < 2 {
		r.DF = nan
		r.Warnings = append(r.Warnings, stats.TooFew(2, "pairs"))
		return r, nil
	}
	if math.IsNaN(r.R) {
		r.Warnings = append(r.Warnings, stats.NoCorrelation())
	}
	if r.SD == 0 {
		r.Warnings = append(r.Warnings, stats.NoSpread("differences"))
		return r, nil
	}
	r.T = (r.Diff - o.Mu) / r.SE
	r.P = dist.TPValue(r.T, r.DF, o.Alternative)
	r.CI = dist.TInterval(r.Diff, r.SE, r.DF, level, o.Alternative)
	return r, nil
}
