package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Expected is the part on what was expected of names before any tasting.
type Expected struct {
	Intro []string
	Said  []Said // on the primary attribute
	Table []Row
}

// expectedIntro says how to read the part.
var expectedIntro = []string{
	"Exploratory: people read the names and said what they expect before anything was served. None of this belongs to the planned tests, and p is not adjusted for the number of rows.",
	"Saying what one expects can itself change the rating that follows, and people may use a scale otherwise before they have tasted.",
}

// expectedMethod is its source among the methods.
const expectedMethod = "Expected minus rated (disconfirmation), and ratings that follow what was expected (assimilation) or go against it (contrast): " +
	"Cardello & Sawyer (1992), J. Sens. Stud. 7:253; Deliza & MacFie (1996), J. Sens. Stud. 11:103; both cited from memory."

// expectedOf makes the part; nil when no name was read before tasting.
func expectedOf(s *study.Study, r *analysis.Result, notes *footnotes) *Expected {
	if len(r.Expected) == 0 {
		return nil
	}
	e := &Expected{Intro: expectedIntro}
	for _, f := range r.Expected {
		e.Table = append(e.Table, expectedRow(s, f, notes))
		if f.Attribute == s.Plan.Attribute && f.N > 0 {
			e.Said = append(e.Said, expectedSaid(s, r, f))
		}
	}
	return e
}

func expectedRow(s *study.Study, f analysis.Finding, notes *footnotes) Row {
	a, b := f.Comparison[0], f.Comparison[1]
	clear := f.Test.P < s.Plan.Alpha
	if f.Kind == analysis.KindExpected {
		return rowAs(s, f, rowNames{
			fmt.Sprintf("expected of “%s” minus “%s”", s.NameText(a), s.NameText(b)),
			fmt.Sprintf("%s − %s, expected", a, b), clear}, notes)
	}
	return rowAs(s, f, rowNames{fmt.Sprintf("%s: expected minus rated", analysis.Label(s, a)), fmt.Sprintf("%s, expected − rated", a), clear}, notes)
}

func expectedSaid(s *study.Study, r *analysis.Result, f analysis.Finding) Said {
	said := Said{Outcome: Unclear}
	switch {
	case math.IsNaN(f.Test.P):
		said.Outcome = NoAnswer
	case f.Test.P < s.Plan.Alpha:
		said.Outcome = Clear
	}
	if f.Kind == analysis.KindExpected {
		said.Text = saidOfNames(s, r, f, said.Outcome == Clear)
	} else {
		said.Text = saidOfTaste(s, f, said.Outcome == Clear)
	}
	return said
}

// saidOfNames says what was expected of two names, and whether the ratings went
// that way.
func saidOfNames(s *study.Study, r *analysis.Result, f analysis.Finding, clear bool) string {
	a, _ := s.Attribute(f.Attribute)
	x, y := s.NameText(f.Comparison[0]), s.NameText(f.Comparison[1])
	numbers := fmt.Sprintf("%s %s (%s; %s)", signed(f.Difference, decimalsFor(a.Scale)), points(a.Scale), intervalPhrase(a, f), people(f.N))
	if !clear {
		return fmt.Sprintf("Before tasting, no clear difference between what was expected of “%s” and of “%s” on “%s”: %s.", x, y, a.Ask, numbers)
	}
	w := wordingOf(a)
	text := fmt.Sprintf("Before tasting, “%s” was expected to be %s than “%s”: %s.", x, expectedToBe(w, f.Difference), y, numbers)
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
// ratings; "" when the samples differ in more than their names.
func whetherFollowed(s *study.Study, r *analysis.Result, f analysis.Finding) string {
	x, _ := s.Sample(f.Comparison[0])
	y, _ := s.Sample(f.Comparison[1])
	for _, rated := range r.Findings {
		if rated.Comparison != f.Comparison || rated.Attribute != f.Attribute || x.Dish != y.Dish {
			continue
		}
		switch p := decidingP(rated); {
		case math.IsNaN(p):
			return ""
		case p >= s.Plan.Alpha:
			return " When they tasted the same dish under both names, there was no clear difference."
		case (rated.Difference > 0) == (f.Difference > 0):
			return " When they tasted the same dish under both names, the ratings went the same way, towards what was expected (assimilation)."
		}
		return " When they tasted the same dish under both names, the ratings went the other way, away from what was expected (contrast)."
	}
	return ""
}

// saidOfTaste says how a sample was rated against what its name led people to expect.
func saidOfTaste(s *study.Study, f analysis.Finding, clear bool) string {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	numbers := fmt.Sprintf("expected %s, rated %s, difference %s %s (%s; %s)",
		number(f.Means[0], n), number(f.Means[1], n), signed(f.Difference, n), points(a.Scale), intervalPhrase(a, f), people(f.N))
	label := analysis.Label(s, f.Comparison[0])
	if !clear {
		return fmt.Sprintf("%s: no clear difference between what the name led people to expect on “%s” and what they rated: %s.", upperFirst(label), a.Ask, numbers)
	}
	way := "lower"
	if f.Difference < 0 {
		way = "higher"
	}
	return fmt.Sprintf("%s was rated %s on “%s” than its name had led people to expect: %s.", upperFirst(label), way, a.Ask, numbers)
}
