package ttest

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
)

// CorrelationResult is a correlation with its interval and test.
type CorrelationResult struct {
	N        int
	R        float64
	CI       stats.Interval // Fisher's z
	T, DF, P float64        // two-sided test of no correlation
	Warnings []stats.Warning
}

// Correlation returns Pearson's r of paired x and y with Fisher's z interval
// (Fisher 1921, Metron 1, 3–32) and the t test on n−2 df; level 0 means 0.95.
//
// Constant x or y: r is absent. Fewer than four pairs: no interval. r = ±1: the
// interval is that point, with a warning.
func Correlation(x, y []float64, level float64) (CorrelationResult, error) {
	return correlate(x, y, level, func(r float64, n int) float64 { return 1 / math.Sqrt(float64(n-3)) })
}

// RankCorrelation returns Spearman's rank correlation (ties share mean ranks)
// with the interval of Bonett & Wright (2000), Psychometrika 65, 23–28:
// standard error √((1+r²/2)/(n−3)) on Fisher's z scale.
func RankCorrelation(x, y []float64, level float64) (CorrelationResult, error) {
	return correlate(fractionalRanks(x), fractionalRanks(y), level, func(r float64, n int) float64 {
		return math.Sqrt((1 + r*r/2) / float64(n-3))
	})
}

func correlate(x, y []float64, level float64, se func(r float64, n int) float64) (CorrelationResult, error) {
	level, err := stats.LevelOr95(level)
	if len(x) != len(y) {
		return CorrelationResult{}, stats.ErrUnequalLengths
	}
	if len(x) == 0 {
		return CorrelationResult{}, stats.ErrEmpty
	}
	if err = errors.Join(err, stats.CheckUsable(x, y)); err != nil {
		return CorrelationResult{}, err
	}
	nan := math.NaN()
	r := CorrelationResult{N: len(x), R: stats.Correlation(x, y), CI: stats.NoInterval(level), T: nan, DF: float64(len(x) - 2), P: nan}
	if math.IsNaN(r.R) {
		r.Warnings = append(r.Warnings, stats.NoCorrelation())
		return r, nil
	}
	if r.N < 4 {
		r.Warnings = append(r.Warnings, stats.TooFew(4, "pairs for an interval of a correlation"))
	}
	if r.N > 2 && math.Abs(r.R) < 1 {
		r.T = r.R * math.Sqrt(r.DF/((1-r.R)*(1+r.R)))
		r.P = dist.TTwoSided(r.T, r.DF)
	}
	if math.Abs(r.R) == 1 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnOneSidedData, Text: "the points lie on a line: the correlation has no interval"})
		return r, nil
	}
	if r.N >= 4 {
		z, half := math.Atanh(r.R), dist.NormalQuantile((1+level)/2)*se(r.R, r.N)
		r.CI = stats.Interval{Lo: math.Tanh(z - half), Hi: math.Tanh(z + half), Level: level}
	}
	return r, nil
}

// fractionalRanks returns mid-ranks. Values that are not finite are handed on,
// to be refused by the method.
func fractionalRanks(v []float64) []float64 {
	if stats.CheckUsable(v) != nil {
		return v
	}
	doubled, _ := ranks.Doubled(v)
	out := make([]float64, len(v))
	for i, r := range doubled {
		out[i] = float64(r) / 2
	}
	return out
}
