package ranks

import (
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// HodgesLehmannResult is a Hodges–Lehmann estimate with its interval.
type HodgesLehmannResult struct {
	Estimate  float64        // median of the averages (paired) or differences (two samples)
	CI        stats.Interval // K-th smallest to K-th largest; Level is the level asked for
	Achieved  float64        // confidence that the interval really has, if there are no ties
	NAverages int            // Walsh averages or pairwise differences
	K         int
	Warnings  []stats.Warning
}

// HodgesLehmannPaired estimates the centre of the differences x − y by the
// median of all averages (dᵢ + dⱼ)/2, i ≤ j, zeros included (Hodges & Lehmann
// 1963, Ann. Math. Stat. 34:598). The interval runs from the K-th smallest to
// the K-th largest average, K being the (1−level)/2 quantile of the
// signed-rank distribution and at least 1 (Tukey 1949; Hollander & Wolfe 1999,
// sect. 3.3); it inverts the signed-rank test, so with ties it is conservative.
//
// Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
// Cost: n² averages.
func HodgesLehmannPaired(x, y []float64, level float64) (HodgesLehmannResult, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return HodgesLehmannResult{}, err
	}
	_, d, err := stats.Differences(x, y)
	if err != nil {
		return HodgesLehmannResult{}, err
	}
	n := len(d)
	averages := make([]float64, 0, n*(n+1)/2)
	for i := range d {
		for j := range d[:i+1] {
			averages = append(averages, d[i]/2+d[j]/2)
		}
	}
	cdf := dist.NewSignedRank(n)
	k := max(1, dist.SmallestReaching((1-level)/2, n*(n+1)/2, cdf))
	return hodgesLehmann(averages, k, level, 1-2*cdf(k-1)), nil
}

// HodgesLehmann estimates the shift from y to x of two independent samples by
// the median of all xᵢ − yⱼ, with the interval that inverts the Mann–Whitney
// test: K is the (1−level)/2 quantile of its distribution and at least 1
// (Hodges & Lehmann 1963; Hollander & Wolfe 1999, sect. 4.3).
//
// Errors: [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel]. Cost: m·n differences.
func HodgesLehmann(x, y []float64, level float64) (HodgesLehmannResult, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return HodgesLehmannResult{}, err
	}
	if len(x) == 0 || len(y) == 0 {
		return HodgesLehmannResult{}, stats.ErrEmpty
	}
	if err := stats.CheckSize(x, y); err != nil {
		return HodgesLehmannResult{}, err
	}
	grid := stats.Resolution(x, y)
	m, n := len(x), len(y)
	cdf := dist.NewMannWhitneyMiddle(m, n)
	k := max(1, dist.SmallestReaching((1-level)/2, m*n/2, cdf))
	achieved := 1 - 2*cdf(k-1)
	if different, of := counted(x), counted(y); few*len(different)*len(of) < m*n {
		shifts := make(weightedValues, 0, len(different)*len(of))
		for _, a := range different {
			for _, b := range of {
				shifts = append(shifts, weighted{stats.OnGrid(a.value-b.value, grid), a.weight * b.weight})
			}
		}
		shifts.sort()
		return ofRanks(m*n, k, level, achieved, shifts.ofRank), nil
	}
	shifts := make([]float64, 0, m*n)
	for _, a := range x {
		for _, b := range y {
			shifts = append(shifts, stats.OnGrid(a-b, grid))
		}
	}
	return hodgesLehmann(shifts, k, level, achieved), nil
}

// few is how many times fewer the differences of different values have to be than those of all
// for it to pay to sort them.
const few = 4

// counted are the different values, each with how often it stands there.
func counted(x []float64) weightedValues {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	var all weightedValues
	for _, v := range sorted {
		if last := len(all) - 1; last >= 0 && all[last].value == v {
			all[last].weight++
			continue
		}
		all = append(all, weighted{v, 1})
	}
	return all
}

// hodgesLehmann reorders values.
func hodgesLehmann(values []float64, k int, level, achieved float64) HodgesLehmannResult {
	return ofRanks(len(values), k, level, achieved, func(k int) float64 { return selectSmallest(values, k) })
}

// ofRanks is the estimate of n values, whose value of each rank (from 0) is known.
func ofRanks(n, k int, level, achieved float64, ofRank func(k int) float64) HodgesLehmannResult {
	r := HodgesLehmannResult{NAverages: n, K: k, Achieved: max(0, achieved)}
	r.CI = stats.Interval{Lo: ofRank(k - 1), Hi: ofRank(n - k), Level: level}
	r.Estimate = ofRank(n / 2)
	if n%2 == 0 {
		r.Estimate = r.Estimate/2 + ofRank(n/2-1)/2
	}
	if r.Achieved < level {
		r.Warnings = append(r.Warnings, stats.LevelNotMet("typical difference", r.Achieved))
	}
	return r
}

// selectSmallest returns the value of rank k (from 0) by Hoare's quickselect
// with the median of three as pivot; it reorders v.
func selectSmallest(v []float64, k int) float64 {
	lo, hi := 0, len(v)-1
	for lo < hi {
		pivot := medianOfThree(v[lo], v[lo+(hi-lo)/2], v[hi])
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}

func medianOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
