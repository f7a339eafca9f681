package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// endingFigures draw how tasting came to its end where the plan looked early; none where it did not, or nothing
// was seen before the end.
func endingFigures(s *study.Study, f analysis.Finding) []Figure {
	switch {
	case f.Evidence != nil && f.N > 1:
		return []Figure{evidenceFigure(f)}
	case f.Looks != nil && len(f.Looks.Taken) > 1:
		return []Figure{looksFigure(s, f)}
	}
	return nil
}

// endingDrawing has people to the right, up to those planned, and values upwards.
func endingDrawing(planned int, low, high float64) *drawing {
	_, to, step := roomyRange(0, float64(planned), 5)
	from, top, up := roomyRange(low, high, 4)
	return newDrawing(opts.XAxis{Type: "value", Min: 0, Max: to, MinInterval: step, MaxInterval: step,
		AxisLine: axisLine(), AxisTick: noTick(), SplitLine: noSplit(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: from, Max: top, MinInterval: up, MaxInterval: up, SplitLine: quietLine(),
			AxisLabel: axisLabel(), AxisLine: noLine()},
		opts.Grid{Left: "8", Right: "16", Top: "12", Bottom: "8", ContainLabel: opts.Bool(true)})
}

// evidenceFigure draws evidence after each person, in the order in which they came, against what is enough; in
// powers of ten, so that as much more for a difference is as far up as it is down against one.
func evidenceFigure(f analysis.Finding) Figure {
	e := f.Evidence
	enough := e.Enough() / math.Ln10
	low, high := 0.0, enough
	path := []point{{0, 0}}
	table := DataTable{Headings: []string{"People", "Evidence", "ln E"}}
	for i, step := range e.Steps {
		y := step / math.Ln10
		path = append(path, point{float64(i + 1), y})
		low, high = min(low, y), max(high, y)
		table.Rows = append(table.Rows, []string{fmt.Sprint(i + 1), analysis.Odds(step), number(step, 3)})
	}
	d := endingDrawing(max(e.Planned, f.N), low, high)
	d.line("enough", []point{{0, enough}, {float64(max(e.Planned, f.N)), enough}},
		stroke{colour: accentColour, width: 2, dash: "dotted", opacity: 1})
	d.line("evidence", path, stroke{colour: inkColour, width: 2, dash: "solid", opacity: 1})
	d.marks("last", path[len(path)-1:], d.meanMark(analysis.Odds(e.LogE()), "left"))
	return Figure{
		ID: "evidence", Title: "Evidence for a difference as people came", Height: 320, Option: d.option(),
		Alt: fmt.Sprintf("Evidence for a difference after each person: %s after %d of at most %d people; %s is enough.",
			analysis.Odds(e.LogE()), f.N, e.Planned, analysis.Odds(e.Enough())),
		Legend: []LegendEntry{{"ink", "evidence after each person"},
			{"apart", "from here on there is enough: " + analysis.Odds(e.Enough())}},
		Left: "first person", Right: fmt.Sprintf("people: at most %d were planned", e.Planned), Data: table,
		Caption: "Upwards: evidence in powers of ten (0 is 1 to 1, 1 is 10 to 1). To the right: people, in the " +
			"order in " +
			"which they came.",
	}
}

// looksFigure draws the mean difference at each look between the bounds at which tasting stops.
func looksFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale) + 1
	l := f.Looks
	var means, upper, lower []point
	low, high := 0.0, 0.0
	table := DataTable{Headings: []string{"People", "Mean difference", "Stops from", "Answer"}}
	for _, x := range l.Taken {
		at, bound := float64(x.People), x.Critical*x.SE
		row := []string{fmt.Sprint(x.People), signed(x.Difference, n), "none: nothing is left to spend", "go on"}
		means, low, high = append(means, point{at, x.Difference}), min(low, x.Difference), max(high, x.Difference)
		if !math.IsInf(bound, 0) && !math.IsNaN(bound) {
			upper, lower = append(upper, point{at, bound}), append(lower, point{at, -bound})
			low, high, row[2] = min(low, -bound), max(high, bound), "±"+number(bound, n)
		}
		if x.Reached {
			row[3] = "enough"
		}
		table.Rows = append(table.Rows, row)
	}
	last := l.Taken[len(l.Taken)-1]
	if !last.Reached && last.People >= l.Planned {
		table.Rows[len(table.Rows)-1][3] = "not clear"
	}
	d := endingDrawing(max(l.Planned, last.People), low, high)
	bounds := stroke{colour: accentColour, width: 2, dash: "dotted", opacity: 1}
	d.line("upwards", upper, bounds)
	d.line("downwards", lower, bounds)
	d.line("means", means, stroke{colour: inkColour, width: 2, dash: "solid", opacity: 1})
	d.marks("last", means[len(means)-1:], d.meanMark(signed(last.Difference, n), "right"))
	return Figure{
		ID: "looks", Title: "The looks that the plan had", Height: 320, Option: d.option(),
		Alt: fmt.Sprintf("Mean difference at each of %d looks, between the bounds at which tasting stops: %s after "+
			"%d of "+
			"%d people.", len(l.Taken), signed(last.Difference, n), last.People, l.Planned),
		Legend: []LegendEntry{{"ink", "mean difference at each look"}, {"apart", "beyond these tasting stops"}},
		Left:   "first person", Right: fmt.Sprintf("people: %d were planned", l.Planned), Data: table,
		Caption: "Upwards: scale points, as one look would tell them. To the right: people who had rated both.",
	}
}
