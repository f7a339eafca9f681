package effect

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ErrFStatistic marks an F statistic or degrees of freedom out of range.
var ErrFStatistic = errors.New("an F statistic must not be negative and its degrees of freedom must be positive")

// EtaSquaredInterval returns the confidence interval of (partial) η² that goes
// with an F test on df1 and df2 degrees of freedom: the noncentralities λ at
// which the observed F stands at either tail, as λ/(λ + df1 + df2 + 1)
// (Steiger 2004, Psychol. Methods 9, 164–182). The lower end is 0 when F is
// below what chance alone gives; a 90 % interval then agrees with the test at
// 5 %. level 0 means 0.95.
func EtaSquaredInterval(f, df1, df2, level float64) (stats.Interval, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return stats.Interval{}, fmt.Errorf("interval of η²: %w", err)
	}
	if !(f >= 0) || math.IsInf(f, 1) || !(df1 > 0) || !(df2 > 0) || math.IsInf(df1+df2, 1) {
		return stats.Interval{}, fmt.Errorf("interval of η² for F = %g on %g and %g: %w", f, df1, df2, ErrFStatistic)
	}
	n := df1 + df2 + 1
	end := func(tail float64) float64 {
		lambda := noncentralityOfF(f, df1, df2, tail)
		return lambda / (lambda + n)
	}
	return stats.Interval{Lo: end((1 + level) / 2), Hi: end((1 - level) / 2), Level: level}, nil
}

// noncentralityOfF returns the λ at which P(F ≤ f) = p, 0 when even λ = 0 puts
// less below f.
func noncentralityOfF(f, df1, df2, p float64) float64 {
	gap := func(lambda float64) float64 { return dist.NoncentralFCDF(f, df1, df2, lambda) - p }
	if gap(0) <= 0 {
		return 0
	}
	hi := 1 + 2*f*df1
	for gap(hi) > 0 && hi < 1e8 {
		hi *= 2
	}
	return numeric.BracketRoot(gap, 0, hi, 1e-9*(1+hi))
}
