package report

import (
	"fmt"
	"slices"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Expected is the part on what was expected of names before any tasting.
type Expected struct {
	Intro     []string
	Said      []Said // on the primary attribute
	Table     []Row
	Ways      []WayRow      // how far each name drew the ratings of its dish
	WaysBelow []string      // how to read them
	Asking    []NumberTable // whether being asked changed the tasting; none where everybody was asked
	Headings
}

// expectedIntro says how to read the part.
var expectedIntro = []string{
	"Exploratory: people read the names and said what they expect before anything was served. None of this belongs " +
		"to the planned tests, and p is not adjusted for the number of rows.",
	"Saying what one expects can itself change the rating that follows, and people may use a scale otherwise " +
		"before they have tasted.",
}

// expectedOf makes the part; nil when no name was read before tasting.
func expectedOf(s *study.Study, r *analysis.Result, notes *footnotes) *Expected {
	if len(r.Expected) == 0 {
		return nil
	}
	e := &Expected{Intro: expectedIntro, Headings: headingsOf(s, r.Expected)}
	for _, f := range r.Expected {
		e.Table = append(e.Table, expectedRow(s, f, notes))
		if f.Attribute == s.Plan.Attribute && f.N > 0 && !toldByWay(r.Ways, f) {
			e.Said = append(e.Said, expectedSaid(s, r, f))
		}
	}
	e.addWays(s, r.Ways, notes)
	e.addAsking(s, r.Asking)
	return e
}

// toldByWay reports whether what was expected beside blind is in the sentence of a way.
func toldByWay(ways []analysis.Way, f analysis.Finding) bool {
	return f.Kind == analysis.KindExpectedMinusBlind && slices.ContainsFunc(ways, func(w analysis.Way) bool {
		return w.Attribute == f.Attribute && w.Sample == f.Comparison[0] && !w.TooFew
	})
}

func expectedRow(s *study.Study, f analysis.Finding, notes *footnotes) Row {
	a, b := f.Comparison[0], f.Comparison[1]
	x := rowNames{clear: f.Verdict.Different()}
	switch f.Kind {
	case analysis.KindExpected:
		x.compared = fmt.Sprintf("expected of “%s” minus “%s”", s.NameText(a), s.NameText(b))
		x.pair = fmt.Sprintf("%s − %s, expected", a, b)
	case analysis.KindExpectedMinusBlind:
		x.compared = fmt.Sprintf("%s: expected minus rated blind", analysis.Label(s, a))
		x.pair = fmt.Sprintf("%s, expected − blind", a)
	default:
		x.compared = fmt.Sprintf("%s: expected minus rated", analysis.Label(s, a))
		x.pair = fmt.Sprintf("%s, expected − rated", a)
	}
	return rowAs(s, f, x, notes)
}

func expectedSaid(s *study.Study, r *analysis.Result, f analysis.Finding) Said {
	said := Said{Outcome: outcomeOf(f.Verdict)}
	switch f.Kind {
	case analysis.KindExpected:
		said.Text = saidOfNames(s, r, f)
	case analysis.KindExpectedMinusBlind:
		said.Text = saidOfPromise(s, f)
	default:
		said.Text = saidOfTaste(s, f)
	}
	return said
}

// fewSaid says that a finding on what was expected rests on too few people; "" when
// it does not.
func fewSaid(s *study.Study, f analysis.Finding, what string) string {
	if f.Verdict.Code != analysis.TooFew {
		return ""
	}
	a, _ := s.Attribute(f.Attribute)
	if f.N == 0 {
		return fmt.Sprintf("%s on “%s”: nobody can be compared.", upperFirst(what), a.Ask)
	}
	return fmt.Sprintf("%s on “%s”: too few to say (%s).", upperFirst(what), a.Ask, numbersOf(a, f))
}

// numbersOf is a difference of what was expected, in figures.
func numbersOf(a study.Attribute, f analysis.Finding) string {
	return fmt.Sprintf("%s %s (%s; %s)", signed(f.Value, decimalsFor(a.Scale)), points(a.Scale), intervalPhrase(a, f),
		people(f.N))
}

// saidOfNames says what was expected of two names, and whether the ratings went
// that way.
func saidOfNames(s *study.Study, r *analysis.Result, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	x, y := s.NameText(f.Comparison[0]), s.NameText(f.Comparison[1])
	if few := fewSaid(s, f, fmt.Sprintf("what was expected of “%s” and of “%s”", x, y)); few != "" {
		return few
	}
	if !f.Verdict.Different() {
		return fmt.Sprintf("Before tasting, no clear difference between what was expected of “%s” and of “%s” on "+
			"“%s”: %s.", x, y, a.Ask, numbersOf(a, f))
	}
	text := fmt.Sprintf("Before tasting, “%s” was expected to be %s than “%s”: %s.", x,
		expectedToBe(wordingOf(a), float64(f.Verdict.Direction)), y, numbersOf(a, f))
	return text + whetherFollowed(s, r, f)
}

// expectedToBe words the direction of what was expected.
func expectedToBe(w wording, difference float64) string {
	toward := w.toward(difference)
	switch {
	case w.verb == "was liked":
		return "liked " + toward
	case strings.HasPrefix(toward, "higher on "), strings.HasPrefix(toward, "lower on "):
		return "rated " + toward
	}
	return toward
}

// whetherFollowed compares the direction of what was expected with that of the
// ratings; "" when the samples differ in more than their names. Two names do not tell
// which of them moved a rating, so that no more is said here than the direction.
func whetherFollowed(s *study.Study, r *analysis.Result, f analysis.Finding) string {
	x, _ := s.Sample(f.Comparison[0])
	y, _ := s.Sample(f.Comparison[1])
	direction, outcome := ratedDirection(r, f.Attribute, x.ID, y.ID)
	switch {
	case x.Dish != y.Dish || outcome == NoAnswer:
		return ""
	case outcome == Unclear:
		return " When they tasted the same dish under both names, there was no clear difference."
	case direction == f.Verdict.Direction:
		return " When they tasted the same dish under both names, the ratings differed the same way."
	}
	return " When they tasted the same dish under both names, the ratings differed the other way."
}

// ratedDirection is in which direction the ratings of a differ from those of b.
func ratedDirection(r *analysis.Result, on study.AttributeID, a, b study.SampleID) (direction int, outcome Outcome) {
	for _, rated := range r.Findings {
		if rated.Attribute != on {
			continue
		}
		switch {
		case rated.Compares([2]study.SampleID{a, b}):
			return rated.Verdict.Direction, outcomeOf(rated.Verdict)
		case rated.Compares([2]study.SampleID{b, a}):
			return -rated.Verdict.Direction, outcomeOf(rated.Verdict)
		}
	}
	return 0, NoAnswer
}

// saidOfTaste says how a sample was rated against what its name led people to expect.
func saidOfTaste(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	label := analysis.Label(s, f.Comparison[0])
	if few := fewSaid(s, f, fmt.Sprintf("%s, expected minus rated", label)); few != "" {
		return few
	}
	numbers := fmt.Sprintf("expected %s, rated %s, difference %s", number(f.Pair.Means[0], n),
		number(f.Pair.Means[1], n), numbersOf(a, f))
	if !f.Verdict.Different() {
		return fmt.Sprintf("%s: no clear difference between what the name led people to expect on “%s” and what "+
			"they rated: %s.", upperFirst(label), a.Ask, numbers)
	}
	return fmt.Sprintf("%s: %s was expected than was found on “%s”: %s.", upperFirst(label), moreOrLess(f), a.Ask,
		numbers)
}

func moreOrLess(f analysis.Finding) string {
	if f.Verdict.Direction < 0 {
		return "less"
	}
	return "more"
}

// saidOfPromise says what a name promised beside the same dish served blind. How far the
// rating went that way is told by [wayText].
func saidOfPromise(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	label := analysis.Label(s, f.Comparison[0])
	if few := fewSaid(s, f, fmt.Sprintf("%s, expected minus rated blind", label)); few != "" {
		return few
	}
	if !f.Verdict.Different() {
		return fmt.Sprintf("%s: no clear difference between what the name led people to expect on “%s” and how the "+
			"same dish was rated blind: %s.",
			upperFirst(label), a.Ask, numbersOf(a, f))
	}
	return fmt.Sprintf("%s: the name promised %s on “%s” than the same dish was rated blind: %s.", upperFirst(label),
		moreOrLess(f), a.Ask, numbersOf(a, f))
}
