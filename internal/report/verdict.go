package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// Outcome is how a verdict looks: what it comes to for the eye.
type Outcome string

// The outcomes.
const (
	Clear    Outcome = "clear"    // what was asked was found: a difference, or that there is none that matters
	Unclear  Outcome = "unclear"  // none was found
	NoAnswer Outcome = "noanswer" // there is too little to say
)

// outcomeOf is the look of a verdict.
func outcomeOf(v analysis.Verdict) Outcome {
	switch {
	case v.Different(), v.Sameness && v.Code == analysis.Alike:
		return Clear
	case v.Code == analysis.TooFew:
		return NoAnswer
	}
	return Unclear
}

// Verdict is a finding in plain words.
type Verdict struct {
	Outcome   Outcome
	Sentences []study.Said
}

// Text is the verdict as one paragraph.
func (v Verdict) Text() string { return strings.Join(spoken(English, v.Sentences), " ") }

// pairVerdict says a comparison of two samples within people.
func pairVerdict(s *study.Study, f analysis.Finding) []study.Said {
	t := teller{s: s, f: f, c: contrastOf(s, f.Two())}
	t.a, _ = s.Attribute(f.Attribute)
	return t.compared()
}

// compared says a comparison of two within people.
func (t teller) compared() []study.Said {
	switch v := t.f.Verdict; {
	case v.Code == analysis.TooFew:
		return t.tooFew()
	case v.Different():
		return t.different()
	case v.Sameness:
		return t.sameness()
	}
	return t.notDifferent()
}

// teller puts one finding into sentences.
type teller struct {
	s *study.Study
	f analysis.Finding
	a study.Attribute
	c contrast
}

func (t teller) tooFew() []study.Said {
	f := t.f
	if f.Measure == method.ModelDifference {
		return t.tooFewForModel()
	}
	if f.N == 0 {
		return []study.Said{study.Say("No answer on “%s”: nobody rated both %s.", t.a.Ask, t.c.between())}
	}
	first := study.Say("Too few to say on “%s”: %s rated both %s, and a verdict takes at least %d.",
		t.a.Ask, people(f.N), t.c.between(), analysis.Fewest(t.s.Plan.Alpha))
	if f.N == 1 {
		return []study.Said{first, study.Say("The difference was %s.", t.amount())}
	}
	return []study.Said{first, t.fewDiffered(), t.counts()}
}

// tooFewForModel is tooFew of a pair by every rating.
func (t teller) tooFewForModel() []study.Said {
	first := study.Say("Too few to say on “%s”: %s rated %s or one of them, and a verdict takes at least %d.",
		t.a.Ask, peopleOrNobody(t.f.N), t.c.between(), analysis.Fewest(t.s.Plan.Alpha))
	if math.IsNaN(t.f.Value) {
		return []study.Said{first}
	}
	return []study.Said{first, t.fewDiffered()}
}

// fewDiffered is the difference of too few people.
func (t teller) fewDiffered() study.Said {
	if estimateWords(t.f) == "on average" {
		return study.Say("On average, the difference was %s.", t.amount())
	}
	return study.Say("The middle difference was %s.", t.amount())
}

func (t teller) different() []study.Said {
	f, first := t.f, t.moved()
	if t.withoutScatter() {
		return []study.Said{study.Say("%s%s: each of %s moved by exactly %s.", t.onTheSide(), first, people(f.N),
			t.amount()),
			t.movedThatWay(), t.sure(), t.acted(), t.notTheSame(), partners(t.signTest())}
	}
	return []study.Said{study.Say("%s%s%s: %s.", t.onTheSide(), t.hinted(), first, t.difference()), t.looked(),
		t.movedThatWay(),
		t.sure(), t.acted(), t.ofTen(),
		t.notTheSame(), t.hint(), partners(t.againstTest()), partners(t.holdsZero()), partners(t.otherTest()),
		partners(t.numbers())}
}

// moved says which of the two came out higher, without by how much: "X was rated saltier than Y".
func (t teller) moved() study.Said {
	moved := movedWords(t.a, float64(t.f.Verdict.Direction))
	if t.c.than.Text == "" {
		return study.Say("%s %s", t.c.subject, moved)
	}
	return study.Say("%s %s %s", t.c.subject, moved, t.c.than)
}

// numbers gives what a statistician looks for, after all that is said in plain words.
func (t teller) numbers() string {
	text := fmt.Sprintf("In numbers: %s; %s", t.interval(), pPhrase(t.f.Test.Deciding()))
	if t.f.Test.P != t.f.Test.Deciding() {
		text = fmt.Sprintf("In numbers: %s; adjusted %s", t.interval(), pPhrase(t.f.Test.Deciding()))
	}
	if v := t.f.Verdict; v.Code == analysis.Alike || v.Code == analysis.DifferentSmall {
		text += fmt.Sprintf("; %s interval %s, by which the two are practically the same",
			levelWords(t.f.EquivalenceCI.Level),
			interval(t.f.EquivalenceCI, decimalsFor(t.a.Scale)))
	}
	return text + "."
}

// withoutScatter reports whether the sign test stands in for a planned t test,
// because everybody moved by the same amount.
func (t teller) withoutScatter() bool { return t.f.Test.Method == method.Sign }

// signTest says what the sign test finds and why the planned test cannot.
func (t teller) signTest() string {
	why := fmt.Sprintf("The planned %s holds the mean against the scatter between people, and there is none",
		t.s.PlannedTest().Title())
	if t.f.Verdict.Against {
		return why + "; the exact " + method.Sign.Title() + " stands in its place."
	}
	return fmt.Sprintf("%s; the exact %s finds a difference (%s).", why, method.Sign.Title(),
		pPhrase(t.f.TestOfDifference().Deciding()))
}

func (t teller) notDifferent() []study.Said {
	f := t.f
	if math.IsNaN(f.Value) {
		return []study.Said{study.Say("No answer on “%s”: what was rated of %s hangs together too little.", t.a.Ask,
			t.c.between())}
	}
	if f.N == f.Pair.Moved.Same {
		return []study.Said{study.Say("No difference at all on “%s”: each of %s gave %s the same rating, so "+
			"there is "+
			"nothing to test.",
			t.a.Ask, people(f.N), t.c.between()), t.margin()}
	}
	first := study.Say("No clear difference on “%s” between %s: %s.", t.a.Ask, t.c.between(), t.amount())
	return []study.Said{first, t.looked(), t.counts(), t.margin(), partners(t.leavesOutZero()), partners(t.numbers())}
}

// difference is the amount found, or where tasting stopped as soon as there was enough evidence what it lies between:
// the mean exaggerates then.
func (t teller) difference() study.Said {
	if e := t.f.Evidence; e == nil || !e.Stopped {
		return t.amount()
	}
	n := decimalsFor(t.a.Scale)
	return study.Say("between %s and %s %s", signedFigure(t.f.CI.Lo, n), signedFigure(t.f.CI.Hi, n),
		pointsOf(t.a.Scale))
}

// amount is the difference in points: "+6.2 points of 100".
func (t teller) amount() study.Said {
	return study.Say("%s %s", signedFigure(t.f.Value, decimalsFor(t.a.Scale)), pointsOf(t.a.Scale))
}

// interval is the interval in words, with what the difference is when it is no mean.
func (t teller) interval() string {
	switch t.f.Measure {
	case method.MeanDifference, method.ModelDifference, method.AfterLooks, method.AtAnyMoment, "":
		return intervalPhrase(t.a, t.f)
	}
	return estimateWords(t.f) + "; " + intervalPhrase(t.a, t.f)
}

// estimateWords says what the difference of a finding is.
func estimateWords(f analysis.Finding) string {
	switch f.Measure {
	case method.HodgesLehmann, method.HodgesLehmannShift, method.HodgesLehmannWithin, method.MedianDifference:
		return "in the median"
	}
	return "on average"
}

// estimateName is what the difference of a finding is called.
func estimateName(f analysis.Finding) string {
	if estimateWords(f) == "in the median" {
		return "median difference"
	}
	switch f.Measure {
	case method.ModelDifference:
		return "difference by the model of every rating"
	case method.AfterLooks:
		return f.Measure.Title()
	}
	return "mean difference"
}

// intervalPhrase is the interval told with a finding. One that is adjusted says so,
// and so does one that is not while its p is.
func intervalPhrase(a study.Attribute, f analysis.Finding) string {
	ci := f.Stated()
	if ci.Absent() {
		return percent(f.CI.Level) + " interval " + absent
	}
	text := interval(ci, decimalsFor(a.Scale))
	switch together := percent(1 - float64(f.Family)*(1-ci.Level)); {
	case f.Family == 0:
		return levelWords(ci.Level) + " interval " + text
	case f.Adjusted.Level > 0:
		return fmt.Sprintf("interval %s, %s for the %d secondary findings together", text, together, f.Family)
	}
	return fmt.Sprintf("%s interval %s on its own: too few people for one that is adjusted as p is",
		levelWords(ci.Level), text)
}

// counts says who rated which higher.
func (t teller) counts() study.Said {
	m := t.f.Pair.Moved
	if t.byModel() {
		return study.Said{}
	}
	return study.Say("%d of %s rated %s higher, %d lower, %d the same.", m.Up, people(t.f.N), t.c.short[0], m.Down,
		m.Same)
}

// movedThatWay counts who moved with the difference.
func (t teller) movedThatWay() study.Said {
	if t.byModel() {
		return study.Said{}
	}
	with, against := t.f.Pair.Moved.Up, t.f.Pair.Moved.Down
	if t.f.Verdict.Direction < 0 {
		with, against = against, with
	}
	said := study.Say("%d of %s moved that way", with, people(t.f.N))
	if against > 0 {
		said = study.Say("%s, %d the other way", said, against)
	}
	if t.f.Pair.Moved.Same > 0 {
		said = study.Say("%s, %d not at all", said, t.f.Pair.Moved.Same)
	}
	return study.Say("%s.", said)
}

// sure says how sure it is that there is a difference, where [teller.acted] does not.
func (t teller) sure() study.Said {
	switch v := t.f.Verdict; {
	case v.Against:
		return study.Say("This is against the direction that the plan looked in: taste it again before you rely " +
			"on it.")
	case t.aside():
		return study.Said{}
	case v.Margin <= 0:
		return study.Say("That there is a difference is clear; how large a difference matters here, the plan " +
			"does not say.")
	}
	return study.Said{}
}

// againstTest says how a difference against the direction of the plan was found.
func (t teller) againstTest() string {
	if !t.f.Verdict.Against {
		return ""
	}
	return fmt.Sprintf("The planned test, which looks the other way, does not find it (%s); the interval shows it.",
		pPhrase(t.f.Test.Deciding()))
}

// holdsZero explains a test that finds a difference while the interval includes 0.
func (t teller) holdsZero() string {
	f, ci := t.f, t.f.Stated()
	if f.Verdict.Sameness || ci.Absent() || ci.Lo > 0 || ci.Hi < 0 {
		return ""
	}
	what := "includes 0"
	if ci.Lo == 0 || ci.Hi == 0 {
		what = "reaches to 0"
	}
	found := fmt.Sprintf("The planned test finds a difference (%s), while the interval %s: ",
		pPhrase(f.Test.Deciding()), what)
	alpha := t.s.Plan.Alpha
	switch {
	case f.Test.Method == method.Ordinal:
		return found + "the test looks at the order of the answers, the interval at the mean of their numbers."
	case f.Value == 0 && f.Kind == analysis.KindGroups:
		return fmt.Sprintf("The planned test finds that one group tends to rate higher (%s), while so many "+
			"ratings are equal that the median difference is 0.",
			pPhrase(f.Test.Deciding()))
	case f.Value == 0:
		return fmt.Sprintf("Of those who moved, most went that way, and the planned test finds it (%s); so many "+
			"did not move that the median difference is 0.",
			pPhrase(f.Test.Deciding()))
	case f.Role == analysis.Primary && oneSided(t.s.Plan) && 2*f.Test.P >= alpha:
		return found + "the test looks in one direction, the interval in both."
	case f.Family > 0 && f.Test.P*float64(f.Family) >= alpha:
		return found + "the adjustment of intervals is stricter than Holm’s of p."
	}
	if f.Kind == analysis.KindGroups {
		return found + "where ratings are equal the interval is the more careful of the two."
	}
	return found + "where people moved by equal amounts, or not at all, the interval is the more careful of the two."
}

// leavesOutZero explains a test that finds nothing while the interval leaves out 0.
func (t teller) leavesOutZero() string {
	f, ci := t.f, t.f.Stated()
	if ci.Absent() || ci.Lo <= 0 && ci.Hi >= 0 {
		return ""
	}
	if f.Test.P < t.s.Plan.Alpha {
		return fmt.Sprintf("The interval leaves out 0, but with all secondary comparisons adjusted together it "+
			"could be chance (adjusted %s).",
			pPhrase(f.Test.PAdjusted))
	}
	return fmt.Sprintf("The interval leaves out 0, but the planned test does not find a difference (%s).",
		pPhrase(f.Test.Deciding()))
}

// otherTest names a test beside the planned one that does not find what it finds.
func (t teller) otherTest() string {
	other, yes := t.f.Contradicted(t.s.Plan.Alpha)
	if !yes || t.f.Verdict.Against {
		return ""
	}
	p := pPhrase(other.P)
	if !math.IsNaN(other.PAdjusted) {
		p = "adjusted " + pPhrase(other.PAdjusted)
	}
	return fmt.Sprintf("The %s, beside the planned test, does not find it (%s): the answer leans on the choice of "+
		"test.", other.Name(), p)
}

// acted holds a difference that was found against the smallest worth acting on.
func (t teller) acted() study.Said {
	worth := t.worth()
	switch v := t.f.Verdict; {
	case v.Margin <= 0:
		return study.Said{}
	case t.aside():
		return t.actedAside(worth)
	case v.Code == analysis.DifferentAct:
		return study.Say("It is clear that it reaches %s.", worth)
	case v.Code == analysis.DifferentSmall:
		return study.Say("There is a difference, and it is clear that it is smaller than %s: the two are "+
			"practically the same.", worth)
	}
	switch {
	case t.f.Hint != nil:
		return study.Say("It is less certain than it looks, and whether it reaches %s is open.", worth)
	case t.f.Verdict.Against:
		return study.Say("Whether it reaches %s is open.", worth)
	}
	return study.Say("That there is a difference is clear; whether it reaches %s is open.", worth)
}

// aside reports whether the finding was not the main question: what is clear there is told
// as something to be asked again, never as something to act on.
func (t teller) aside() bool { return t.f.Role == analysis.Secondary }

// onTheSide begins the sentence on a difference that was not the main question.
func (t teller) onTheSide() study.Said { return onTheSide(t.f) }

func onTheSide(f analysis.Finding) study.Said {
	if f.Role != analysis.Secondary {
		return study.Said{}
	}
	return study.Say("Seen on the side: ")
}

// actedAside is acted of a difference that was not the main question.
func (t teller) actedAside(worth study.Said) study.Said {
	switch t.f.Verdict.Code {
	case analysis.DifferentAct:
		return study.Say("If that holds up, it reaches %s.", worth)
	case analysis.DifferentSmall:
		return study.Say("If that holds up, it is smaller than %s: the two are practically the same.", worth)
	}
	return study.Say("If that holds up, whether it reaches %s is open.", worth)
}

// margin says what it means that no difference was found.
func (t teller) margin() study.Said {
	switch v := t.f.Verdict; {
	case v.Code == analysis.Alike && v.Sameness:
		return study.Say("Any difference is smaller than %s.", t.worth())
	case v.Code == analysis.Alike:
		return study.Say("Any difference is smaller than %s: the two are practically the same.", t.worth())
	case v.Margin > 0:
		return study.Say("A difference of %s is still possible: this does not show that the two are the same.",
			t.worth())
	}
	return study.Say("A difference was not shown, and it was not ruled out either.")
}

func (t teller) worth() study.Said { return setOut(t.f.Verdict.Margin) }

func oneSided(p study.AnalysisPlan) bool { return p.Sides == study.Greater || p.Sides == study.Less }
