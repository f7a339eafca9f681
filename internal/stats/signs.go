package stats

import (
	"math"
	"slices"
)

// SignTestOptions sets a sign test; the zero value is two-sided with 95 %
// intervals.
type SignTestOptions struct {
	Alternative Alternative // side of P
	Level       float64     // confidence level; 0 means 0.95
}

// SignTestResult is the outcome of [SignTest].
type SignTestResult struct {
	N, Up, Down, Same       int      // pairs; x > y; x < y; equal
	P                       float64  // on the side asked for
	TwoSided, Greater, Less float64  // exact binomial p-values
	ProportionUp            float64  // Up/(Up+Down)
	ProportionCI            Interval // Clopper–Pearson
	Median                  float64  // of x − y, equal pairs included
	MedianCI                Interval // order statistics; Level is the level reached, which may differ from the one asked for
	Alternative             Alternative
	Warnings                []Warning
}

// SignTest counts how many rated x above y and how many below, and tests that
// both are equally likely (Arbuthnot 1710; Dixon & Mood 1946, J. Am. Stat.
// Assoc. 41:557). Equal pairs say nothing of direction and are left out of the
// test; they are kept for the median of x − y, whose interval runs from the
// k-th smallest to the k-th largest difference, k being the binomial quantile
// of (1−level)/2 and at least 1 (Conover 1999, sect. 3.2).
//
// When every pair is equal the p-values and the proportion are NaN with a
// warning. Errors: [ErrUnequalLengths], [ErrEmpty], [ErrNotFinite], [ErrLevel].
func SignTest(x, y []float64, o SignTestOptions) (SignTestResult, error) {
	level, err := levelOr95(o.Level)
	if err != nil {
		return SignTestResult{}, err
	}
	_, d, err := differences(x, y)
	if err != nil {
		return SignTestResult{}, err
	}
	nan := math.NaN()
	r := SignTestResult{N: len(d), P: nan, TwoSided: nan, Greater: nan, Less: nan,
		ProportionUp: nan, ProportionCI: absent(level), Alternative: o.Alternative}
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
	r.Warnings = append(r.Warnings, directionWarnings(r.N, n)...)
	if n == 0 {
		return
	}
	r.Greater = binomialPValue(r.Up, n, 0.5, Greater)
	r.Less = binomialPValue(r.Up, n, 0.5, Less)
	r.TwoSided = min(1, 2*min(r.Greater, r.Less))
	r.P = [...]float64{TwoSided: r.TwoSided, Greater: r.Greater, Less: r.Less}[r.Alternative]
	r.ProportionUp = float64(r.Up) / float64(n)
	r.ProportionCI = clopperPearson(r.Up, n, level)
}

// medianInterval fills Median and MedianCI.
func (r *SignTestResult) medianInterval(d []float64, level float64) {
	sorted := slices.Sorted(slices.Values(d))
	n := len(sorted)
	k := max(1, binomialQuantile((1-level)/2, n, 0.5))
	reached := 1 - 2*BinomialCDF(k-1, n, 0.5)
	r.Median = medianOfSorted(sorted)
	r.MedianCI = Interval{sorted[k-1], sorted[n-k], max(0, reached)}
	if reached < level {
		r.Warnings = append(r.Warnings, warnLevelNotMet("median", reached))
	}
}
