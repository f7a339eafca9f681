package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/stats/profile"
	"cloche/internal/study"
)

// ProfilePart is the part of the page on what each sample is like, and on the panel as a
// whole. It knows of no single assessor.
type ProfilePart struct {
	Simulated bool     // as [Page.Simulated]
	Said      []string // of each sample, in what it stands out
	Map       []string // how to read the map, or why there is none
	Panel     []PanelLine
	Level     string // "95 %"
	Below     []string
}

// PanelLine is the panel on one attribute.
type PanelLine struct{ Ask, Apart, Alike, Repeats, One, Whole string }

// profileOf is the part of a study that describes its samples; nil for any other.
func profileOf(s *study.Study, r *analysis.Result) *ProfilePart {
	if r.Profile == nil {
		return nil
	}
	p := &ProfilePart{Map: mapSaid(s, r.Profile), Level: percent(s.Plan.Level())}
	for _, x := range s.Samples {
		p.Said = append(p.Said, standsOut(s, r, x.ID))
	}
	for _, on := range r.Profile.Panel {
		p.Panel = append(p.Panel, panelLine(s, r, on))
	}
	p.Below = panelLinesBelow()
	return p
}

// standsOut says on which attributes a sample lies above all others, or below all, told apart
// from each of them.
func standsOut(s *study.Study, r *analysis.Result, id study.SampleID) string {
	var high, low []string
	for _, f := range ofKind(r.Findings, analysis.KindPanel) {
		if outcomeOf(f.Verdict) != Clear {
			continue
		}
		a, _ := s.Attribute(f.Attribute)
		switch extreme(f, id, s.Plan.Alpha) {
		case 1:
			high = append(high, "“"+a.Ask+"”")
		case -1:
			low = append(low, "“"+a.Ask+"”")
		}
	}
	name := upperFirst(analysis.Label(s, id))
	switch {
	case len(high)+len(low) == 0:
		return name + ": on no question told apart from all the others at once."
	case len(low) == 0:
		return fmt.Sprintf("%s: higher than every other on %s.", name, andJoin(high))
	case len(high) == 0:
		return fmt.Sprintf("%s: lower than every other on %s.", name, andJoin(low))
	}
	return fmt.Sprintf("%s: higher than every other on %s, and lower than every other on %s.", name, andJoin(high),
		andJoin(low))
}

// extreme is 1 where a sample is told apart from every other one and lies above them all, −1
// where below them all, else 0.
func extreme(f analysis.Finding, id study.SampleID, alpha float64) int {
	above, below, others := 0, 0, 0
	for _, p := range f.Panel.Pairs {
		if p.First != id && p.Second != id {
			continue
		}
		others++
		if !(p.Test.PAdjusted < alpha) {
			continue
		}
		if (p.First == id) == (p.Difference > 0) {
			above++
		} else {
			below++
		}
	}
	switch {
	case others > 0 && above == others:
		return 1
	case others > 0 && below == others:
		return -1
	}
	return 0
}

// andJoin joins words as a sentence lists them.
func andJoin(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// mapSaid says how much the map shows and of whom it is, or why there is none.
func mapSaid(s *study.Study, x *analysis.Profile) []string {
	m := x.Map
	if m == nil {
		return []string{upperFirst(x.NoMap.Text) + "."}
	}
	lines := []string{fmt.Sprintf("Of what sets the means of the samples apart on %d attributes, the map shows %s "+
		"from left "+
		"to right and %s from bottom to top. Samples whose ellipses overlap may change places with another panel.",
		len(m.Attributes), shareWords(m.Explained[0]), shareWords(m.Explained[1]))}
	if len(m.Left) > 0 {
		var asks []string
		for _, id := range m.Left {
			a, _ := s.Attribute(id)
			asks = append(asks, "“"+a.Ask+"”")
		}
		lines = append(lines, fmt.Sprintf("Not on the map, because the samples are not told apart on it: %s.",
			andJoin(asks)))
	}
	for _, w := range m.Warnings {
		lines = append(lines, upperFirst(w.Text)+".")
	}
	return lines
}

func panelLine(s *study.Study, r *analysis.Result, on analysis.PanelOn) PanelLine {
	a, _ := s.Attribute(on.Attribute)
	l := PanelLine{Ask: a.Ask, Apart: none, Alike: none, Repeats: none, One: iccText(on.One), Whole: iccText(on.Whole)}
	for _, f := range ofKind(r.Findings, analysis.KindPanel) {
		if p := f.Test.Deciding(); f.Attribute == on.Attribute && !math.IsNaN(p) {
			l.Apart = yesNo(p < s.Plan.Alpha, "yes", "not clear") + " (" + pPhrase(p) + ")"
		}
	}
	if !math.IsNaN(on.P) {
		l.Alike = yesNo(on.P < s.Plan.Alpha, "no", "no sign that they do not") + " (" + pPhrase(on.P) + ")"
	}
	if !math.IsNaN(on.Repeatability) {
		l.Repeats = number(on.Repeatability, decimalsFor(a.Scale))
	}
	return l
}

func yesNo(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

func iccText(c profile.ICC) string {
	if math.IsNaN(c.Value) || math.IsInf(c.Value, 0) {
		return none
	}
	if c.CI.Absent() || math.IsInf(c.CI.Lo, 0) || math.IsInf(c.CI.Hi, 0) {
		return number(c.Value, 2)
	}
	return fmt.Sprintf("%s (%s)", number(c.Value, 2), interval(c.CI, 2))
}

func panelLinesBelow() []string {
	return []string{
		"“Sees samples alike” asks whether assessors differ in how they see the samples by more than one of them " +
			"differs from one tasting to the next. “Repeats within” is the standard deviation of a second rating by " +
			"the same person, in points.",
		"The correlations say how well the samples’ means of one assessor go with those of another, and the panel’s " +
			"with those of another such panel: 1 is complete agreement, 0 none. A person’s own level does not count.",
	}
}
