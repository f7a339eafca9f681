package ranks

import (
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// SignTestOptions sets a sign test; the zero value is two-sided with 95 %
// intervals.
type SignTestOptions struct {
	Alternative stats.Alternative // side of P
	Level       float64           // confidence level; 0 means 0.95
}

// SignTestResult is the outcome of [SignTest].
type SignTestResult struct {
	N, Up, Down, Same       int            // pairs; x > y; x < y; equal
	P                       float64        // on the side asked for
	TwoSided, Greater, Less float64        // exact binomial p-values
	ProportionUp            float64        // Up/(Up+Down)
	ProportionCI            stats.Interval // Clopper–Pearson
	Median                  float64        // of x − y, equal pairs included
	// order statistics; Level is the level reached, which may differ from the one asked for
	MedianCI    stats.Interval
	Alternative stats.Alternative
	Warnings    []stats.Warning
}

// SignTest counts how many rated x above y and how many below, and tests that
// both are equally likely (Arbuthnot 1710; Dixon & Mood 1946, J. Am. Stat.
// Assoc. 41:557). Equal pairs say nothing of direction and are left out of the
// test; they are kept for the median of x − y, whose interval runs from the
// k-th smallest to the k-th largest difference, k being the binomial quantile
// of (1−level)/2 and at least 1 (Conover 1999, sect. 3.2).
//
// When every pair is equal the p-values and the proportion are NaN with a
// warning. Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
func SignTest(x, y []float64, o SignTestOptions) (SignTestResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return SignTestResult{}, err
	}
	_, d, err := stats.Differences(x, y)
	if err != nil {
		return SignTestResult{}, err
	}
	nan := math.NaN()
	r := SignTestResult{N: len(d), P: nan, TwoSided: nan, Greater: nan, Less: nan,
		ProportionUp: nan, ProportionCI: stats.NoInterval(level), Alternative: o.Alternative}
	for _, v := range d {
		switch {
		case v > 0:
			r.Up++
		case v < 0:
			r.Down++
		default:
			r.Same++
		}
	}
	r.medianInterval(d, level)
	r.test(level)
	return r, nil
}

func (r *SignTestResult) test(level float64) {
	n := r.Up + r.Down
	r.Warnings = append(r.Warnings, stats.DirectionWarnings(r.N, n)...)
	if n == 0 {
		return
	}
	r.Greater = dist.BinomialPValue(r.Up, n, 0.5, stats.Greater)
	r.Less = dist.BinomialPValue(r.Up, n, 0.5, stats.Less)
	r.TwoSided = min(1, 2*min(r.Greater, r.Less))
	r.P = [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater, stats.Less: r.Less}[r.Alternative]
	r.ProportionUp = float64(r.Up) / float64(n)
	r.ProportionCI = dist.ClopperPearson(r.Up, n, level)
}

// medianInterval fills Median and MedianCI.
func (r *SignTestResult) medianInterval(d []float64, level float64) {
	sorted := slices.Sorted(slices.Values(d))
	n := len(sorted)
	k := max(1, dist.BinomialQuantile((1-level)/2, n, 0.5))
	reached := 1 - 2*dist.BinomialCDF(k-1, n, 0.5)
	r.Median = stats.MedianOfSorted(sorted)
	r.MedianCI = stats.Interval{Lo: sorted[k-1], Hi: sorted[n-k], Level: max(0, reached)}
	if reached < level {
		r.Warnings = append(r.Warnings, stats.LevelNotMet("median", reached))
	}
}
