package ttest

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// PenaltyResult is the outcome of [Penalty].
type PenaltyResult struct {
	N          int     // people, those of the other side included
	Share      float64 // of them on the side
	Drop       TwoSampleResult
	Weighted   float64 // Share·Drop: what the mean of all would gain, if it were for that alone
	WeightedSE float64
	WeightedCI stats.Interval
	Level      float64
}

// Penalty compares how much two groups of different people liked a sample: right, who found
// something about it about right, and side, who found too little of it or too much; n is
// how many people said any of the three. The drop is mean(right) − mean(side) by [Welch].
// The weighted penalty is the drop times the share of the side, with an interval by the
// delta method on the three counts and the two means:
//
//	ψ = 1ₛ(m_J − m_s) − w + (share/p_J)·1_J(y − m_J) − 1ₛ(y − m_s),  SE = √(mean ψ²/n)
//
// with J those who found it about right. A penalty says what goes together, not what causes
// what. Two people are needed on either part for anything but share and drop. Errors: those
// of [Welch], and [stats.ErrCounts] when n is less than both groups together.
func Penalty(right, side []float64, n int, o TwoSampleOptions) (PenaltyResult, error) {
	t, err := Welch(right, side, o)
	if err != nil {
		return PenaltyResult{}, err
	}
	if n < len(right)+len(side) {
		return PenaltyResult{}, stats.ErrCounts
	}
	level, all := t.CI.Level, float64(n)
	r := PenaltyResult{N: n, Share: float64(len(side)) / all, Drop: t, Level: level, WeightedSE: math.NaN(),
		WeightedCI: stats.NoInterval(level)}
	r.Weighted = r.Share * t.Diff
	if len(right) < 2 || len(side) < 2 {
		return r, nil
	}
	psi := float64(n-len(right)-len(side)) * r.Weighted * r.Weighted
	for _, y := range right {
		v := r.Share/(float64(len(right))/all)*(y-t.MeanX) - r.Weighted
		psi += v * v
	}
	for _, y := range side {
		v := t.Diff - r.Weighted - (y - t.MeanY)
		psi += v * v
	}
	r.WeightedSE = math.Sqrt(psi) / all
	half := dist.NormalQuantile((1+level)/2) * r.WeightedSE
	r.WeightedCI = stats.Interval{Lo: r.Weighted - half, Hi: r.Weighted + half, Level: level}
	return r, nil
}
