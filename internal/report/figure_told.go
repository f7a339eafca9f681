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
func toldFigure(s *study.Study, f analysis.Finding) Figure {
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
	data := DataTable{Headings: []string{"", "Right answers"}, Rows: [][]string{
		{"Counted, of " + answers(f.N).String(), fmt.Sprint(t.Right)}, {"If everybody guessed, about",
			number(guessed, 1)}}}
	legend := []LegendEntry{{"diamond", "right answers"}, {"ink", fmt.Sprintf("if everybody guessed, about %s",
		number(guessed, 0))}}
	if t.Least <= f.N {
		upright("told apart", float64(t.Least), accentColour, "dotted")
		data.Rows = append(data.Rows, []string{"Told apart from", fmt.Sprint(t.Least)})
		legend = append(legend, LegendEntry{"apart", fmt.Sprintf("from %d on people tell them apart", t.Least)})
	}
	if a := t.Alike; a != nil && a.Most >= 0 {
		upright("pass for the same", float64(a.Most), greenColour, "dashed")
		data.Rows = append(data.Rows, []string{"So few tell that it passes unnoticed, up to", fmt.Sprint(a.Most)})
		legend = append(legend, LegendEntry{"least", fmt.Sprintf("up to %d so few tell that it passes unnoticed",
			a.Most)})
	}
	d.marks("right", []point{{float64(t.Right), 1}}, d.meanMark(fmt.Sprint(t.Right), "top"))
	return Figure{
		ID: "right-answers", Title: "How many answers were right", Height: 150, Option: d.option(), Legend: legend,
		Alt: fmt.Sprintf("%d of %s were right, on a line from none to all; about %s would be if everybody guessed.",
			t.Right, answers(f.N), number(guessed, 0)), Left: "none right", Right: "all right", Data: data,
		Caption: toldCaption(s, t),
	}
}

func toldCaption(s *study.Study, t *analysis.Told) string {
	text := fmt.Sprintf("Each cut has a risk of its own, fixed beforehand: alpha %g of calling guesses a difference",
		s.Plan.Alpha)
	if t.Alike != nil {
		text += fmt.Sprintf("; beta %g of calling alike what %s tell apart", s.Plan.Beta, peopleOf(t.Alike.Share))
	}
	return text + "."
}
