package report

import (
	"fmt"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// earlyVerdict says what answers decided that were taken one by one. tell is what people
// would do.
func earlyVerdict(f analysis.Finding, tell study.Said) []study.Said {
	e := f.Choice.Told.Early
	right := rightText(f)
	stopped := study.Say("The answers decided after %d; at most %d were planned.", f.N, e.Most)
	later := study.Said{}
	if e.Later > 0 && e.State != choice.Undecided {
		later = study.Say("After that came %s, which the plan does not count.", answers(e.Later))
	}
	switch e.State {
	case choice.DecidedDifferent:
		return []study.Said{study.Say("People %s.", tell), stopped, right, later, partners(earlyNumbers(f))}
	case choice.DecidedSimilar:
		return []study.Said{study.Say("So few people would %s that it passes unnoticed: fewer than %s.", tell,
			peopleOf(e.Share)), stopped, right, later, partners(earlyNumbers(f))}
	}
	return []study.Said{study.Say("Whether people %s stays open.", tell), study.Say("%s did not decide; at most "+
		"%d were "+
		"planned.",
		answers(f.N), e.Most), right, partners(earlyNumbers(f))}
}

// earlyNumbers gives what a statistician looks for.
func earlyNumbers(f analysis.Finding) string {
	e := f.Choice.Told.Early
	n := float64(f.N)
	text := fmt.Sprintf("%s%s right; after %d answers the lines lie at %s and %s", inNumbers, shareWords(f.Value),
		f.N,
		number(e.Lines.Low+e.Lines.Slope*n, 1), number(e.Lines.High+e.Lines.Slope*n, 1))
	if e.State == choice.DecidedDifferent {
		text += "; that guesses alone decide so by then: " + pPhrase(f.Test.P)
	}
	return text + "."
}

// earlyNext says what to do after answers that were taken one by one.
func earlyNext(f analysis.Finding) study.Said {
	switch f.Choice.Told.Early.State {
	case choice.DecidedDifferent:
		return study.Say("do not let one stand in for the other: people notice.")
	case choice.DecidedSimilar:
		return study.Say("act on it, if you have a reason to change: one can stand in for the other.")
	}
	if e := f.Choice.Told.Early; f.N < e.Most {
		return study.Say("repeat it and go on until the answers decide: %d of the %d that were planned at most came.",
			f.N, e.Most)
	}
	return study.Say("repeat it with more people: plan a larger number at the most.")
}

// earlyAxes are those of [earlyFigure], with room for both lines.
func earlyAxes(e *analysis.ToldEarly, right int) (x opts.XAxis, y opts.YAxis) {
	most := float64(e.Most)
	_, to, step := roomyRange(0, most, 5)
	_, top, up := roomyRange(0, max(e.Lines.High+e.Lines.Slope*most, float64(right)), 4)
	return opts.XAxis{Type: "value", Min: 0, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: noSplit(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 0, Max: top, MinInterval: up, MaxInterval: up, SplitLine: quietLine(),
			AxisLabel: axisLabel(), AxisLine: axisLine()}
}

// earlyFigure draws the count of right answers after each one between the two lines of the
// plan, up to the most that it takes.
func earlyFigure(f analysis.Finding) Figure {
	e, right := f.Choice.Told.Early, f.Choice.Told.Right
	l, most := e.Lines, float64(e.Most)
	x, y := earlyAxes(e, right)
	d := newDrawing(x, y, opts.Grid{Left: "8", Right: "16", Top: "12", Bottom: "8", ContainLabel: opts.Bool(true)})
	d.line("told apart", []point{{0, l.High}, {most, l.High + l.Slope*most}}, stroke{colour: accentColour, width: 2,
		dash: "dotted", opacity: 1})
	if from := -l.Low / l.Slope; from < most { // where the line leaves 0
		d.line("unnoticed", []point{{from, 0}, {most, l.Low + l.Slope*most}}, stroke{colour: greenColour, width: 2,
			dash: "dashed", opacity: 1})
	}
	path, table := []point{{0, 0}}, DataTable{Headings: []string{"Answers", "Right", "Unnoticed up to", "Told " +
		"apart from"}}
	for i, count := range e.Steps {
		n := float64(i + 1)
		path = append(path, point{n, float64(count)})
		table.Rows = append(table.Rows, []string{fmt.Sprint(i + 1), fmt.Sprint(count), number(l.Low+l.Slope*n, 2),
			number(l.High+l.Slope*n, 2)})
	}
	d.line("right answers", path, stroke{colour: inkColour, width: 2, dash: "solid", opacity: 1})
	d.marks("last", path[len(path)-1:], d.meanMark(fmt.Sprint(right), "top"))
	return Figure{
		ID: "one-by-one", Title: "Right answers as they came", Height: 320, Option: d.option(),
		Alt: fmt.Sprintf("Right answers against all answers, between two lines: %d of %d when it ended; at most "+
			"%d were "+
			"planned.", right, f.N, e.Most),
		Legend: []LegendEntry{{"ink", "right answers after each one"},
			{"apart", "from here on people tell them apart"}, {"least", "up to here it passes unnoticed"}},
		Left: "first answer", Right: fmt.Sprintf("answers: at most %d were planned", e.Most), Data: table,
		Caption: "Upwards: right answers. To the right: all answers, in the order in which they came.",
	}
}

// earlyFact is the plan of answers taken one by one, for who checks the work.
func earlyFact(plan study.AnalysisPlan, most int) string {
	return fmt.Sprintf(", one by one until they decide, %d at the most: alpha %g where everybody guesses, beta %g "+
		"where "+
		"%s truly tell", most, plan.Alpha, plan.Beta, shareWords(plan.SmallestEffect))
}
