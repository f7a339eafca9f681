package analysis

import (
	"math"

	"cloche/internal/stats/choice"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// alikeSize sizes the test of whether so few tell two samples apart that they pass for the
// same, when in truth nobody tells them apart (ISO 4120, ISO 10399). Power is the chance of
// showing that.
type alikeSize struct {
	q Sizing
	c ChoiceSizing
}

func (m alikeSize) effect() float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.c.share(m.q)
}

func (m alikeSize) design(right float64) size.BinomialDesign {
	return alikeDesign(m.c.Chance, (right-m.c.Chance)/(1-m.c.Chance), m.q.Beta, m.c.Chance)
}

// powerAt is the power when the share of right answers that matters is the given one; none
// where the cut lies below what guessing gives, see [Finding.testAlike].
func (m alikeSize) powerAt(n int, right float64) float64 {
	p, err := size.PowerBinomial(n, m.design(right))
	if err == nil && float64(p.CriticalLow) < m.c.Chance*float64(n) {
		return 0
	}
	return orNaN(p.Power, err)
}

func (m alikeSize) power(n int) float64 { return m.powerAt(n, m.effect()) }

// fewest is where the fewest right answers that a conclusion takes, as many as guessing
// gives, say that not everybody tells.
func (m alikeSize) fewest() int {
	n := 1
	for ; n < largestPanel; n++ {
		if most, ok, err := choice.MaxCorrectSimilar(n, m.c.Chance, 0.99, m.q.Beta); err != nil ||
			ok && float64(most) >= m.c.Chance*float64(n) {
			break
		}
	}
	return n
}

func (m alikeSize) needed() (first, safe int) {
	s, _ := size.Binomial(m.q.Power, 0, m.design(m.effect()))
	return s.First.N, s.Stable.N
}

// detects is the smallest share that so many answers can rule out with the power.
func (m alikeSize) detects(n int) (share, distance float64) {
	lo, hi := m.c.Chance, 1-1e-9
	if !(m.powerAt(n, hi) >= m.q.Power) {
		return math.NaN(), math.NaN()
	}
	for hi-lo > 1e-6 {
		if mid := (lo + hi) / 2; m.powerAt(n, mid) >= m.q.Power {
			hi = mid
		} else {
			lo = mid
		}
	}
	return m.c.looked(hi)
}

func (m alikeSize) assumptions() []study.Said {
	return []study.Said{independentAnswers, study.Say("in truth nobody tastes the difference: all guess, right "+
		"once in %s",
		oneIn(m.c.Chance)), study.Say("the risk of calling two alike that so many tell apart is %s, beta; alpha is "+
		"that of the test of a difference beside it", Points(m.q.Beta))}
}
