package analysis

import (
	"fmt"
	"math"

	"cloche/internal/study"
)

// WarnContrastSpread says what the size of an effect over several dishes or names rests on.
const WarnContrastSpread = "spread-of-contrast"

// SizedContrast is what is compared where it is no single pair of samples: the effect of
// the name or the dish, each assessor's mean over so many levels of the other; or, of two
// by two, the difference of two differences.
type SizedContrast struct {
	Of   study.Factor // "" = a pair
	Over int
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
		q.Contrast = SizedContrast{s.Plan.EffectOf, len(c.Others(s.Plan.EffectOf))}
	}
	if q.Others > 0 {
		q.Others = len(effects) + len(comparisons(s)) - 1
	}
}

// fitsEffect checks that the planned effect of crossed samples can be sized.
func (q Sizing) fitsEffect(s *study.Study) error {
	if s.Plan.EffectOf == "" || !q.Test.byModel() && q.Test != SizedTest(study.RMAnova) {
		return nil
	}
	return &SizingError{"test", "there is no way yet to size a panel for several names or dishes together, or " +
		"for an effect " +
		"in a mixed model", "size it for two of them, each person's own mean: the test paired-t"}
}

// assumesContrast says in words what the spread of a contrast is taken to be.
func (q Sizing) assumesContrast() []string {
	spread := fmt.Sprintf("%s, from %s of a pair", pointsWord(q.testedSD()), Points(q.Spread.SD))
	switch q.Contrast.Of {
	case study.NameFactor, study.DishFactor:
		over := map[study.Factor]string{study.NameFactor: "dishes", study.DishFactor: "names"}[q.Contrast.Of]
		return []string{fmt.Sprintf("each assessor's difference is a mean over %d %s, and scatters by %s "+
			"divided by √%d",
			q.Contrast.Over, over, spread, q.Contrast.Over)}
	case study.NameByDish:
		return []string{fmt.Sprintf("each assessor's difference between two differences scatters by %s times √2",
			spread)}
	}
	return nil
}

// remarkContrast says how far the size may be off: where people differ in what a name does
// to them, alike in every dish, a mean over dishes scatters like a pair.
func (z *Size) remarkContrast() {
	q := z.Request
	if q.Contrast.Of != study.NameFactor && q.Contrast.Of != study.DishFactor || z.Needed.Assessors == 0 {
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
	z.warn(WarnContrastSpread, "the size takes it that what is left of an assessor's differences is independent "+
		"from one to the "+
		"next; where people differ in what it does to them, alike in all, more are needed, up to the %d of a "+
		"single pair",
		q.Each.assessors(pair))
}
