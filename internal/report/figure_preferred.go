package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// preferredFigures draw the share of those who chose that chose the first sample, with its
// interval, between all for the one and all for the other.
func preferredFigures(v voice, s *study.Study, f analysis.Finding) []Figure {
	if f.CI.Absent() || math.IsNaN(f.Value) {
		return nil
	}
	p, c := f.Choice.Preferred, contrastOf(s, f.Two())
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: 100, MinInterval: 25, MaxInterval: 25, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 0, Max: 2, Show: opts.Bool(false), SplitLine: noSplit()},
		opts.Grid{Left: "16", Right: "16", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	upright := func(name string, share float64, colour, dash string) {
		d.line(name, []point{{100 * share, 0}, {100 * share, 2}}, stroke{colour: colour, width: 1.5, dash: dash,
			opacity: 1})
	}
	upright("half", f.Choice.Chance, inkColour, "solid")
	legend := []LegendEntry{{"interval", v.say("share who chose %s, with its %s interval", c.names()[0],
		v.inPercent(levelWords(f.CI.Level)))}, {"ink", v.say("half chose each")}}
	if worth := f.Choice.Chance + f.Verdict.Margin; f.Verdict.Margin > 0 {
		upright("smallest worth acting on", worth, greenColour, "dashed")
		upright("smallest worth acting on", 1-worth, greenColour, "dashed")
		legend = append(legend, LegendEntry{"least", v.say("smallest share worth acting on (%s)",
			v.inPercent(shareWords(worth)))})
	}
	d.line("interval", []point{{100 * f.CI.Lo, 1}, {100 * f.CI.Hi, 1}}, stroke{colour: inkColour, width: 5,
		dash: "solid", opacity: 1})
	d.marks("share", []point{{100 * f.Value, 1}}, d.meanMark(v.inPercent(shareWords(f.Value)), "top"))
	counts := [][]string{{c.names()[0], fmt.Sprint(p.First)}, {c.names()[1], fmt.Sprint(p.Second)}}
	if p.None > 0 {
		counts = append(counts, []string{v.say("Neither"), fmt.Sprint(p.None)})
	}
	return []Figure{{
		ID: "chosen", Title: v.say("Who chose which"), Height: 140, Option: d.option(), Legend: legend,
		Spoken: true, InWords: v.say(inWords),
		Alt: v.say("A line from all who chose %s to all who chose %s: %s of those who chose are for %s (%s).",
			c.names()[1], c.names()[0], v.inPercent(shareWords(f.Value)), c.names()[0],
			v.say("%s to %s %%", figure(100*f.CI.Lo, 0), figure(100*f.CI.Hi, 0))),
		Left: v.say("all for %s", c.names()[1]), Right: v.say("all for %s", c.names()[0]),
		Data:    DataTable{Headings: []string{v.say("Chosen"), v.say("Answers")}, Rows: counts},
		Caption: v.say("In percent of those who chose one of the two."),
	}}
}
