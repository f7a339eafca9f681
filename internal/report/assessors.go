package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Assessors says how well each assessor of a panel does, and what to practise. It names
// people, and is for the lead alone: no part of a [Page].
type Assessors struct {
	Intro    []string
	Practise []AssessorSaid // who has something to practise
	Able     string         // says of whom nothing was found to practise; "" for nobody
	On       []AssessorsOn
	Below    []string
}

// AssessorSaid is what one assessor may practise.
type AssessorSaid struct {
	Assessor string
	Lines    []string
}

// AssessorsOn are the measures of everybody on one attribute.
type AssessorsOn struct {
	Ask   string
	Lines []AssessorLine
}

// AssessorLine is one assessor on one attribute; "—" stands for what cannot be said.
type AssessorLine struct{ Assessor, Apart, Repeats, Agrees, Level, Spread string }

// AssessorsOf says in a language what was found of each assessor.
func AssessorsOf(s *study.Study, c *analysis.PanelCheck, tell func(study.Said) string) Assessors {
	v := voice(tell)
	a := Assessors{Intro: assessorsIntro(v, c), Below: assessorsBelow(v)}
	var able []string
	for _, who := range c.Assessors {
		if lines := practiceLines(v, s, c, who); len(lines) > 0 {
			a.Practise = append(a.Practise, AssessorSaid{who.Assessor, lines})
		} else {
			able = append(able, who.Assessor)
		}
	}
	if len(able) > 0 && c.Repeats > 0 {
		a.Able = v.say("Nothing found to practise: %s.", assessorsNamed(able))
	}
	for k, x := range s.Attributes {
		a.On = append(a.On, assessorsOn(v, x, k, c))
	}
	return a
}

// assessorsNamed lists assessors: "assessor 4", "assessors 4, 7 and 9".
func assessorsNamed(who []string) study.Said {
	if len(who) == 1 {
		return study.Say("assessor %s", who[0])
	}
	last := len(who) - 1
	return study.Say("assessors %s and %s", strings.Join(who[:last], ", "), who[last])
}

func assessorsIntro(v voice, c *analysis.PanelCheck) []string {
	lines := []string{v.say("These are hints for the next practice, not marks. Nobody but you sees this page: not " +
		"your partner, the kitchen, the floor or the assessors. Tell each person about their own ratings, in private.")}
	if c.Repeats == 0 {
		return append(lines, v.say("Nobody rated a sample twice, so that nobody can be told from chance: serve each "+
			"sample twice or three times to learn what to practise."))
	}
	return append(lines, v(checkedTimes(c.Repeats)), v.say("In a panel without any fault %s. Look for what comes up "+
		"again in the next study.", falseAlarms(c)))
}

func checkedTimes(n int) study.Said {
	if n == 1 {
		return study.Say("It was checked once whether somebody repeats as well as the others.")
	}
	return study.Say("It was checked %d times whether somebody repeats as well as the others.", n)
}

// falseAlarms says how often a check comes up where nobody has a fault: how many of them, or
// with which chance any does.
func falseAlarms(c *analysis.PanelCheck) study.Said {
	n, alpha := float64(c.Repeats), c.Alpha
	switch many := math.Round(n * alpha); {
	case n*alpha < 1:
		return study.Say("there is a chance of about %s that any of those checks comes up all the same",
			study.Figure(shareWords(1-math.Pow(1-alpha, n))))
	case many == 1:
		return study.Say("about one of those checks comes up all the same")
	default:
		return study.Say("about %s of those checks come up all the same", figure(many, 0))
	}
}

// practiceLines says to one assessor, kindly, what to practise on what.
func practiceLines(v voice, s *study.Study, c *analysis.PanelCheck,
	who analysis.AssessorCheck) (lines []string) {
	for k, on := range who.On {
		a := s.Attributes[k]
		for _, need := range on.Needs {
			lines = append(lines, v.say("“%s” %s", a.Ask, practiceWords(need, on, c.Attributes[k], a.Scale)))
		}
	}
	return lines
}

func practiceWords(need analysis.Practice, on analysis.AssessorOn, panel analysis.PanelOn,
	scale study.Scale) study.Said {
	n := decimalsFor(scale)
	switch need {
	case analysis.PracticeTelling:
		return study.Say("The panel tells the samples apart, these ratings follow it less than half as far. Taste " +
			"the two samples that differ most beside each other, with the codes open, and then blind again.")
	case analysis.PracticeDirection:
		return study.Say("The samples are rated the other way round than by the others. Look together at which end " +
			"of the scale is which, and at what the word means.")
	}
	return study.Say("Two ratings of the same sample scatter by %s points, in the whole panel by %s. Agree on a "+
		"reference for either end of the scale, and take more time for each sample.", figure(on.Repeatability, n),
		figure(panel.Repeatability, n))
}

func assessorsOn(v voice, a study.Attribute, k int, c *analysis.PanelCheck) AssessorsOn {
	n := decimalsFor(a.Scale)
	out := AssessorsOn{Ask: a.Ask}
	for _, who := range c.Assessors {
		on := who.On[k]
		l := AssessorLine{who.Assessor, none, none, none, none, none}
		for _, x := range []struct {
			to   *string
			v    float64
			text string
		}{{&l.Apart, on.P, v.inPercent(pPhrase(on.P))}, {&l.Repeats, on.Repeatability, v.figure(on.Repeatability, n)},
			{&l.Agrees, on.Agreement, v.figure(on.Agreement, 2)}, {&l.Level, on.AssessorQuality.Level,
				v.say("%s", signedFigure(on.AssessorQuality.Level, n))}, {&l.Spread, on.Spread,
				v.figure(on.Spread, 2)}} {
			if !math.IsNaN(x.v) && !math.IsInf(x.v, 0) {
				*x.to = x.text
			}
		}
		out.Lines = append(out.Lines, l)
	}
	return out
}

func assessorsBelow(v voice) []string {
	return []string{
		v.say("Tells apart: an analysis of variance of this assessor’s own ratings. Repeats within: the standard " +
			"deviation of ratings of the same sample, in points. Agrees: how the means of the samples go with those " +
			"of the others, from −1 to 1. Level: points above (+) or below (−) the others on the same samples. " +
			"Spread on the scale: points for each point of the others; below 1 the scale is used more narrowly, " +
			"above 1 more widely."),
		v.say("Measures: Næs & Solheim (1991), J. Sens. Stud. 6:159. ISO 8586 asks for assessors who tell samples " +
			"apart, repeat themselves and agree; how much of each is enough it leaves to you. Level and spread on " +
			"the scale are habits, and need no practice while the samples keep their order."),
	}
}

// WriteAssessors writes how well each assessor does, for a terminal.
func WriteAssessors(w io.Writer, s *study.Study, c *analysis.PanelCheck) error {
	var b strings.Builder
	a := AssessorsOf(s, c, English)
	textHeading(&b, "How each assessor did: "+s.Title)
	if s.Invented {
		b.WriteString("INVENTED DATA: made up to show how the program works.\n\n")
	}
	fmt.Fprintf(&b, "%s\n\n", strings.Join(a.Intro, "\n"))
	for _, x := range a.Practise {
		fmt.Fprintf(&b, "Assessor %s\n  %s\n", x.Assessor, strings.Join(x.Lines, "\n  "))
	}
	fmt.Fprintf(&b, "%s\n\n", a.Able)
	for _, on := range a.On {
		textHeading(&b, on.Ask)
		t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		fmt.Fprint(t, "assessor\ttells apart\trepeats within\tagrees\tlevel\tspread on the scale\n")
		for _, l := range on.Lines {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", l.Assessor, l.Apart, l.Repeats, l.Agrees, l.Level, l.Spread)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		b.WriteByte('\n')
	}
	fmt.Fprintln(&b, strings.Join(a.Below, "\n"))
	_, err := io.WriteString(w, b.String())
	return err
}
