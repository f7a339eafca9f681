package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// toldFigure draws how many answers were right on a line from none to all, with what
// guessing gives, from where on people tell the samples apart and, where the plan asks it,
// up to where so few do that they pass for the same.
func toldFigure(v voice, s *study.Study, f analysis.Finding) Figure {
	t, n := f.Choice.Told, float64(f.N)
	step := max(1, niceStep(n, 5))
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: math.Ceil(n/step) * step, MinInterval: step, MaxInterval: step,
			AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 0, Max: 2, Show: opts.Bool(false), SplitLine: noSplit()},
		opts.Grid{Left: "16", Right: "16", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	upright := func(name string, x float64, colour, dash string) {
		d.line(name, []point{{x, 0}, {x, 2}}, stroke{colour: colour, width: 2, dash: dash, opacity: 1})
	}
	guessed := f.Choice.Chance * n
	upright("guessing", guessed, inkColour, "solid")
	data := DataTable{Headings: []string{"", v.say("Right answers")}, Rows: [][]string{
		{v.say("Counted, of %s", answers(f.N)), fmt.Sprint(t.Right)}, {v.say("If everybody guessed, about"),
			v.figure(guessed, 1)}}}
	legend := []LegendEntry{{"diamond", v.say("right answers")}, {"ink", v.say("if everybody guessed, about %s",
		figure(guessed, 0))}}
	if t.Least <= f.N {
		upright("told apart", float64(t.Least), accentColour, "dotted")
		data.Rows = append(data.Rows, []string{v.say("Told apart from"), fmt.Sprint(t.Least)})
		legend = append(legend, LegendEntry{"apart", v.say("from %d on people tell them apart", t.Least)})
	}
	if a := t.Alike; a != nil && a.Most >= 0 {
		upright("pass for the same", float64(a.Most), greenColour, "dashed")
		data.Rows = append(data.Rows, []string{v.say("So few tell that it passes unnoticed, up to"),
			fmt.Sprint(a.Most)})
		legend = append(legend, LegendEntry{"least", v.say("up to %d so few tell that it passes unnoticed",
			a.Most)})
	}
	d.marks("right", []point{{float64(t.Right), 1}}, d.meanMark(fmt.Sprint(t.Right), "top"))
	return Figure{
		ID: "right-answers", Title: v.say("How many answers were right"), Height: 150, Option: d.option(),
		Legend: legend, Spoken: true, InWords: v.say(inWords),
		Alt: v.say("Right: %d of %s, on a line from none to all; it would be about %s if everybody guessed.",
			t.Right, answers(f.N), figure(guessed, 0)), Left: v.say("none right"), Right: v.say("all right"),
		Data: data, Caption: toldCaption(v, s, t),
	}
}

func toldCaption(v voice, s *study.Study, t *analysis.Told) string {
	alpha := study.Figure(general(s.Plan.Alpha))
	if t.Alike == nil {
		return v.say("The cut has a risk of its own, fixed beforehand: alpha %s of calling guesses a difference.",
			alpha)
	}
	return v.say("Each cut has a risk of its own, fixed beforehand: alpha %s of calling guesses a difference; beta %s "+
		"of calling alike what %s tell apart.", alpha, study.Figure(general(s.Plan.Beta)), peopleOf(t.Alike.Share))
}
