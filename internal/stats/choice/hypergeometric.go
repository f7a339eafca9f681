package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
)

// hypergeometric is the distribution of the first count of a 2×2 table given
// its margins, under any odds ratio (Fisher's noncentral hypergeometric).
type hypergeometric struct {
	lo     int       // least possible count
	logPMF []float64 // under odds ratio 1, up to a constant
}

func newHypergeometric(table [2][2]int) hypergeometric {
	n1, n2 := table[0][0]+table[0][1], table[1][0]+table[1][1]
	yes := table[0][0] + table[1][0]
	lo, hi := max(0, yes-n2), min(n1, yes)
	h := hypergeometric{lo: lo, logPMF: make([]float64, hi-lo+1)}
	for x := lo; x <= hi; x++ {
		h.logPMF[x-lo] = logChoose(n1, x) + logChoose(n2, yes-x)
	}
	return h
}

// pmf returns the probabilities under the odds ratio e^logOdds.
func (h hypergeometric) pmf(logOdds float64) []float64 {
	peak := math.Inf(-1)
	for i, l := range h.logPMF {
		peak = max(peak, l+float64(i)*logOdds)
	}
	p := make([]float64, len(h.logPMF))
	sum := 0.0
	for i, l := range h.logPMF {
		p[i] = math.Exp(l + float64(i)*logOdds - peak)
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

// oddsInterval inverts the one-sided exact tests: at the lower limit a count
// as large as the one seen has probability (1−level)/2, at the upper limit one
// as small.
func (h hypergeometric) oddsInterval(seen int, level float64) stats.Interval {
	tail := (1 - level) / 2
	i := stats.Interval{Lo: 0, Hi: math.Inf(1), Level: level}
	last := len(h.logPMF) - 1
	if seen > h.lo {
		i.Lo = math.Exp(numeric.Bisect(-700, 700, func(t float64) bool { return sumOf(h.pmf(t)[seen-h.lo:]) < tail }))
	}
	if seen < h.lo+last {
		i.Hi = math.Exp(numeric.Bisect(-700, 700, func(t float64) bool { return sumOf(h.pmf(t)[:seen-h.lo+1]) > tail }))
	}
	return i
}

func sumOf(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}
