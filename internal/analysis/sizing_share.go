package analysis

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// shareDesign is a test of some samples, sized by a share of people, whose power is that of
// the noncentral chi-squared distribution on one degree of freedom less than the samples.
type shareDesign struct {
	samples      int
	share, level float64                    // to be found, by a test at this level
	none, most   float64                    // the share that is no difference, and the largest
	perPerson    func(k, s float64) float64 // the noncentrality λ/n of k samples and a share
}

func (d shareDesign) power(n int) float64 {
	if !(d.share > d.none) {
		return math.NaN()
	}
	k := float64(d.samples)
	limit := distuv.ChiSquared{K: k - 1}.Quantile(1 - d.level)
	return dist.NoncentralChi2Survival(limit, k-1, float64(n)*d.perPerson(k, min(d.share, d.most)))
}

// needed is the smallest panel with this power; 0 when there is none up to the largest.
func (d shareDesign) needed(power float64) int {
	if !(d.power(largestPanel) >= power) {
		return 0
	}
	return sort.Search(largestPanel, func(n int) bool { return n > 1 && d.power(n) >= power })
}

// beyond is how many people beside n [Finding.peopleToFind] takes; -1 when no panel is large enough.
func (d shareDesign) beyond(n int) int {
	all := d.needed(settleChance)
	if all == 0 {
		return -1
	}
	return max(1, all-n)
}

// detects is the smallest share found with this power.
func (d shareDesign) detects(n int, power float64) float64 {
	lo, hi := d.none, d.most
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

// shareSize is the size of a panel for such a test.
type shareSize struct {
	q     Sizing
	c     ChoiceSizing
	d     shareDesign
	first study.Said // of the assumptions
}

func (m shareSize) effect() float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.q.Share
}

func (m shareSize) fewest() int         { return 2 }
func (m shareSize) power(n int) float64 { return m.d.power(n) }

func (m shareSize) assumptions() []study.Said {
	return append([]study.Said{m.first}, m.c.assumptions...)
}

func (m shareSize) needed() (first, safe int) {
	n := m.d.needed(m.q.Power)
	return n, n
}

func (m shareSize) detects(n int) (share, distance float64) {
	return m.d.detects(n, m.q.Power), math.NaN()
}
