package analysis

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats/dist"
)

// rankingDesign is Friedman's test of an order in which a share of people put the best
// sample before the worst, and the others lie midway between the two: of all truths in
// which some pair has this share, the hardest to find.
//
// People see each sample at its place and a normal error of their own (Thurstone 1927,
// case V), so that a share of Φ(d/√2) puts before another what lies d ahead of it. The
// power is that of the noncentral chi-squared distribution on k − 1 degrees of freedom
// with λ = 12·n·Σ(E(Rⱼ) − (k+1)/2)²/(k(k+1)), Rⱼ the place of a sample: Friedman's
// statistic at the expected places.
type rankingDesign struct {
	samples      int
	share, alpha float64
}

func (d rankingDesign) power(n int) float64 {
	if !(d.share > evenShare) {
		return math.NaN()
	}
	df := float64(d.samples - 1)
	limit := distuv.ChiSquared{K: df}.Quantile(1 - d.alpha)
	return dist.NoncentralChi2Survival(limit, df, float64(n)*d.perPerson())
}

// perPerson is λ/n.
func (d rankingDesign) perPerson() float64 {
	k := float64(d.samples)
	share := min(d.share, 1-1e-9)
	midway := dist.NormalCDF(dist.NormalQuantile(share) / 2)
	off := share - evenShare + (k-2)*(midway-evenShare) // of the best from the middle place, and of the worst
	return 12 * 2 * off * off / (k * (k + 1))
}

// needed is the smallest panel with this power; 0 when there is none up to the largest.
func (d rankingDesign) needed(power float64) int {
	if !(d.power(largestPanel) >= power) {
		return 0
	}
	return sort.Search(largestPanel, func(n int) bool { return n > 1 && d.power(n) >= power })
}

// detects is the smallest share found with this power.
func (d rankingDesign) detects(n int, power float64) float64 {
	lo, hi := evenShare, 1-1e-9
	if d.share = hi; !(d.power(n) >= power) {
		return math.NaN()
	}
	for range 60 {
		d.share = (lo + hi) / 2
		if d.power(n) >= power {
			hi = d.share
		} else {
			lo = d.share
		}
	}
	return hi
}

// inOrder sizes questions about the order of several samples.
var inOrder = &ChoiceSizing{
	Chance: evenShare, Above: evenShare, ranked: true,
	Who:   "who put the best before the worst",
	Label: "Share who put the best before the worst",
	Hint:  "The smallest share that you would act on, as in 0.7: 0.5 is no order, 1 is everybody.",
	share: func(q Sizing) float64 { return q.Share },
	assumptions: []string{independentAnswers,
		"the other samples lie midway between the best and the worst, which is the hardest to find",
		"by Friedman’s test, and fewer people do where an order is expected; single pairs take more people, for " +
			"they are adjusted for their number"},
}

// rankingSize is the size of a panel that puts samples in an order.
type rankingSize struct {
	q Sizing
	c ChoiceSizing
	d rankingDesign
}

func newRankingSize(q Sizing, c ChoiceSizing) rankingSize {
	return rankingSize{q, c, rankingDesign{q.samples(), q.Share, q.Alpha}}
}

// usualRanked is how many samples are put in an order when nobody says.
const usualRanked = 4

func (q Sizing) samples() int {
	if q.Samples == 0 {
		return usualRanked
	}
	return q.Samples
}

func (m rankingSize) effect() float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.q.Share
}

func (m rankingSize) fewest() int         { return 2 }
func (m rankingSize) power(n int) float64 { return m.d.power(n) }
func (m rankingSize) assumptions() []string {
	return append([]string{fmt.Sprintf("%d samples are put in an order", m.d.samples)}, m.c.assumptions...)
}

func (m rankingSize) needed() (first, safe int) {
	n := m.d.needed(m.q.Power)
	return n, n
}

func (m rankingSize) detects(n int) (share, distance float64) {
	return m.d.detects(n, m.q.Power), math.NaN()
}
