package report

import (
	"fmt"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

func rankingFigures(v voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	return []Figure{rankingFigure(v, s, f)}
}

// rankingFigure draws how many people put each sample at each place, with its mean place
// above, the first sample on top.
func rankingFigure(v voice, s *study.Study, f analysis.Finding) Figure {
	sorted := byPlace(f)
	k := len(sorted)
	var names []string
	most := 1
	for i := range sorted { // the axis counts from below
		names = append(names, rowOf(analysis.Label(s, sorted[k-1-i].Sample))...)
		for _, n := range sorted[i].At {
			most = max(most, n)
		}
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0.5, Max: float64(k) + 0.5, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: noSplit(), AxisLabel: &opts.AxisLabel{Show: opts.Bool(false)}},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	table := DataTable{Headings: []string{v.say("Sample"), v.say("Mean place"), v.say("Rank sum")}}
	for place := range k {
		table.Headings = append(table.Headings, v.say("Place %d", place+1))
	}
	for i, x := range sorted {
		top := meanLine(i, k)
		row := []string{analysis.Label(s, x.Sample), v.figure(x.Mean, 2), fmt.Sprint(x.Sum)}
		for place, n := range x.At {
			row = append(row, fmt.Sprint(n))
			if n == 0 {
				continue
			}
			people := fmt.Sprint(n)
			d.marks(people, []point{{float64(place + 1), top - 1}}, stroke{colour: accentColour, symbol: "circle",
				size: sizeOfBlob(n, most), opacity: 1, label: []string{people}, side: "right"})
		}
		d.marks("mean", []point{{x.Mean, top}}, d.meanMark(v.figure(x.Mean, 1), "top"))
		table.Rows = append(table.Rows, row)
	}
	return Figure{
		ID: string(f.Kind), Title: v.say("Who put which sample where"), Height: 40 + rowHeight*k, Option: d.option(),
		Spoken: true, InWords: v.say(inWords),
		Alt: v.say("For each of %d samples how many of %s put it at each place, with its mean place; %s, with mean "+
			"place %s, is on top.", k, people(f.N), analysis.Label(s, sorted[0].Sample), figure(sorted[0].Mean, 1)),
		Legend: []LegendEntry{{"dot-up", v.say("people who put it there: the more, the larger the dot")},
			{"diamond", v.say("mean place")}},
		Left: v.say("first"), Right: v.say("last"),
		Data:    table,
		Caption: v.say("From left to right the places 1 to %d. Every person stands once in each line.", k),
	}
}
