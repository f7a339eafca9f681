package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// WarnContrastSpread says what the size of an effect over several dishes or names rests on.
const WarnContrastSpread = "spread-of-contrast"

// SizedContrast is what is compared where it is no single pair of samples: the effect of
// the name or the dish, each assessor's mean over so many levels of the other; or, of two
// by two, the difference of two differences.
type SizedContrast struct {
	Of     study.Factor // "" = a pair
	Over   int
	Levels int // of the factor, those that the plan does not compare included
}

// scale is the spread of the contrast as a multiple of the spread of one pair, where the
// ratings of an assessor scatter alike and hang together alike (compound symmetry): what
// is left of each pair is then independent of the next.
func (c SizedContrast) scale() float64 {
	switch c.Of {
	case study.NameFactor, study.DishFactor:
		return 1 / math.Sqrt(float64(c.Over))
	case study.NameByDish:
		return math.Sqrt2
	}
	return 1
}

// testedSD is the spread of what is tested: of a pair, or of the contrast.
func (q Sizing) testedSD() float64 { return q.Spread.SD * q.Contrast.scale() }

// ofCrossed fills what the size needs to know of crossed samples: the contrast, and how many
// other findings are adjusted together.
func (q *Sizing) ofCrossed(s *study.Study) {
	c, effects := effectsOf(s)
	if len(effects) == 0 {
		return
	}
	if s.Plan.EffectOf != "" {
		q.Contrast = SizedContrast{s.Plan.EffectOf, len(c.Others(s.Plan.EffectOf)), len(c.Levels(s.Plan.EffectOf))}
		if s.Plan.Levels != [2]string{} {
			q.Contrast.Levels = 2
		}
	}
	if q.Others > 0 {
		q.Others = len(effects) + len(comparisons(s)) - 1
	}
}

// fitsEffect checks that the planned effect of crossed samples can be sized.
func (q Sizing) fitsEffect(s *study.Study) error {
	if s.Plan.EffectOf != study.NameByDish || !q.Test.byModel() && q.Test != SizedTest(study.RMAnova) {
		return nil
	}
	return &SizingError{"test", study.Say("there is no way yet to size a panel for whether several names do the " +
		"same for several dishes, or for that in a mixed model"), study.Say("size it for two names and two " +
		"dishes: the test paired-t")}
}

// ofFactor reports whether the test is an F of the levels of a factor of crossed samples.
func (q Sizing) ofFactor() bool { return q.Contrast.Of != "" && q.Test.ofWholePanel() }

// factorSize is the F test of a factor in the mixed model of all samples: noncentral F, its
// noncentrality that of as many differences as there are levels of the other factor, its
// degrees of freedom those that are left in the model.
type factorSize struct{ *panelSize }

// newFactorSize sizes the levels of a factor: within people by the means of each at each
// level, which is a panel of so many samples; in the model by every rating.
func newFactorSize(q Sizing, side stats.Alternative) sizeMethod {
	if q.Test == SizedTest(study.MixedF) {
		return factorSize{newPanelSize(q, side)}
	}
	q.Panel = size.PanelDesign{Samples: q.Contrast.Levels, Each: q.Contrast.Levels, Efficiency: 1}
	q.Spread.SD = q.testedSD()
	m := newPanelSize(q, side)
	m.what = q.Contrast.levelsWord()
	return m
}

// levelsWord names what is compared.
func (c SizedContrast) levelsWord() study.Said {
	if c.Of == study.DishFactor {
		return study.Say("dishes")
	}
	return study.Say("names")
}

func (m factorSize) effect() float64 {
	if m.q.Difference == 0 {
		return math.NaN()
	}
	return m.q.Difference / m.q.testedSD()
}

func (m factorSize) power(n int) float64 { return m.powerOf(n, m.q.Difference/m.q.testedSD()) }

func (m factorSize) powerOf(n int, effect float64) float64 {
	if n < m.fewest() {
		return 0
	}
	levels := float64(m.q.Contrast.Levels)
	pairs := float64(n) * float64(m.d.Each) / float64(m.d.Samples) * m.d.Efficiency
	left := n*(m.d.Each-1) - (m.d.Samples - 1) - (m.d.Each - 1)
	return orNaN(size.PowerF(levels-1, float64(left), pairs*effect*effect, m.q.Alpha))
}

func (m factorSize) needed() (first, safe int) {
	n := size.FewestAssessors(m.fewest(), largestPanel, m.q.Power, m.power)
	return n, n
}

func (m factorSize) detects(n int) (difference, distance float64) {
	far := 1.0
	for ; m.powerOf(n, far) < m.q.Power; far *= 2 {
		if n < m.fewest() || far > 1e6 {
			return math.NaN(), math.NaN()
		}
	}
	effect := numeric.Bisect(0, far, func(e float64) bool { return m.powerOf(n, e) < m.q.Power })
	return effect * m.q.testedSD(), math.NaN()
}

func (m factorSize) assumptions() []study.Said {
	m.what = m.q.Contrast.levelsWord()
	return m.panelSize.assumptions()
}

// assumesContrast says in words what the spread of a contrast is taken to be.
func (q Sizing) assumesContrast() []study.Said {
	spread := study.Say("%s, from %s of a pair", pointsWord(q.testedSD()), Points(q.Spread.SD))
	switch q.Contrast.Of {
	case study.NameFactor, study.DishFactor:
		over := study.Say("dishes")
		if q.Contrast.Of == study.DishFactor {
			over = study.Say("names")
		}
		return []study.Said{study.Say("each assessor’s difference is a mean over %d %s, and scatters by %s "+
			"divided by √%d",
			q.Contrast.Over, over, spread, q.Contrast.Over)}
	case study.NameByDish:
		return []study.Said{study.Say("each assessor’s difference between two differences scatters by %s times √2",
			spread)}
	}
	return nil
}

// remarkContrast says how far the size may be off: where people differ in what a name does
// to them, alike in every dish, a mean over dishes scatters like a pair.
func (z *Size) remarkContrast() {
	q := z.Request
	ofMeans := q.Contrast.Of == study.NameFactor || q.Contrast.Of == study.DishFactor
	if !ofMeans || z.Needed.Assessors == 0 || q.ofFactor() {
		return
	}
	one := q
	one.Contrast = SizedContrast{}
	m, err := one.method()
	if err != nil {
		return
	}
	_, pair := m.needed()
	if pair == 0 {
		return
	}
	z.warn(WarnContrastSpread, study.Say("the size takes it that what is left of an assessor’s differences is "+
		"independent from one to the next; where people differ in what it does to them, alike in all, more are "+
		"needed, up to the %d of a single pair",
		q.Each.assessors(pair)))
}
