package analysis

import (
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
	WarnBelowKnown      = "planned-below-earlier"
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

// SizeWarning is what has to be said of a size; its code is stable.
type SizeWarning struct {
	Code string
	Said study.Said
}

func (z *Size) warn(code string, said study.Said) {
	z.Warnings = append(z.Warnings, SizeWarning{code, said})
}

// together are two parts of a sentence.
func together(a, b study.Said) study.Said { return study.Say("%s; %s", a, b) }

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
		z.warn(WarnDifferenceOpen, study.Say("no smallest difference is stated, so how many assessors are needed "+
			"is open: say from which difference on you would act"))
	case q.beyondScale():
		z.warn(WarnBeyondScale, study.Say("a difference of %s is longer than the whole scale, %s points: no "+
			"panel, however large, can show it", pointsWord(q.Difference), Points(q.Length)))
	case z.Needed.Assessors == 0:
		z.warn(WarnOutOfReach, study.Say("no panel up to %d assessors finds %s with %s power: look for a larger "+
			"difference, or lessen the spread",
			q.Each.assessors(largestPanel), q.sought(), InPercent(q.Power)))
	}
	if z.Held.Assessors > 0 {
		need := study.Say("more assessors than can be sought")
		if z.Needed.Assessors > 0 {
			need = study.Say("%d assessors", z.Needed.Assessors)
		}
		z.warn(WarnSeatsFew, study.Say("you would need %s; you have seats for %d: %s", need, q.Places,
			z.canDo(z.Held)))
	}
	if z.First.Assessors > 0 {
		z.warn(stats.WarnSawTooth, study.Say("%d assessors have the power too, but some larger panels do not; "+
			"from %d on every panel does",
			z.First.Assessors, z.Needed.Assessors))
	}
}

// sought words the difference that is looked for.
func (q Sizing) sought() study.Said {
	switch {
	case q.Distance > 0:
		return study.Say("a distance d′ of %s", Points(q.Distance))
	case q.Share > 0 && q.Alike:
		return study.Say("that fewer than %s taste the difference", InPercent(q.Share))
	case q.Share > 0:
		c, _ := q.Test.Choice()
		return study.Say("a share of %s %s", InPercent(q.Share), study.Say(c.Who))
	case q.Test.ShowsSameness():
		return study.Say("that samples differ by less than %s", pointsWord(q.Difference))
	}
	return study.Say("a difference of %s", pointsWord(q.Difference))
}

// Shows reports whether a panel can find any difference that the scale has room
// for with the power wished for.
func (q Sizing) Shows(p PanelPower) bool {
	return !math.IsNaN(p.Detects) && !(q.Length > 0 && p.Detects > q.Length)
}

// canDo words what a panel can do.
func (z *Size) canDo(p PanelPower) study.Said {
	q := z.Request
	if !q.Shows(p) {
		return study.Say("with %d nothing can be found with %s power", p.Assessors, InPercent(q.Power))
	}
	what := study.Say("differences from %s on", pointsWord(p.Detects))
	switch {
	case q.Test.ShowsSameness():
		what = study.Say("that samples differ by less than %s", pointsWord(p.Detects))
	case q.SizedByDistance():
		what = study.Say("distances d′ from %s on", Points(p.Detects))
	case q.Alike:
		what = study.Say("that fewer than %s taste the difference", InPercentUp(p.Detects))
	case q.Test.IsChoice():
		what = study.Say("shares from %s on", InPercentUp(p.Detects))
		if !math.IsNaN(p.Distance) {
			what = study.Say("%s (d′ %s)", what, Points(p.Distance))
		}
	}
	return study.Say("with %d, %s is found with %s power, and %s with %s",
		p.Assessors, q.sought(), q.PowerWords(p.Power), what, InPercent(q.Power))
}

func (z *Size) remarkPlanned() {
	q, p := z.Request, z.Planned
	if p.Assessors == 0 {
		return
	}
	if fewest := z.method.fewest(); p.Comparisons < fewest {
		least := q.Each.assessors(fewest)
		z.warn(WarnPanelNoReject, study.Say("with %d assessors no result, however clear, reaches p = %s: at "+
			"least %d are needed",
			p.Assessors, Points(q.Alpha), least))
		return
	}
	if q.stated() && p.Power < q.Power && z.Held.Assessors != p.Assessors {
		z.warn(WarnPanelSmall, study.Say("the panel planned falls short: %s", z.canDo(p)))
	}
}

func (z *Size) remarkSpread() {
	q := z.Request
	switch s := q.Spread; {
	case q.Test.IsChoice():
	case s.Source == SpreadByRule && q.Test.betweenGroups():
		z.warn(WarnSpreadGuessed, study.Say("the spread is a guess: ratings of different people scatter by about "+
			"%s of the length of their scale (2 of the 8 points of a hedonic scale; common practice, no source)",
			InPercent(RatingScatter)))
	case s.Source == SpreadByRule:
		z.warn(WarnSpreadGuessed, study.Say("the spread is a guess: one hedonic rating is off by about %s of the "+
			"length of its scale (Hough et al. 2006, cited from memory), a difference of two by √2 times that",
			InPercent(RatingNoise)))
	case s.Source == SpreadEarlier && s.Pairs-len(s.Studies) < fewForSpread:
		z.warn(WarnSpreadFewPairs, study.Say("the spread comes from only %d earlier assessors, who scattered by "+
			"%s points: it stands %s above that, to be on the safe side",
			s.Pairs, Points(s.Pooled), InPercent(s.SD/s.Pooled-1)))
	}
	if s := q.Spread; s.Source != SpreadEarlier && !q.Test.IsChoice() && s.SD < q.Known.SD {
		z.warn(WarnBelowKnown, q.Known.above(s.SD))
	}
	if q.Spread.Invented {
		z.warn(WarnSpreadInvented, study.Say("the ratings that the spread comes from are invented"))
	}
	switch {
	case q.Replicates <= 1:
	case q.Test.IsChoice():
		z.warn(WarnReplicatesAlike, study.Say("the %d answers of an assessor are counted as if they were "+
			"independent: when people differ in how well they taste, the power is less", q.Replicates))
	default:
		aside := study.Say("each sample is rated %d times by an assessor; averaging lessens the spread by an "+
			"amount that is not known, so the size leaves it out and is on the safe side", q.Replicates)
		if without := z.withoutNoise(); without.Text != "" {
			aside = study.Say("%s: %s", aside, without)
		}
		z.warn(WarnReplicatesAside, aside)
		z.remarkPeople()
	}
}

// above says how a spread of earlier studies lies above one that a panel is planned on.
func (s Spread) above(planned float64) study.Said {
	said := study.Say("planned on a spread of %s points: the house’s own studies put the spread below %s points with "+
		"80 %% confidence; planned on less, a panel falls short more easily", Points(planned), Points(s.SD))
	if s.Differ {
		said = study.Say("planned on a spread of %s points: by what the house’s own studies "+
			"scattered, one in five scatters by more than %s points; planned on less, more of them than that fall "+
			"short", Points(planned), Points(s.SD))
	}
	if s.Invented {
		return study.Say("%s (invented ratings)", said)
	}
	return said
}

// withoutNoise says how many assessors would do at the least where each rates a sample several
// times: if all that scatters were noise of single ratings, and nothing an assessor's own.
func (z *Size) withoutNoise() study.Said {
	q := z.Request
	if !q.possible() || z.Needed.Assessors == 0 {
		return study.Said{}
	}
	q.Spread.SD /= math.Sqrt(float64(q.Replicates))
	m, err := q.method()
	if err != nil || !(m.power(largestPanel) >= q.Power) {
		return study.Said{}
	}
	_, safe := m.needed()
	enough := study.Say("if all scatter were noise, which averages out, %d assessors would be enough",
		q.Each.assessors(safe))
	if n := z.Planned.Assessors; n > 0 {
		enough = study.Say("if all scatter were noise, which averages out, %d assessors would be enough, and the %d "+
			"planned would have %s power", q.Each.assessors(safe), n, q.PowerWords(q.at(m, n).Power))
	}
	return together(enough, study.Say("if it is what assessors find of a sample each time, it takes as many as said"))
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
	z.warn(WarnPeopleChance, study.Say("%d people %s each have a %s chance to show that some are moved more than "+
		"others, when a fifth of the variance of a single difference lies between people", people,
		timesWord(q.Replicates),
		InPercent(ChanceToSeePeople(people, q.Replicates, q.Alpha))))
}

func timesWord(n int) study.Said {
	if n == 2 {
		return study.Say("twice")
	}
	return study.Say("%d times", n)
}

func (z *Size) remarkTest() {
	q := z.Request
	if q.Test.byRanks() {
		z.warn(WarnByEfficiency, study.Say("the size of the rank test is that of the t test divided by 3/π = "+
			"0.955, its efficiency when ratings are normal and panels large (Hodges & Lehmann 1956)"))
	}
	if m, ok := z.method.(*panelSize); ok && m.simulated != nil {
		x := m.simulated
		z.warn(stats.WarnSimulated, study.Say("there is no formula for this test: of %d simulated studies with "+
			"%d assessors and a difference of %s, the test found %s (%s to %s); other panels follow from there "+
			"by the noncentral F distribution",
			x.found.Replicates, x.assessors, pointsWord(x.effect*m.q.Spread.SD), share1(x.found.Power),
			share1(x.found.CI.Lo), share1(x.found.CI.Hi)))
	}
	if q.Test.betweenGroups() {
		z.warn(WarnEqualSpreads, study.Say("the size takes both groups to scatter alike"))
	}
	if q.Sides != study.TwoSided && !q.Test.IsChoice() && !q.Test.ShowsSameness() {
		z.warn(WarnOneSided, study.Say("a one-sided test never finds a difference that goes the other way"))
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

func pointsWord(v float64) study.Said {
	if v == 1 {
		return study.Say("1 point")
	}
	return study.Say("%s points", Points(v))
}

// PowerWords writes the power of a panel so that one that falls short of the wish
// does not read like it.
func (q Sizing) PowerWords(p float64) study.Said {
	if p < q.Power && Percent(p) == Percent(q.Power) {
		return study.Say(strconv.FormatFloat(math.Floor(1000*p)/10, 'f', 1, 64) + " %")
	}
	return InPercent(p)
}

// Percent writes a share as whole percent, in English; what is nearly certain is not called so.
func Percent(p float64) string { return InPercent(p).String() }

// InPercent is [Percent] for every language.
func InPercent(p float64) study.Said {
	if p > 0.995 && p < 1 {
		return study.Say("more than 99 %")
	}
	if p > 0 && p < 0.005 {
		return study.Say("less than 1 %")
	}
	return study.Say(strconv.FormatFloat(100*p, 'f', 0, 64) + " %")
}

// InPercentUp writes a share that a panel needs as whole percent: never fewer than it takes.
func InPercentUp(p float64) study.Said {
	n, more := OfHundred(p)
	if more {
		return study.Say("more than 99 %")
	}
	return study.Say(strconv.Itoa(n) + " %")
}

// OfHundred is how many of a hundred a share in 0 to 1 takes, rounded up; more: so nearly all that
// no whole number below a hundred does.
func OfHundred(p float64) (n int, more bool) {
	n = int(math.Ceil(100*p - 1e-9))
	return n, n == 100 && p < 1
}
