package analysis

import (
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// SizedTest is a test for which a panel can be sized: those of package study for
// ratings, and the questions answered by choosing.
type SizedTest string

// Equivalence asks whether two samples are alike: two one-sided paired t tests,
// each at alpha, with the difference as the margin on either side.
const Equivalence = SizedTest(study.Equivalence)

// EquivalenceOfGroups asks the same of two groups, each of whom rates one of the samples.
const EquivalenceOfGroups = SizedTest(method.EquivalenceWelch)

// ShowsSameness reports whether a test looks for samples that are alike.
func (t SizedTest) ShowsSameness() bool { return t == Equivalence || t == EquivalenceOfGroups }

// MixedPair compares two samples by the model of all: by every rating, where a paired
// test has those who rated both alone.
const MixedPair = SizedTest(method.MixedT)

// SizedTests lists the tests for which a panel can be sized.
func SizedTests() []SizedTest {
	tests := []SizedTest{SizedTest(study.PairedT), SizedTest(study.SignedRank), SizedTest(study.WelchT),
		SizedTest(study.RankSum), Equivalence, EquivalenceOfGroups, MixedPair, SizedTest(study.MixedF),
		SizedTest(study.RMAnova),
		SizedTest(study.Friedman)}
	for _, a := range answerings {
		if a.sized != nil {
			tests = append(tests, SizedTest(a.question))
		}
	}
	return tests
}

// What is wished for when nobody says.
const (
	DefaultAlpha = 0.05
	DefaultPower = 0.8 // common practice; Cohen 1988, p. 56, from memory
)

// Sizing is a question of size: how many assessors are needed to find a
// difference, and what does a planned panel find.
type Sizing struct {
	Test       SizedTest
	Sides      study.Sides // "" = two; without effect on equivalence
	Alpha      float64     // 0 = [DefaultAlpha]
	Power      float64     // wished for; 0 = [DefaultPower]
	Difference float64     // smallest worth acting on, scale points; 0 = not stated
	Spread     Spread      // of the ratings
	Known      Spread      // what earlier studies of the house tell of it; zero = nothing
	Share      float64     // of choices: see [ChoiceSizing.Who] …
	Distance   float64     // … or d′; both 0 = not stated
	Alike      bool        // right answers: do so few tell that the samples pass for the same? See [alikeSize]
	StopEarly  bool        // right answers are taken one by one until they decide: see [SizeEarly]
	Beta       float64     // with Alike: risk of calling alike what that share tells; 0 = [DefaultAlpha]
	Length     float64     // of the scale; 0 = not known
	Assessors  int         // planned; 0 = not stated
	Places     int         // most assessors that the seats hold; 0 = no limit
	Block      int         // of orders: a multiple of so many assessors is quite even
	Attends    int         // sittings at which each assessor tastes; 0 = 1
	Replicates int         // times each sample or trial is served to an assessor; 0 = 1
	Each       Part        // of the panel: see [Part]

	Panel      size.PanelDesign // of a study of several samples: which, and how many of them each assessor rates
	Others     int              // comparisons beside the primary one that Holm's method adjusts; 0 = none
	Contrast   SizedContrast    // compared in place of a pair; zero = a pair
	AboutRight SizedAboutRight  // of a study that asks whether samples are about right
	OneDish    int              // sides of one dish that are tested together; 0 = it is not of one dish

	Looking SizedLooking // whether the plan looks before its end
	Way     Part         // of the panel that says what it expects of a name, see [WayAhead]; zero = nobody

	Strata  int // within which groups are compared; 0 or 1 = none
	Samples int // that are put in an order or ticked words for; 0 = as usual, without effect elsewhere
	Words   int // of the list that is ticked; 0 = [usualWords], without effect elsewhere

	Labels int // of the scale, where the test is of their order; 0 = not known

	SlopeSS   float64 // of a slope: Σ(amount − mean)² of what an assessor rates; 0 = the test is of none
	SlopeUnit string  // of the amounts: "gram of salt per litre"

	// Of a dish laid on the series, whose Difference is by how many points it is rated above it: the amount that
	// this is worth, how far its own amount lies from the mean of the series, and the variance of its distance from
	// a person's line at that mean, over that of one rating. All 0 where the test is of none.
	Worth, ShiftOff, ShiftOwn float64
}

// Part is how many comparisons an assessor brings, as a fraction: 1 of 1 when
// everybody tastes both samples; fewer pairs with incomplete blocks; the share of
// one group when each assessor gets one sample; the replicates of a difference
// test. The zero Part stands for what is usual for the test.
type Part struct{ Count, Of int }

func (p Part) comparisons(assessors int) int { return assessors * p.Count / p.Of }

func (p Part) assessors(comparisons int) int { return (comparisons*p.Of + p.Count - 1) / p.Count }

// Size is the answer.
type Size struct {
	Request Sizing  // with what was left open filled in
	Effect  float64 // the difference in spreads, or the share of right answers; NaN when not stated
	// smallest panel that finds the difference with the power wished for; 0 assessors = none, or none asked
	Needed      PanelPower
	First       PanelPower // difference tests: a smaller panel that happens to, see [stats.SampleSizeBinomial]
	Even        int        // the next panel with whole blocks of orders; 0 = none needed
	Planned     PanelPower // at the panel planned; 0 assessors = none
	Held        PanelPower // at as many as the seats hold, when these are fewer than needed
	Beside      []SizeBeside
	Early       []SizeEarly
	Looking     *LookingAhead // nil where the plan does not look early, or nothing is looked for
	Ahead       []WorthAhead  // of a dish laid on a series, by simulation: the panel planned, then the one needed
	Way         *WayAhead     // of a name that is read, tasted blind and under it; nil where none is
	OtherWays   []OtherWay    // difference tests: by fewest portions
	AtDistance  float64       // d′ that these find
	Ways        []WayCurve    // the question itself and these, at the panels of WaySizes
	WaySizes    []int
	Curve       []PanelPower
	Assumptions []study.Said
	Warnings    []SizeWarning

	method sizeMethod
}

// PanelPower is what one panel can do.
type PanelPower struct {
	Assessors   int
	Comparisons int // pairs, assessors in each group, or answers
	// to find the difference; NaN when it cannot be computed, or no difference is stated that the scale can hold
	Power float64
	// smallest difference found with the power wished for: scale points, or a share of assessors; NaN when none
	Detects  float64
	Distance float64 // difference tests: Detects as d′; NaN otherwise
}

// SizingError says which part of a question of size makes no sense.
type SizingError struct {
	Field   string     // test, sides, alpha, power, difference, spread, correlation, share, distance, assessors
	What    study.Said // what is wrong
	Instead study.Said // what to do
}

// Error gives "what is wrong; what to do".
func (e *SizingError) Error() string { return together(e.What, e.Instead).String() }

const (
	largestPanel = 10_000 // ends the search: beyond it a study is no sensible plan
	// MostPlanned is the most that a study file may plan.
	MostPlanned = 100_000
)

// FindSize answers a question of size. Errors are of type [*SizingError].
//
// t tests: noncentral t, exact (Cohen 1988, ch. 2). Rank tests: the same divided
// by their efficiency, see [stats.RankEfficiency]. Equivalence: Phillips (1990).
// Whole panels and pairs by their model: noncentral F and t, exact for balanced plans, see
// [size.PanelDesign]; Friedman's test and the corrected F by 10,000 simulated studies.
// Difference tests: exact binomial, with the panel from which every larger one
// has the power too (Ennis & Jesionka 2011).
func FindSize(q Sizing) (*Size, error) {
	q, m, err := q.ready()
	if err != nil {
		return nil, err
	}
	z := &Size{Request: q, Effect: m.effect(), Assumptions: slices.Concat(q.assumesContrast(), m.assumptions(),
		q.assumesOfSittings()), method: m}
	z.Needed.Power, z.Needed.Detects, z.Needed.Distance = math.NaN(), math.NaN(), math.NaN()
	if q.possible() && m.power(largestPanel) >= q.Power {
		first, safe := m.needed()
		z.Needed = q.at(m, q.Each.assessors(safe))
		if first != safe {
			z.First = q.at(m, q.Each.assessors(first))
		}
		z.Even = roundUpTo(z.Needed.Assessors, q.Block)
	}
	if q.Assessors > 0 {
		z.Planned = q.at(m, q.Assessors)
	}
	if q.Places > 0 && q.possible() && (z.Needed.Assessors == 0 || z.Needed.Assessors > q.Places) {
		z.Held = q.at(m, q.Places)
	}
	for _, n := range q.curveSizes(z) {
		z.Curve = append(z.Curve, q.at(m, n))
	}
	z.beside()
	z.otherWays()
	z.wayCurves()
	z.early()
	z.looking()
	z.ahead()
	z.wayAhead()
	z.remark()
	return z, nil
}

// at reckons one panel.
func (q Sizing) at(m sizeMethod, assessors int) PanelPower {
	p := PanelPower{Assessors: assessors, Comparisons: q.Each.comparisons(assessors), Power: math.NaN(),
		Detects: math.NaN(), Distance: math.NaN()}
	if p.Comparisons < m.fewest() { // no result could count
		if q.possible() {
			p.Power = 0
		}
		return p
	}
	if q.possible() {
		p.Power = m.power(p.Comparisons)
	}
	p.Detects, p.Distance = m.detects(p.Comparisons)
	return p
}

// stated reports whether there is a difference to look for.
func (q Sizing) stated() bool { return q.Difference > 0 || q.Share > 0 || q.Distance > 0 }

// beyondScale reports whether the difference is longer than the scale, so that no
// ratings can show it.
func (q Sizing) beyondScale() bool {
	return !q.Test.ShowsSameness() && q.Test != SlopeTest && q.Length > 0 && q.Difference > q.Length
}

// possible reports whether there is a difference to look for that can be found.
func (q Sizing) possible() bool { return q.stated() && !q.beyondScale() }

// filled puts in what was left open.
func (q Sizing) filled() Sizing {
	if q.Sides == "" {
		q.Sides = study.TwoSided
	}
	if q.Alpha == 0 {
		q.Alpha = DefaultAlpha
	}
	if q.Beta == 0 && (q.Alike || q.StopEarly) {
		q.Beta = DefaultAlpha
	}
	if q.Power == 0 {
		q.Power = DefaultPower
	}
	q.Replicates, q.Block = max(1, q.Replicates), max(1, q.Block)
	if q.Each == (Part{}) {
		q.Each = Part{1, 1}
		if q.Test.betweenGroups() {
			q.Each.Of = 2
		}
		if q.Test.IsChoice() {
			q.Each.Count = q.Replicates
		}
	}
	return q
}

func (q Sizing) check() error {
	usable := func(v float64) bool { return v == 0 || v > 0 && !math.IsInf(v, 0) }
	bad := func(field string, v float64, instead study.Said) error {
		return &SizingError{field, study.Say("the %s is %g", study.Say(field), v), instead}
	}
	c, choice := q.Test.Choice()
	switch {
	case !(q.Alpha > 0 && q.Alpha <= 0.5):
		return bad("alpha", q.Alpha, study.Say("write a number above 0 and at most 0.5"))
	case q.Test.ShowsSameness() && q.Alpha == 0.5:
		return bad("alpha", q.Alpha, study.Say("write a number below 0.5"))
	case q.Alike && (!choice || c.NoShare || !c.Distance):
		return &SizingError{"test", study.Say("a %s test cannot show that so few tell two samples apart that they "+
			"pass for the same", q.Test), study.Say("choose triangle, duo-trio, tetrad, 2-afc or 3-afc")}
	case q.Alike && !(q.Beta > 0 && q.Beta <= 0.5):
		return bad("beta", q.Beta, study.Say("write a number above 0 and at most 0.5"))
	case choice && c.NoShare && q.Share > 0:
		return &SizingError{"share", study.Say("a %s test knows no share of people", q.Test), study.Say("write a " +
			"distance d′, such as 1")}
	case !(q.Power > q.Alpha && q.Power < 1):
		return bad("power", q.Power, study.Say("write a number above alpha, %g, and below 1", q.Alpha))
	case !usable(q.Difference):
		return bad("difference", q.Difference, study.Say("write a number of scale points above 0"))
	case q.Test.byModel() && (q.Panel.Samples < 2 || q.Test != MixedPair && q.Panel.Samples < fewestSamples):
		return &SizingError{"samples", study.Say("the test %s compares all samples, and there are %d", q.Test,
			q.Panel.Samples), study.Say("write how many there are, 3 at least")}
	case choice && q.Share > 0 && q.Share <= c.Above:
		return bad("share", q.Share, study.Say("write a number above %g and at most 1", c.Above))
	case !usable(q.Share) || q.Share > 1:
		return bad("share", q.Share, study.Say("write a number above 0 and at most 1, such as 0.3 for three "+
			"assessors in ten"))
	case !usable(q.Distance):
		return bad("distance", q.Distance, study.Say("write a d′ above 0, such as 1"))
	case choice && q.Distance > 0 && !c.Distance:
		return &SizingError{"distance", study.Say("a %s test knows no distance", q.Test), study.Say("write a share")}
	case q.Share > 0 && q.Distance > 0:
		return &SizingError{"distance", study.Say("a share and a distance are both given"),
			study.Say("write one of them: each follows from the other")}
	case !choice && (q.Share > 0 || q.Distance > 0):
		return &SizingError{"share", study.Say("a share or distance is for difference tests"),
			study.Say("write a difference in scale points")}
	case choice && q.Difference > 0:
		return &SizingError{"difference", study.Say("a %s test is answered by choosing and knows no scale points",
			q.Test), study.Say("write a share")}
	case !choice && !(q.Spread.SD > 0 && !math.IsInf(q.Spread.SD, 0)):
		return bad("spread", q.Spread.SD, study.Say("write a number of scale points above 0"))
	case q.Assessors < 0 || q.Assessors > MostPlanned:
		return bad("assessors", float64(q.Assessors), study.Say("write a number from 1 to %d", MostPlanned))
	}
	return nil
}

func roundUpTo(n, block int) int { return (n + block - 1) / block * block }
