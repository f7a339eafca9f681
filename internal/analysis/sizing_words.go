package analysis

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats/dist"
)

// tickDesign is Cochran's test of one word of a list of so many, which so much larger a
// share of people ticks for one sample than for another.
//
// The two shares lie around a half and those of the other samples on it, and of one person
// no tick says anything of the next: of all truths with this difference nearly the hardest
// to find. The power is that of the noncentral chi-squared distribution on k − 1 degrees of
// freedom, λ being Cochran's statistic at the expected counts,
//
//	λ = n·k(k−1)·Σ(πⱼ − π̄)² / E(kL − L²), L the samples for which a person ticks the word,
//
// which for two samples is McNemar's n·d²/(½ + d²/2). Alpha is shared among the words
// (Bonferroni), which is where Holm's method begins.
type tickDesign struct {
	samples, words int
	more, alpha    float64
}

func (d tickDesign) power(n int) float64 {
	if !(d.more > 0) {
		return math.NaN()
	}
	df := float64(d.samples - 1)
	limit := distuv.ChiSquared{K: df}.Quantile(1 - d.alpha/float64(d.words))
	return dist.NoncentralChi2Survival(limit, df, float64(n)*d.perPerson())
}

// perPerson is λ/n.
func (d tickDesign) perPerson() float64 {
	k, more := float64(d.samples), min(d.more, 1)
	apart := more * more / 2
	return k * (k - 1) * apart / (k*(k-1)/4 + apart)
}

// needed is the smallest panel with this power; 0 when there is none up to the largest.
func (d tickDesign) needed(power float64) int {
	if !(d.power(largestPanel) >= power) {
		return 0
	}
	return sort.Search(largestPanel, func(n int) bool { return n > 1 && d.power(n) >= power })
}

// detects is the smallest difference found with this power.
func (d tickDesign) detects(n int, power float64) float64 {
	lo, hi := 0., 1.
	if d.more = hi; !(d.power(n) >= power) {
		return math.NaN()
	}
	for range 60 {
		d.more = (lo + hi) / 2
		if d.power(n) >= power {
			hi = d.more
		} else {
			lo = d.more
		}
	}
	return hi
}

// byTicks sizes questions about the words of a list.
var byTicks = &ChoiceSizing{
	ticked: true,
	Who:    "more who tick a word for one sample than for another",
	Label:  "Share more who tick a word for one sample than for another",
	Hint: "The smallest share that you would act on, as in 0.3: of ten people, three more tick it for one than " +
		"for the other.",
	share: func(q Sizing) float64 { return q.Share },
	assumptions: []string{independentAnswers,
		"half of the people tick the word on the whole, which is the hardest to find; words that few or nearly all " +
			"tick take fewer",
		"single pairs of samples take more people where there are three or more, for they are adjusted for their " +
			"number"},
}

// Of words to tick when nobody says how many samples and words there are.
const (
	usualTicked = 3
	usualWords  = 10
)

// tickSize is the size of a panel that ticks words.
type tickSize struct {
	q Sizing
	c ChoiceSizing
	d tickDesign
}

func newTickSize(q Sizing, c ChoiceSizing) tickSize {
	d := tickDesign{samples: q.Samples, words: q.Words, more: q.Share, alpha: q.Alpha}
	if d.samples < 2 {
		d.samples = usualTicked
	}
	if d.words < 1 {
		d.words = usualWords
	}
	return tickSize{q, c, d}
}

func (m tickSize) effect() float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.q.Share
}

func (m tickSize) fewest() int         { return 2 }
func (m tickSize) power(n int) float64 { return m.d.power(n) }
func (m tickSize) assumptions() []string {
	return append([]string{fmt.Sprintf("%d words are ticked for %d samples, and the level is shared among the words: "+
		"%s each", m.d.words, m.d.samples, shortest(m.d.alpha/float64(m.d.words)))}, m.c.assumptions...)
}

func (m tickSize) needed() (first, safe int) {
	n := m.d.needed(m.q.Power)
	return n, n
}

func (m tickSize) detects(n int) (share, distance float64) {
	return m.d.detects(n, m.q.Power), math.NaN()
}
