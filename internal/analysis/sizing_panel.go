package analysis

import (
	"math"

	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// byModel reports whether the test rests on the ratings of all samples together.
func (t SizedTest) byModel() bool { return t == MixedPair || study.Test(t).OfWholePanel() }

// ofWholePanel reports whether the test asks whether all samples are alike.
func (t SizedTest) ofWholePanel() bool { return study.Test(t).OfWholePanel() }

// severalSamples fills what the size needs to know of a study's other samples and attributes.
func (q *Sizing) severalSamples(s *study.Study, l design.Load) {
	if s.Serving.Design != study.One {
		q.Attends = l.Sittings
		q.Panel.Samples, q.Panel.Each, q.Panel.Efficiency = len(s.Samples), len(s.Samples), l.Efficiency
		if s.Serving.Design == study.Some {
			q.Panel.Each = s.Serving.PerAssessor
		}
	}
	if q.Test.byModel() {
		q.Each = Part{1, 1}
		return
	}
	if s.Plan.Adjust != study.NoAdjustment {
		pairs := len(s.Samples) * (len(s.Samples) - 1) / 2
		q.Others = pairs*len(s.Averaged()) - 1
	}
}

// assumesOfSittings says what several sittings do to the spread: people are not the same from
// one evening to the next, which a spread that was found within an evening does not have in it.
func (q Sizing) assumesOfSittings() []study.Said {
	if q.Attends < 2 {
		return nil
	}
	return []study.Said{study.Say("each assessor tastes at %d sittings, and the spread is that of samples tasted at "+
		"different ones: what an assessor is higher or lower by from one to the next is part of it", q.Attends)}
}

// fitsModel checks that a study has what a test of all samples needs.
func (q Sizing) fitsModel(s *study.Study) error {
	switch {
	case s.Serving.Design == study.One:
		return &SizingError{"test", study.Say("the test %s compares what one assessor says of several samples, and "+
			"serving.design is one", q.Test), study.Say("choose welch-t or rank-sum")}
	case q.Test.ofWholePanel() && len(s.Samples) < fewestSamples:
		return &SizingError{"test", study.Say("the test %s compares three samples or more, and there are %d", q.Test,
			len(s.Samples)), study.Say("choose paired-t or signed-rank")}
	case s.Serving.Design == study.Some && q.Test.needsAllSamples():
		return &SizingError{"test", study.Say("the test %s is of assessors who rate every sample, and here nobody "+
			"does", q.Test), study.Say("choose mixed-f")}
	}
	return nil
}

// needsAllSamples reports whether the test leaves out who did not rate every sample.
func (t SizedTest) needsAllSamples() bool {
	return t == SizedTest(study.RMAnova) || t == SizedTest(study.Friedman)
}

// panelSize is a test by the ratings of all samples.
type panelSize struct {
	q         Sizing
	d         size.PanelDesign
	pair      size.PairTest
	relative  float64 // efficiency against the F of the model: the noncentrality is so many times as large
	simulated *simulatedSize
	what      study.Said // that is compared: samples, or levels of a factor
}

// simulatedSize is what was simulated to find the efficiency.
type simulatedSize struct {
	assessors int
	found     size.SimulatedPower
	effect    float64
}

// Bounds of what is simulated for one size: see BenchmarkSizeBySimulation.
const (
	mostSizeStudies  = 10_000
	leastSizeStudies = 2_500
	mostSizeRatings  = 6_000_000 // over all studies: some tenths of a second
	sizeSeed         = 1937      // the same question has the same answer
)

// simulatedPanel is all that the simulated power of a panel rests on.
type simulatedPanel struct {
	n, studies int
	test       size.PanelTest
	d          size.PanelDesign
}

var simulatedPanels kept[simulatedPanel, size.SimulatedPower]

func newPanelSize(q Sizing, side stats.Alternative) *panelSize {
	m := &panelSize{q: q, d: q.Panel, pair: size.PairTest{Alternative: side}, relative: 1, what: study.Say("samples")}
	m.d.Alpha = q.Alpha
	if m.d.Each == 0 {
		m.d.Each, m.d.Efficiency = m.d.Samples, 1
	}
	if q.Spread.SD > 0 {
		m.d.Effect = q.Difference / q.Spread.SD
	}
	switch q.Test {
	case SizedTest(study.Friedman):
		// Noether, in van Elteren & Noether (1959), Biometrika 46:475, for normal ratings.
		k := float64(q.Panel.Samples)
		m.relative = size.RankEfficiency * k / (k + 1)
		m.measure(size.SimulateFriedman)
	case SizedTest(study.RMAnova):
		m.measure(size.SimulateRMAnova)
	}
	return m
}

// measure simulates the test at about the panel that is asked for, and takes from there
// how much it finds beside the F of the model. Everything else follows by noncentral F.
func (m *panelSize) measure(test size.PanelTest) {
	at := *m
	n := m.q.Assessors
	if m.q.possible() {
		n, _ = m.needed()
	}
	most := mostSizeRatings / leastSizeStudies / m.d.Samples
	if n < m.fewest() {
		return
	}
	if n > most || !m.q.possible() { // what the panel finds with the power wished for tells most
		n = min(n, most)
		at.d.Effect, _ = m.detects(n)
		at.d.Effect /= m.q.Spread.SD
	}
	studies := min(mostSizeStudies, max(leastSizeStudies, mostSizeRatings/(n*m.d.Samples)))
	key := simulatedPanel{n, studies, test, at.d}
	found := simulatedPanels.of(key, func() size.SimulatedPower {
		found, err := size.SimulatePanel(n, studies, sizeSeed, test, key.d)
		if err != nil {
			return size.SimulatedPower{}
		}
		return found
	})
	if found.Power <= m.q.Alpha || found.Power >= 1 {
		return
	}
	m.relative = numeric.Bisect(0.1, 2, func(relative float64) bool {
		at.relative = relative
		return at.power(n) < found.Power
	})
	m.simulated = &simulatedSize{n, found, at.d.Effect}
}

func (m *panelSize) effect() float64 {
	if m.q.Difference == 0 {
		return math.NaN()
	}
	return m.q.Difference / m.q.Spread.SD
}

// fewest is where the model has something left to hold the samples against, the corrected
// F its correction, and Friedman's test an order that counts.
func (m *panelSize) fewest() int {
	n := m.d.Fewest()
	switch m.q.Test {
	case SizedTest(study.RMAnova):
		n = max(n, m.d.Samples)
	case SizedTest(study.Friedman):
		for chance := math.Pow(orders(m.d.Samples), 1-float64(n)); chance > m.q.Alpha; n++ {
			chance /= orders(m.d.Samples)
		}
	}
	return n
}

// orders of k samples: so many to one do all assessors agree with the first.
func orders(k int) float64 { return math.Gamma(float64(k + 1)) }

func (m *panelSize) power(n int) float64 {
	if n < m.fewest() {
		return 0
	}
	d := m.d
	d.Effect *= math.Sqrt(m.relative)
	if m.q.Test == MixedPair {
		return orNaN(size.PowerPanelPair(n, m.pair, d))
	}
	return orNaN(size.PowerPanel(n, d))
}

func (m *panelSize) needed() (first, safe int) {
	n := size.FewestAssessors(m.fewest(), largestPanel, m.q.Power, m.power)
	return n, n
}

func (m *panelSize) detects(n int) (difference, distance float64) {
	if n < m.fewest() {
		return math.NaN(), math.NaN()
	}
	at := *m
	reached := func(effect float64) bool {
		at.d.Effect = effect
		return at.power(n) >= m.q.Power
	}
	far := 1.0
	for !reached(far) {
		if far *= 2; far > 1e6 {
			return math.NaN(), math.NaN()
		}
	}
	return m.q.Spread.SD * numeric.Bisect(0, far, func(effect float64) bool { return !reached(effect) }), math.NaN()
}

func (m *panelSize) assumptions() []study.Said {
	list := []study.Said{study.Say("the ratings of an assessor scatter alike and near normal around all samples")}
	if m.q.Test.ofWholePanel() {
		list = append(list, study.Say("two %s differ by that much and all others lie midway between them: no truth "+
			"with such a difference is harder to find", m.what))
	}
	switch {
	case m.d.Each < m.d.Samples:
		list = append(list, study.Say("each assessor rates %d of the %d samples: a difference is known with %s of "+
			"the precision that as many ratings would give if everybody rated all (the efficiency factor)", m.d.Each,
			m.d.Samples, InPercent(m.d.Efficiency)),
			study.Say("what the levels of the assessors tell beside is left out: a little more is found"))
	case m.q.Test.needsAllSamples():
		list = append(list, study.Say("everybody counted rates every sample: plan some more for those who leave"))
	}
	return append(list, study.Say("the size is for one attribute"))
}

// SizeBeside is the size of another answer that the same study gives.
type SizeBeside struct {
	Code      string // stable
	What      study.Said
	Needed    int     // assessors, for the power wished for; 0 = none
	Planned   float64 // power of the panel planned; NaN where none is
	Simulated bool
}

// Codes of what is sized beside the primary test.
const (
	BesideAnyPair   = "any-pair"
	BesideTukeyPair = "pair-among-all"
	BesideAllPairs  = "every-pair"
	BesideModelPair = "pair-by-model"
	BesidePanel     = "whole-panel"
	BesideOthers    = "other-comparisons"
	BesideRepeated  = "repeated-ratings"
)

// beside fills what the study answers beside its primary test, for the same difference:
// pairs once they are adjusted, all samples together, and the primary pair by every rating.
func (z *Size) beside() {
	q := z.Request
	if q.Test.IsChoice() || q.Test.ShowsSameness() || !q.possible() {
		return
	}
	z.besideRepeated()
	if q.Test.ofWholePanel() {
		if q.Test != SizedTest(study.Friedman) && !q.ofFactor() { // which have pairs of their own
			z.besidePairs()
		}
		return
	}
	several := q.Panel.Samples >= fewestSamples
	if several && q.Panel.Each < q.Panel.Samples && q.Test != MixedPair {
		model := q
		model.Test, model.Each = MixedPair, Part{1, 1}
		z.addBeside(BesideModelPair, study.Say("the same pair by every rating: %s",
			study.Say(method.MixedT.Title())), model)
	}
	if several {
		panel := q
		panel.Test, panel.Sides, panel.Each = SizedTest(study.MixedF), study.TwoSided, Part{1, 1}
		z.addBeside(BesidePanel, study.Say("that the samples are not all alike: %s",
			study.Say(method.MixedF.Title())), panel)
	}
	if q.Others > 0 && !q.Test.byModel() {
		other, what := q.anOther()
		z.addBeside(BesideOthers, what, other)
	}
}

// anOther is the question of size of one of the comparisons that Holm's method adjusts, at the
// level where it begins, and what is found so.
func (q Sizing) anOther() (other Sizing, what study.Said) {
	other = q
	other.Contrast = SizedContrast{}
	other.Alpha, other.Sides = q.Alpha/float64(q.Others), study.TwoSided
	switch {
	case q.Others == 1:
		return other, study.Say("the other comparison")
	case q.Contrast.Of != "": // some of the others are no pairs
		return other, study.Say("any single pair among the %d other comparisons, at least: adjusted together by %s",
			q.Others, study.Say(method.Holm.Title()))
	}
	return other, study.Say("any one of the %d other comparisons, at least: adjusted together by %s", q.Others,
		study.Say(method.Holm.Title()))
}

func (z *Size) addBeside(code string, what study.Said, q Sizing) {
	m, err := q.method()
	if err != nil {
		return
	}
	b := SizeBeside{Code: code, What: what, Planned: math.NaN()}
	if m.power(largestPanel) >= q.Power {
		_, safe := m.needed()
		b.Needed = q.Each.assessors(safe)
	}
	if q.Assessors > 0 {
		b.Planned = q.at(m, q.Assessors).Power
	}
	z.Beside = append(z.Beside, b)
}

var tukeyBeside = study.Say("that the two furthest apart differ, of all pairs by %s", study.Say(method.Tukey.Title()))

// allPairs is the model of all samples, of which Tukey's range takes the pairs.
func (q Sizing) allPairs() *panelSize {
	return newPanelSize(Sizing{Test: SizedTest(study.MixedF), Difference: q.Difference, Spread: q.Spread,
		Alpha: q.Alpha, Panel: q.Panel}, stats.TwoSided)
}

// tukeyPower is the chance that the two samples furthest apart differ, of all pairs.
func (m *panelSize) tukeyPower(n int) float64 {
	return orNaN(size.PowerPanelPair(n, size.PairTest{Tukey: true}, m.d))
}

// besidePairs sizes all pairs by Tukey's range: one of them exactly, any and all by simulation.
func (z *Size) besidePairs() {
	m := z.Request.allPairs()
	add := func(code string, what study.Said, simulated bool, power func(n int) float64) {
		b := SizeBeside{Code: code, What: what, Planned: math.NaN(), Simulated: simulated,
			Needed: size.FewestAssessors(m.fewest(), largestPanel, z.Request.Power, power)}
		if n := z.Request.Assessors; n >= m.fewest() {
			b.Planned = power(n)
		} else if n > 0 {
			b.Planned = 0
		}
		z.Beside = append(z.Beside, b)
	}
	some := func(n int) size.SomePairs {
		p, _ := size.PowerSomePairs(n, mostSizeStudies, sizeSeed, m.d)
		return p
	}
	add(BesideAnyPair, study.Say("that at least one pair differs, of all pairs by %s",
		study.Say(method.Tukey.Title())), true,
		func(n int) float64 { return some(n).Any.Power })
	add(BesideTukeyPair, tukeyBeside, false, m.tukeyPower)
	add(BesideAllPairs, study.Say("that every pair differs, where each sample differs from the next by that "+
		"much"), true,
		func(n int) float64 { return some(n).All.Power })
}
