package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/study"
)

// PowerCurve is the chance of finding the smallest difference worth acting on with the planned
// test, by the size of the panel.
type PowerCurve struct {
	At    []PanelPower // about curvePoints of them; none where none can be drawn, and then …
	None  string       // … why not, in words
	Found string       // what is found, where it is no difference as large as the plan states; else ""
	Basis string       // what the chance rests on

	Beside     []float64 // at the same panels, of one of the comparisons that are adjusted together; nil for none
	BesideWhat string    // where that is: "in the other comparison"
}

// PowerByPanel is the chance of finding the smallest difference worth acting on with the planned
// test, as [FindSize] reckons it, the panel that was planned and those of also among the sizes.
func PowerByPanel(s *study.Study, also ...int) PowerCurve {
	none := func(why string) PowerCurve { return PowerCurve{None: why} }
	if s.Question.Kind().Ascending {
		return none("a threshold is looked for, and no difference is tested; the size of the panel says how wide " +
			"its interval was to be")
	}
	if s.Plan.StopEarly || s.Plan.LooksEarly() {
		return none("the plan may stop early, and its chance is not that of one test at the end")
	}
	q, m, err := Sizing{}, sizeMethod(nil), error(nil)
	if q, err = SizingOf(s); err == nil && !q.stated() {
		return none("no smallest difference worth acting on was stated")
	}
	if err == nil {
		q, m, err = q.ready()
	}
	switch {
	case err != nil:
		return none("there is no way yet to reckon what a panel finds with this plan")
	case !q.possible():
		return none("the difference that was stated is longer than the scale")
	}
	c := PowerCurve{Basis: q.basisOf(m, s)}
	switch {
	case q.Test == ShiftTest:
		c.Found = "a name worth as much as " + s.AmountsIn.Words(q.Worth)
	case q.OneDish > 0:
		c.Found = fmt.Sprintf("a drop in liking of %s", pointsWord(q.Difference))
	}
	beside := q.besidePower(&c)
	for _, n := range q.sizesAround(also) {
		p := PanelPower{Assessors: n, Comparisons: q.Each.comparisons(n)}
		if p.Comparisons >= m.fewest() { // below it no result could count
			p.Power = m.power(p.Comparisons)
		}
		if math.IsNaN(p.Power) {
			continue
		}
		c.At = append(c.At, p)
		if beside != nil {
			c.Beside = append(c.Beside, beside(n))
		}
	}
	return c
}

// sizesAround are even steps to beyond the panel planned and others, with these among them.
func (q Sizing) sizesAround(also []int) []int {
	far := max(curveLeast, q.Assessors+q.Assessors/4)
	for _, n := range also {
		far = max(far, n+n/4)
	}
	step := niceStep(min(far, MostPlanned))
	sizes := append([]int{q.Assessors}, also...)
	for n := step; n < far+step; n += step {
		sizes = append(sizes, n)
	}
	slices.Sort(sizes)
	return slices.DeleteFunc(slices.Compact(sizes), func(n int) bool { return n < 1 })
}

// besidePower is the chance, by the size of the panel, of finding the same difference in one of
// the comparisons that are adjusted together, as [FindSize] has it beside; nil where there are none.
func (q Sizing) besidePower(c *PowerCurve) func(n int) float64 {
	if q.Test.IsChoice() || q.Test.ShowsSameness() || q.Test.OfAmounts() {
		return nil
	}
	if q.Test.ofWholePanel() {
		if q.Test == SizedTest(study.Friedman) || q.ofFactor() { // which have pairs of their own
			return nil
		}
		m := q.allPairs()
		c.BesideWhat = "between the two samples furthest apart, all pairs held by " + method.Tukey.Title()
		return func(n int) float64 {
			if n >= m.fewest() {
				return orZero(m.tukeyPower(n))
			}
			return 0
		}
	}
	if q.Others == 0 || q.Test.byModel() {
		return nil
	}
	other, _ := q.anOther()
	m, err := other.method()
	if err != nil {
		return nil
	}
	c.BesideWhat = "in the other comparison"
	if q.Others > 1 {
		c.BesideWhat = fmt.Sprintf("in a given one of the %d other comparisons, at least: adjusted together by %s",
			q.Others, method.Holm.Title())
		if q.Contrast.Of != "" { // some of the others are no pairs
			c.BesideWhat = "in a single pair, as " + c.BesideWhat
		}
	}
	return func(n int) float64 {
		if k := q.Each.comparisons(n); k >= m.fewest() {
			return orZero(m.power(k))
		}
		return 0
	}
}

func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// basisOf says what the chance of finding a difference rests on.
func (q Sizing) basisOf(m sizeMethod, s *study.Study) string {
	spread := fmt.Sprintf("with a spread of %s, %s", pointsWord(q.Spread.SD), q.Spread.Words())
	panel, ofPanel := m.(*panelSize)
	if f, ofFactor := m.(factorSize); ofFactor {
		panel, ofPanel = f.panelSize, true
	}
	if ofPanel {
		if q.Test.ofWholePanel() {
			what := panel.what
			if q.ofFactor() {
				what = q.Contrast.levelsWord()
			}
			spread += fmt.Sprintf(", between two %s with all others midway, which is the hardest to find", what)
		}
		if x := panel.simulated; x != nil {
			spread += fmt.Sprintf("; from %d simulated studies of %d people, and by formula from there",
				x.found.Replicates, x.assessors)
		}
		return spread
	}
	switch m.(type) {
	case tSize, equivalenceSize, *ordinalSize, slopeSize:
	default:
		return "answers as independent as the test takes them"
	}
	if s.Plan.Test == study.Lottery {
		spread += "; reckoned by the t test, of which the lottery of the plan finds about as much"
	}
	return spread
}
