package analysis

import (
	"fmt"
	"math"
	"strconv"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// Codes of the warnings on the size of a panel, beside those of package stats.
const (
	WarnSpreadGuessed   = "spread-guessed"
	WarnSpreadFewPairs  = "spread-from-few"
	WarnSpreadInvented  = "spread-invented"
	WarnByEfficiency    = "ranks-by-efficiency"
	WarnEqualSpreads    = "equal-spreads-assumed"
	WarnBeyondScale     = "difference-beyond-scale"
	WarnDifferenceOpen  = "difference-not-stated"
	WarnPanelNoReject   = "panel-cannot-reject"
	WarnReplicatesAside = "replicates-not-counted"
	WarnPeopleChance    = "people-differ-chance"
	WarnReplicatesAlike = "replicates-as-independent"
	WarnOutOfReach      = "wish-out-of-reach"
	WarnPanelSmall      = "panel-too-small"
	WarnSeatsFew        = "seats-too-few"
)

// fewForSpread is the number of degrees of freedom below which a standard
// deviation is off by a sixth or more as a rule: its relative standard error is
// about 1/√(2 df).
const fewForSpread = 20

func (z *Size) warn(code, format string, args ...any) {
	z.Warnings = append(z.Warnings, Warning{code, fmt.Sprintf(format, args...)})
}

// remark says what a careful statistician would say of the answer: first whether
// the wish can be met, then what the numbers rest on.
func (z *Size) remark() {
	z.remarkReach()
	z.remarkPlanned()
	z.remarkSpread()
	z.remarkContrast()
	z.remarkTest()
	z.remarkAboutRight()
}

func (z *Size) remarkReach() {
	q := z.Request
	switch {
	case !q.stated():
		z.warn(WarnDifferenceOpen, "no smallest difference is stated, so how many assessors are needed is open: "+
			"say from which difference on you would act")
	case q.beyondScale():
		z.warn(WarnBeyondScale, "a difference of %s is longer than the whole scale, %s points: no panel, however "+
			"large, can show it", pointsWord(q.Difference), Points(q.Length))
	case z.Needed.Assessors == 0:
		z.warn(WarnOutOfReach, "no panel up to %d assessors finds %s with %s power: look for a larger difference, "+
			"or lessen the spread",
			q.Each.assessors(largestPanel), q.sought(), Percent(q.Power))
	}
	if z.Held.Assessors > 0 {
		need := "more assessors than can be sought"
		if z.Needed.Assessors > 0 {
			need = fmt.Sprintf("%d assessors", z.Needed.Assessors)
		}
		z.warn(WarnSeatsFew, "you would need %s; you have seats for %d: %s", need, q.Places, z.canDo(z.Held))
	}
	if z.First.Assessors > 0 {
		z.warn(stats.WarnSawTooth, "%d assessors have the power too, but some larger panels do not; from %d on "+
			"every panel does",
			z.First.Assessors, z.Needed.Assessors)
	}
}

// sought words the difference that is looked for.
func (q Sizing) sought() string {
	switch {
	case q.Distance > 0:
		return "a distance d′ of " + Points(q.Distance)
	case q.Share > 0 && q.Alike:
		return "that fewer than " + Percent(q.Share) + " taste the difference"
	case q.Share > 0:
		c, _ := q.Test.Choice()
		return "a share of " + Percent(q.Share) + " " + c.Who
	case q.Test.ShowsSameness():
		return "that samples differ by less than " + pointsWord(q.Difference)
	}
	return "a difference of " + pointsWord(q.Difference)
}

// Shows reports whether a panel can find any difference that the scale has room
// for with the power wished for.
func (q Sizing) Shows(p PanelPower) bool {
	return !math.IsNaN(p.Detects) && !(q.Length > 0 && p.Detects > q.Length)
}

// canDo words what a panel can do.
func (z *Size) canDo(p PanelPower) string {
	q := z.Request
	if !q.Shows(p) {
		return fmt.Sprintf("with %d nothing can be found with %s power", p.Assessors, Percent(q.Power))
	}
	what := "differences from " + pointsWord(p.Detects) + " on"
	switch {
	case q.Test.ShowsSameness():
		what = "that samples differ by less than " + pointsWord(p.Detects)
	case q.SizedByDistance():
		what = "distances d′ from " + Points(p.Detects) + " on"
	case q.Alike:
		what = "that fewer than " + Percent(p.Detects) + " taste the difference"
	case q.Test.IsChoice():
		what = fmt.Sprintf("shares from %s on", Percent(p.Detects))
		if !math.IsNaN(p.Distance) {
			what += fmt.Sprintf(" (d′ %s)", Points(p.Distance))
		}
	}
	return fmt.Sprintf("with %d, %s is found with %s power, and %s with %s",
		p.Assessors, q.sought(), q.PowerWords(p.Power), what, Percent(q.Power))
}

func (z *Size) remarkPlanned() {
	q, p := z.Request, z.Planned
	if p.Assessors == 0 {
		return
	}
	if fewest := z.method.fewest(); p.Comparisons < fewest {
		least := q.Each.assessors(fewest)
		z.warn(WarnPanelNoReject, "with %d assessors no result, however clear, reaches p = %s: at least %d are needed",
			p.Assessors, Points(q.Alpha), least)
		return
	}
	if q.stated() && p.Power < q.Power && z.Held.Assessors != p.Assessors {
		z.warn(WarnPanelSmall, "the panel planned falls short: %s", z.canDo(p))
	}
}

func (z *Size) remarkSpread() {
	q := z.Request
	switch s := q.Spread; {
	case q.Test.IsChoice():
	case s.Source == SpreadByRule && q.Test.betweenGroups():
		z.warn(WarnSpreadGuessed, "the spread is a guess: ratings of different people scatter by about %s of the "+
			"length of their scale "+
			"(2 of the 8 points of a hedonic scale; common practice, no source)", Percent(RatingScatter))
	case s.Source == SpreadByRule:
		z.warn(WarnSpreadGuessed, "the spread is a guess: one hedonic rating is off by about %s of the length of "+
			"its scale (Hough et al. 2006, "+
			"cited from memory), a difference of two by √2 times that", Percent(RatingNoise))
	case s.Source == SpreadEarlier && s.Pairs-len(s.Studies) < fewForSpread:
		z.warn(WarnSpreadFewPairs, "the spread comes from only %d earlier assessors, who scattered by %s points: "+
			"it stands %s above that, to be on the safe side",
			s.Pairs, Points(s.Pooled), Percent(s.SD/s.Pooled-1))
	}
	if q.Spread.Invented {
		z.warn(WarnSpreadInvented, "the ratings that the spread comes from are invented")
	}
	switch {
	case q.Replicates <= 1:
	case q.Test.IsChoice():
		z.warn(WarnReplicatesAlike, "the %d answers of an assessor are counted as if they were independent: "+
			"when people differ in how well they taste, the power is less", q.Replicates)
	default:
		z.warn(WarnReplicatesAside, "each sample is rated %d times by an assessor; averaging lessens the spread by "+
			"an amount that is not known, "+
			"so the size leaves it out and is on the safe side%s", q.Replicates, z.withoutNoise())
		z.remarkPeople()
	}
}

// withoutNoise says how many assessors would do at the least where each rates a sample several
// times: if all that scatters were noise of single ratings, and nothing an assessor's own.
func (z *Size) withoutNoise() string {
	q := z.Request
	if !q.possible() || z.Needed.Assessors == 0 {
		return ""
	}
	q.Spread.SD /= math.Sqrt(float64(q.Replicates))
	m, err := q.method()
	if err != nil || !(m.power(largestPanel) >= q.Power) {
		return ""
	}
	_, safe := m.needed()
	text := fmt.Sprintf(": if all scatter were noise, which averages out, %d assessors would be enough",
		q.Each.assessors(safe))
	if n := z.Planned.Assessors; n > 0 {
		text += fmt.Sprintf(", and the %d planned would have %s power", n, q.PowerWords(q.at(m, n).Power))
	}
	return text + "; if it is what assessors find of a sample each time, it takes as many as said"
}

// remarkPeople says how well the panel shows that people differ from each other, where
// everybody brings several pairs.
func (z *Size) remarkPeople() {
	q, people := z.Request, z.Needed.Assessors
	if z.Planned.Assessors > 0 {
		people = z.Planned.Assessors
	}
	if q.Test.betweenGroups() || people < 2 {
		return
	}
	z.warn(WarnPeopleChance, "%d people %s each have a %s chance to show that some are moved more than others, "+
		"when a fifth of the variance of a single difference lies between people", people, timesWord(q.Replicates),
		Percent(ChanceToSeePeople(people, q.Replicates, q.Alpha)))
}

func timesWord(n int) string {
	if n == 2 {
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func (z *Size) remarkTest() {
	q := z.Request
	if q.Test.byRanks() {
		z.warn(WarnByEfficiency, "the size of the rank test is that of the t test divided by 3/π = 0.955, its "+
			"efficiency when ratings are normal "+
			"and panels large (Hodges & Lehmann 1956)")
	}
	if m, ok := z.method.(*panelSize); ok && m.simulated != nil {
		x := m.simulated
		z.warn(stats.WarnSimulated, "there is no formula for this test: of %d simulated studies with %d assessors "+
			"and a "+
			"difference of %s, the test found %s (%s to %s); other panels follow from there by the noncentral F "+
			"distribution",
			x.found.Replicates, x.assessors, pointsWord(x.effect*m.q.Spread.SD), share1(x.found.Power),
			share1(x.found.CI.Lo), share1(x.found.CI.Hi))
	}
	if q.Test.betweenGroups() {
		z.warn(WarnEqualSpreads, "the size takes both groups to scatter alike")
	}
	if q.Sides != study.TwoSided && !q.Test.IsChoice() && !q.Test.ShowsSameness() {
		z.warn(WarnOneSided, "a one-sided test never finds a difference that goes the other way")
	}
}

// share1 writes a share as percent with one decimal.
func share1(p float64) string { return strconv.FormatFloat(100*p, 'f', 1, 64) + " %" }

// Points writes a number with three digits that count.
func Points(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(v))))
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}

func pointsWord(v float64) string {
	if v == 1 {
		return "1 point"
	}
	return Points(v) + " points"
}

// PowerWords writes the power of a panel so that one that falls short of the wish
// does not read like it.
func (q Sizing) PowerWords(p float64) string {
	text := Percent(p)
	if p < q.Power && text == Percent(q.Power) {
		return strconv.FormatFloat(math.Floor(1000*p)/10, 'f', 1, 64) + " %"
	}
	return text
}

// Percent writes a share as whole percent; what is nearly certain is not called so.
func Percent(p float64) string {
	if p > 0.995 && p < 1 {
		return "more than 99 %"
	}
	if p > 0 && p < 0.005 {
		return "less than 1 %"
	}
	return strconv.FormatFloat(100*p, 'f', 0, 64) + " %"
}
