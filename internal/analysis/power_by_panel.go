package analysis

import (
	"math"
	"slices"

	"cloche/internal/study"
)

// PowerByPanel is the chance of finding the smallest difference worth acting on with the planned
// test, by the size of the panel: about curvePoints of them, the one planned and those of also
// among them. basis says what it rests on. Nothing where no difference is stated, or the chance
// has no formula.
func PowerByPanel(s *study.Study, also ...int) (curve []PanelPower, basis string) {
	q, err := SizingOf(s)
	if err != nil || q.StopEarly || q.Test == SizedTest(study.Friedman) || q.Test == SizedTest(study.RMAnova) {
		return nil, ""
	}
	q, m, err := q.ready()
	if err != nil || !q.possible() {
		return nil, ""
	}
	basis = "answers as independent as the test takes them"
	switch m.(type) {
	case tSize, equivalenceSize:
		basis = "with a spread of " + Points(q.Spread.SD) + " points, " + q.Spread.Words()
	case choiceSize, alikeSize:
	default:
		return nil, ""
	}
	far := max(curveLeast, q.Assessors+q.Assessors/4)
	for _, n := range also {
		far = max(far, n+n/4)
	}
	step := niceStep(min(far, mostPlanned))
	sizes := append([]int{q.Assessors}, also...)
	for n := step; n < far+step; n += step {
		sizes = append(sizes, n)
	}
	slices.Sort(sizes)
	for _, n := range slices.Compact(sizes) {
		if p := q.at(m, n); n > 0 && !math.IsNaN(p.Power) {
			curve = append(curve, p)
		}
	}
	return curve, basis
}
