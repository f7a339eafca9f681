package analysis

import (
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// estimate is an estimate of the difference with its interval. The level of the
// interval is the one it has when that is less than was asked for.
type estimate struct {
	value    float64
	ci       stats.Interval
	warnings []stats.Warning
}

// estimated estimates the difference by the measure that goes with a test: the mean
// with the interval of the t test, the median of all averages of two differences
// with the interval that inverts the signed-rank test, or the median difference with
// the interval of order statistics, which goes with the sign test.
func estimated(measure method.ID, x, y []float64, level float64) (estimate, error) {
	switch measure {
	case method.HodgesLehmann:
		r, err := ranks.HodgesLehmannPaired(x, y, level)
		return estimate{r.Estimate, reaching(r.CI, r.Achieved, level), r.Warnings}, err
	case method.MedianDifference:
		r, err := ranks.SignTest(x, y, ranks.SignTestOptions{Level: level})
		return estimate{r.Median, reaching(r.MedianCI, r.MedianCI.Level, level), nil}, err
	}
	r, err := ttest.Paired(x, y, ttest.PairedOptions{Level: level})
	return estimate{r.Diff, r.CI, nil}, err
}

// reaching gives an interval the level that it reaches, at most the one asked for;
// one that reaches none is absent.
func reaching(ci stats.Interval, reached, asked float64) stats.Interval {
	if reached <= 0 {
		return stats.Interval{Lo: math.NaN(), Hi: math.NaN(), Level: asked}
	}
	ci.Level = min(reached, asked)
	return ci
}
