package analysis

import (
	"math"
	"sort"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// saidModel is how often the first of two things is said at a distance d′: of turns of
// which it is true, and of the others.
type saidModel func(distance float64) (hit, falseAlarm float64)

// saidSizing sizes a question of which one of two things is said of each turn: by Fisher's
// exact test and the signal-detection model of the question.
func saidSizing(model saidModel, mixes func(turns int) []size.SaidMix, leaning study.Said) *ChoiceSizing {
	return &ChoiceSizing{
		said: model, mixes: mixes, Distance: true, NoShare: true,
		Who: "who taste the difference", Outcome: "are so",
		Label: "Distance d′ that matters",
		Hint: "How far the two lie apart, in spreads of what one person perceives: about 1 is small, 2 is plain to " +
			"most.",
		share:       func(Sizing) float64 { return math.NaN() },
		looked:      func(float64) (share, distance float64) { return math.NaN(), math.NaN() },
		assumptions: []study.Said{independentAnswers, study.Say("as many turns of each kind are served"), leaning},
	}
}

// unbiased is the model of one serving that is the known one or not: half way between the
// two stands what parts them (Macmillan & Creelman 2005, ch. 2).
func unbiased(d float64) (hit, falseAlarm float64) {
	return dist.NormalCDF(d / 2), dist.NormalCDF(-d / 2)
}

// likelier is the model of a pair that is the same or not, by the difference of its two
// perceptions (Macmillan & Creelman 2005, ch. 9): people call it the same where that is
// the likelier, which is where the difference is below τ with cosh(d′τ/2) = exp(d′²/4).
func likelier(d float64) (hit, falseAlarm float64) {
	tau := math.Sqrt2 // as d′ goes to 0
	if d > 1e-6 {
		tau = 2 / d * math.Acosh(math.Exp(d*d/4))
	}
	below := func(x float64) float64 { return dist.NormalCDF(x / math.Sqrt2) }
	return 2*below(tau) - 1, below(tau-d) - below(-tau-d)
}

// seriesMixes are the turns of a person where a series holds as many of each kind, give or
// take one.
func seriesMixes(turns int) []size.SaidMix {
	return []size.SaidMix{{True: (turns + 1) / 2, Other: turns / 2, Share: .5},
		{True: turns / 2, Other: (turns + 1) / 2, Share: .5}}
}

// runningMixes are the turns of a person where blocks of four, two of each kind, run on
// from one person to the next: beyond whole blocks the rest is as drawn from one.
func runningMixes(turns int) []size.SaidMix {
	whole, rest := turns/4*2, turns%4
	var mixes []size.SaidMix
	choose := [...]float64{1, 2, 1}
	of := [...]float64{1, 4, 6, 4}[rest]
	for k := max(0, rest-2); k <= min(2, rest); k++ {
		mixes = append(mixes, size.SaidMix{True: whole + k, Other: whole + rest - k,
			Share: choose[k] * choose[rest-k] / of})
	}
	return mixes
}

// saidSize is Fisher's exact test of what is said: of all answers where each person gives
// one, within people where each gives several.
type saidSize struct {
	q     Sizing
	c     ChoiceSizing
	turns int // of a person
}

func newSaidSize(q Sizing, c ChoiceSizing) saidSize {
	turns := 1
	if q.Each.Of == 1 && q.Each.Count > 1 {
		turns = q.Each.Count
	}
	return saidSize{q, c, turns}
}

func (m saidSize) effect() float64 {
	if m.q.Distance == 0 {
		return math.NaN()
	}
	return m.q.Distance
}

// fewest is where the most lopsided answers count: half of them of each kind, all of the
// one and none of the other.
func (m saidSize) fewest() int {
	n := 2
	for m.powerAt(n, math.Inf(1)) == 0 && n < largestPanel {
		n++
	}
	return n
}

func (m saidSize) power(n int) float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.powerAt(n, m.q.Distance)
}

func (m saidSize) powerAt(n int, distance float64) float64 {
	d := size.SaidDesign{Hit: 1, Alpha: m.q.Alpha}
	if !math.IsInf(distance, 1) {
		d.Hit, d.FalseAlarm = m.c.said(distance)
	}
	if m.turns == 1 || math.IsInf(distance, 1) {
		p, err := size.PowerSaid((n+1)/2, n/2, d)
		return orNaN(p, err)
	}
	p, err := size.PowerSaidWithin(max(1, n/m.turns), m.c.mixes(m.turns), d)
	return orNaN(p, err)
}

// needed searches for the smallest number of answers with the power, and walks on past the
// teeth of the saw, which are small here: both counts vary.
func (m saidSize) needed() (first, safe int) {
	const teeth = 12
	n := sort.Search(largestPanel, func(n int) bool { return n > 1 && m.power(n) >= m.q.Power })
	if m.turns > 1 {
		return n, n
	}
	first = n
	for k := max(2, n-teeth); k < n; k++ {
		if m.power(k) >= m.q.Power {
			first = k
			break
		}
	}
	safe = first
	for k := first + 1; k <= n+teeth; k++ {
		if m.power(k) < m.q.Power {
			safe = k + 1
		}
	}
	return first, safe
}

func (m saidSize) detects(n int) (difference, distance float64) {
	const farthest = 8 // at which hardly anybody errs
	lo, hi := 0.0, float64(farthest)
	if !(m.powerAt(n, hi) >= m.q.Power) {
		return math.NaN(), math.NaN()
	}
	for hi-lo > 1e-4 {
		if mid := (lo + hi) / 2; m.powerAt(n, mid) >= m.q.Power {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, hi
}

func (m saidSize) assumptions() []study.Said { return m.c.assumptions }
