package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// aboutRightKind tells whether samples are about right.
var aboutRightKind = kind{aboutRightVerdict, aboutRightAsked, aboutRightRow, aboutRightFigures}

// AboutRight is the part of the page on one attribute that was asked as too little, about
// right or too much.
type AboutRight struct {
	Row
	Simulated bool // as [Page.Simulated]
	Said      Said
	Liking    string // what the answers are held against, as it was asked
	Interval  string // heading: "95 % interval"
	Sides     []RightSide
	Moves     []RightMove
	Below     []string
}

// RightSide is what those who said too little, or too much, of a sample have in common.
type RightSide struct {
	Sample, Said             string
	People, Share            string // how many of how many; in per cent, with its interval
	Drop, Interval, Weighted string
	P                        string
	Few                      bool // fewer than a fifth of the people: greyed
}

// RightMove is how the same people answered to two samples.
type RightMove struct {
	Compared string
	People   int
	Moves    []string // who moved from where to where
	P        string
}

func aboutRightAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	of := "one sample"
	if n := len(f.Comparison); n > 1 {
		of = fmt.Sprintf("all %d samples", n)
	}
	return fmt.Sprintf("Asked beforehand: “%s” — %s, tasted by %s, held against “%s”.", a.Ask, of, people(f.N),
		askOf(s, f.AboutRight.Liking))
}

func askOf(s *study.Study, id study.AttributeID) string {
	a, _ := s.Attribute(id)
	return a.Ask
}

// rightTeller puts a finding into sentences.
type rightTeller struct {
	s *study.Study
	f analysis.Finding
	a study.Attribute
}

// told is one side of a sample, as sentences name it.
type told struct {
	analysis.RightSide
	of    analysis.RightSample
	label string // of the answer next to about right
	side  int    // [study.TooLittle] or [study.TooMuch]
}

// both are the two sides of a sample.
func (t rightTeller) both(x analysis.RightSample) []told {
	return []told{{x.Low, x, t.a.Scale.SideLabel(study.TooLittle), study.TooLittle},
		{x.High, x, t.a.Scale.SideLabel(study.TooMuch), study.TooMuch}}
}

// words are all answers of the side: of five, the one beyond counts with the one before it.
func (t rightTeller) words(x told) string {
	switch {
	case len(t.a.Scale.Labels) <= 3:
		return x.label
	case x.side == study.TooLittle:
		return x.label + " or less"
	}
	return x.label + " or more"
}

// sides are both sides of all samples, what weighs most on the liking first.
func (t rightTeller) sides() (all []told) {
	for _, x := range t.f.AboutRight.Samples {
		all = append(all, t.both(x)...)
	}
	slices.SortStableFunc(all, func(a, b told) int {
		return cmp.Compare(orNone(b.Weighted.Value), orNone(a.Weighted.Value))
	})
	return all
}

// orNone puts what could not be computed behind everything else.
func orNone(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(-1)
	}
	return v
}

// toChange are the sides on which something to change was found.
func (t rightTeller) toChange() []told {
	return slices.DeleteFunc(t.sides(), func(x told) bool { return !analysis.Verdict{Code: x.Verdict}.Different() })
}

// aboutRightVerdict says whether something has to change, what first, and how many said so.
func aboutRightVerdict(s *study.Study, f analysis.Finding) []study.Said {
	a, _ := s.Attribute(f.Attribute)
	t := rightTeller{s, f, a}
	switch v := f.Verdict; {
	case f.N == 0:
		return []study.Said{study.Say("No answer on “%s”.", a.Ask)}
	case v.Code == analysis.TooFew:
		return append([]study.Said{study.Say("Too few to say on “%s”: %s answered, and a verdict takes at least "+
			"%d.", a.Ask,
			people(f.N), analysis.Fewest(s.Plan.Alpha))}, t.ofTen()...)
	case v.Different():
		lines := append([]study.Said{t.changeFirst(), t.acted()}, t.others()...)
		return append(append(lines, t.ofTen()...), partners(t.numbers()))
	case v.Code == analysis.Alike:
		return append([]study.Said{study.Say("Asked “%s”, nothing has to change: on either side it is clear that "+
			"fewer than one in five say so, or that those who do like it as much.", a.Ask)}, append(t.ofTen(),
			partners(t.numbers()))...)
	}
	return append([]study.Said{study.Say("Asked “%s”, it was not shown that anything has to change, and it was "+
		"not ruled out either.", a.Ask)},
		append(t.ofTen(), partners(t.numbers()))...)
}

// changeFirst names what weighs most on the liking.
func (t rightTeller) changeFirst() study.Said {
	x := t.toChange()[0]
	of, many, right := analysis.LabelSaid(t.s, x.of.Sample), aboutOfTen(x.Share), t.a.Scale.SideLabel(study.JustRight)
	if t.f.Role == analysis.Secondary {
		return study.Say("Seen on the side: of %s, %s of ten people say “%s”, and they like it less than those "+
			"who say "+
			"“%s”, by %s on average.", of, many, x.label, right, t.drop(x))
	}
	return study.Say("Change this first: of %s, %s of ten people say “%s”, and they like it less than those who say "+
		"“%s”, by %s on average.", of, many, x.label, right, t.drop(x))
}

// drop is a drop in liking with its unit.
func (t rightTeller) drop(x told) study.Said {
	liking, _ := t.s.Attribute(t.f.AboutRight.Liking)
	return study.Say("%s %s", figure(x.Drop.Value, decimalsFor(liking.Scale)), pointsOf(liking.Scale))
}

// acted holds the drop that weighs most against the smallest worth acting on.
func (t rightTeller) acted() study.Said {
	worth := setOut(t.f.Verdict.Margin)
	switch v := t.f.Verdict; {
	case t.f.Role == analysis.Secondary:
		return study.Said{}
	case v.Margin <= 0:
		return study.Say("That they like it less is clear; how much less matters here, the plan does not say.")
	case v.Code == analysis.DifferentAct:
		return study.Say("Of at least one such group it is clear that they like it less by %s, or more.", worth)
	case v.Code == analysis.DifferentSmall:
		return study.Say("It is clear that no such group likes it less by as much as %s.", worth)
	}
	return study.Say("That they like it less is clear; whether by %s is open.", worth)
}

// others names what else has to change, and what does not.
func (t rightTeller) others() (lines []study.Said) {
	for _, x := range t.toChange()[1:] {
		lines = append(lines, study.Say("Also: of %s, %s of ten people say “%s”, and like it less by %s.",
			analysis.LabelSaid(t.s, x.of.Sample), aboutOfTen(x.Share), x.label, t.drop(x)))
	}
	return lines
}

// mostTold is how many samples sentences tell of; the table and the figure have them all.
const mostTold = 3

// ofTen says of each sample how many of ten people gave which answer.
func (t rightTeller) ofTen() (lines []study.Said) {
	labels := t.a.Scale
	for i, x := range t.f.AboutRight.Samples {
		if i == mostTold {
			return append(lines, study.Say("The other %d samples are in the table.",
				len(t.f.AboutRight.Samples)-mostTold))
		}
		parts := make([]study.Said, 3)
		for side := range parts {
			parts[side] = study.Say("%d said “%s”", x.Sides[side], labels.SideLabel(side))
		}
		if len(labels.Labels) > 3 { // the answer beyond counts with the one before it
			parts[study.TooLittle] = study.Say("%s or less", parts[study.TooLittle])
			parts[study.TooMuch] = study.Say("%s or more", parts[study.TooMuch])
		}
		lines = append(lines, study.Say("Of %s who answered on %s: %s and %s.", people(x.N),
			analysis.LabelSaid(t.s, x.Sample), inOrder(parts[:2], ", "), parts[2]))
	}
	return lines
}

func (t rightTeller) numbers() string {
	text := "In numbers:"
	for _, x := range t.sides() {
		if math.IsNaN(x.Test.P) {
			continue
		}
		liking, _ := t.s.Attribute(t.f.AboutRight.Liking)
		return fmt.Sprintf("%s “%s” of %s: drop %s; %s interval %s; "+
			"%s.", text, x.label, analysis.Label(t.s, x.of.Sample),
			t.drop(x), percent(x.Drop.CI.Level), interval(x.Drop.CI, decimalsFor(liking.Scale)),
			pPhrase(x.Test.Deciding()))
	}
	return text + " no drop in liking could be computed."
}

// aboutRightRow is the technical part of the finding.
func aboutRightRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	a, _ := s.Attribute(f.Attribute)
	r := Row{Ask: a.Ask, Compared: "about right", Attribute: string(f.Attribute), Pair: "about right",
		Role: string(f.Role), N: f.N, P: pValue(f.Test.Deciding()), Clear: v.Outcome == Clear,
		Notes: notes.ofAll(f.Warnings), Excluded: exclusionLines(f.Excluded)}
	liking, _ := s.Attribute(f.AboutRight.Liking)
	n := decimalsFor(liking.Scale)
	for _, x := range f.AboutRight.Samples {
		for side, y := range map[int]analysis.RightSide{study.TooLittle: x.Low, study.TooMuch: x.High} {
			if y.People == 0 { // nobody said so
				continue
			}
			of := fmt.Sprintf("%s, “%s”: ", x.Sample, a.Scale.SideLabel(side))
			test := testRow(y.Test)
			test.What = of + y.Test.Title
			r.Technical = append(r.Technical, test,
				TechRow{of + y.Drop.Measure.Title(), number(y.Drop.Value, n+1), interval(y.Drop.CI, n+1), none, none},
				TechRow{of + y.Weighted.Measure.Title(), number(y.Weighted.Value, n+1), interval(y.Weighted.CI, n+1),
					none, none})
		}
	}
	slices.SortStableFunc(r.Technical, func(a, b TechRow) int { return cmp.Compare(a.What, b.What) })
	for _, m := range f.AboutRight.Moves {
		test := testRow(m.Test)
		test.What = fmt.Sprintf("%s, %s: %s", m.First, m.Second, m.Test.Title)
		r.Technical = append(r.Technical, test)
	}
	return r
}

// aboutRightOf is the part of the page on the finding.
func aboutRightOf(s *study.Study, f analysis.Finding, r Row, v Verdict) AboutRight {
	a, _ := s.Attribute(f.Attribute)
	liking, _ := s.Attribute(f.AboutRight.Liking)
	n := decimalsFor(liking.Scale)
	out := AboutRight{Row: r, Said: Said{v.Outcome, v.Text()}, Liking: liking.Ask,
		Interval: percent(s.Plan.Level()) + " interval"}
	t := rightTeller{s, f, a}
	for _, x := range f.AboutRight.Samples {
		for _, y := range t.both(x) {
			row := RightSide{Sample: analysis.Label(s, x.Sample), Said: t.words(y), Few: y.Few(), P: none, Drop: none,
				People: fmt.Sprintf("%d of %d", x.Sides[y.side], x.N), Weighted: none,
				Share: fmt.Sprintf("%s, %s to %s", shareWords(y.Share), number(100*y.ShareCI.Lo, 0),
					shareWords(y.ShareCI.Hi))}
			if y.People > 0 && x.Liked.People > 0 {
				row.Drop, row.Interval = number(y.Drop.Value, n), interval(y.Drop.CI, n)
				row.Weighted, row.P = number(y.Weighted.Value, n), pValue(y.Test.Deciding())
			}
			out.Sides = append(out.Sides, row)
		}
	}
	for _, m := range f.AboutRight.Moves {
		out.Moves = append(out.Moves, rightMoveOf(s, a, m))
	}
	out.Below = rightBelow(s, f)
	return out
}

// rightMoveOf says who moved from which answer to which.
func rightMoveOf(s *study.Study, a study.Attribute, m analysis.RightMove) RightMove {
	out := RightMove{Compared: analysis.Label(s, m.First) + " to " + analysis.Label(s, m.Second), People: m.N,
		P: pValue(m.Test.Deciding())}
	for i, row := range m.Table {
		for j, n := range row {
			if i != j && n > 0 {
				out.Moves = append(out.Moves, fmt.Sprintf("%d from “%s” to “%s”", n, a.Scale.SideLabel(i),
					a.Scale.SideLabel(j)))
			}
		}
	}
	if still := m.N - m.Moved(); still > 0 {
		out.Moves = append(out.Moves, fmt.Sprintf("%d stayed", still))
	}
	return out
}

// rightBelow says how to read the tables.
func rightBelow(s *study.Study, f analysis.Finding) []string {
	lines := []string{
		"Drop: how much less those who said so liked the sample than those who said it was about right, on " +
			"average. " +
			"Drop × share: what the mean liking of all would gain if that drop were gone.",
		fmt.Sprintf("Greyed: fewer than %s of the people said so, the usual rule for leaving a side alone "+
			"(common practice, no source).", shareWords(analysis.ShareToAct)),
		"These go together, and the same guests said both at once: that liking drops does not show that changing " +
			"the " +
			"dish mends it. Taste the changed dish.",
	}
	if !math.IsNaN(f.Test.PAdjusted) {
		lines = append(lines, "p of the drops is adjusted for their number by "+method.Holm.Title()+
			"; each interval here is on its own.")
	}
	if len(f.AboutRight.Moves) > 1 {
		lines = append(lines, "p of who moved is adjusted for the pairs of samples by "+method.Holm.Title()+".")
	}
	return lines
}

// aboutRightNext says what to do after answers about right.
func aboutRightNext(f analysis.Finding) study.Said {
	switch n := f.Verdict.Next; {
	case f.Verdict.Code == analysis.TooFew:
		return study.Say("repeat it with at least %s, which is what a verdict takes.", morePeople(n.More))
	case n.Code == analysis.NextChange:
		return study.Say("change what is named first, and taste the changed dish against this one: only that " +
			"shows that it is " +
			"liked more.")
	case n.Code == analysis.NextRepeat && f.Role != analysis.Primary:
		return study.Say("repeat it as the main question of another study, before you rely on it.")
	case n.Code == analysis.NextRepeat && f.Verdict.Different():
		return study.Say("repeat it with more people if the size decides: whether the drop in liking reaches " +
			"what you would " +
			"act on is not settled.")
	case n.Code == analysis.NextRepeat:
		return study.Say("repeat it with more people before you change anything.")
	}
	return study.Say("let it rest.")
}
