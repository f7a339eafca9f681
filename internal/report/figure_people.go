package report

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// What the figure of people takes, in pixels.
const (
	personHigh   = 12 // of each
	leastPeople  = 180
	mostOfPeople = 560
	underPeople  = 48 // the axis
)

// peopleFigures draw how each person is moved, where it was found that people differ: what is
// their own, drawn towards the mean of all as far as noise makes it. Where that was not
// found there is nothing to tell one from another by.
func peopleFigures(s *study.Study, f analysis.Finding) []Figure {
	p := f.People
	if p == nil || !p.Differ(s.Plan.Alpha) || len(p.ShrunkenHalf) == 0 {
		return nil
	}
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	order := make([]int, p.N)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(p.Shrunken[i], p.Shrunken[j]) })
	left, right := wayWords(s, f)
	return []Figure{{
		ID: "people", Title: "How far each person is moved, without the noise", Option: drawPeople(p, order),
		Height: min(max(leastPeople, p.N*personHigh), mostOfPeople) + underPeople,
		Alt: fmt.Sprintf("A dot for each of %s at what is estimated to be their own difference, from %s to %s %s, "+
			"each on a line for its interval. The mean of all is %s.", people(p.N), signed(p.Shrunken[order[0]], n),
			signed(p.Shrunken[order[p.N-1]], n), points(a.Scale), signed(p.Mean, n)),
		Legend: []LegendEntry{
			{"dot-up", fmt.Sprintf("a person’s own difference, with its %s interval", percent(s.Plan.Level()))},
			{"dot-down", "mean of what the person said"}, {"least", "mean of all"}},
		Left: left, Right: right, Data: peopleNumbers(s, f, order),
		Caption: fmt.Sprintf("From %d pairs each. A person’s own difference is drawn from what they said towards the "+
			"mean of all, the more so the noisier answers are; so few answers say little of one person.", p.Replicates),
	}}
}

// drawPeople has people from below in the order given.
func drawPeople(p *analysis.PeoplePart, order []int) template.JS {
	lo, hi := 0.0, 0.0
	for i, each := range p.Each {
		lo, hi = min(lo, p.Own(i).Lo, stats.Mean(each)), max(hi, p.Own(i).Hi, stats.Mean(each))
	}
	from, to, step := roomyRange(lo, hi, 6)
	top := float64(len(order))
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: -1, Max: top, Show: opts.Bool(false), SplitLine: noSplit()},
		opts.Grid{Left: "16", Right: "16", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	d.line("no difference", []point{{0, -1}, {0, top}}, stroke{colour: inkColour, width: 1.5, dash: "solid",
		opacity: 1})
	d.line("mean of all", []point{{p.Mean, -1}, {p.Mean, top}}, stroke{colour: greenColour, width: 1.5, dash: "dashed",
		opacity: 1})
	var own, said []point
	for at, i := range order {
		y, ci := float64(at), p.Own(i)
		d.line("interval", []point{{ci.Lo, y}, {ci.Hi, y}}, stroke{colour: accentColour, width: 2, dash: "solid",
			opacity: 0.5})
		own, said = append(own, point{p.Shrunken[i], y}), append(said, point{stats.Mean(p.Each[i]), y})
	}
	d.marks("said", said, stroke{colour: inkColour, symbol: "circle", size: 5, opacity: 1, hollow: true})
	d.marks("own", own, stroke{colour: accentColour, symbol: "circle", size: 8, opacity: 1})
	return d.option()
}

// peopleNumbers are those of the figure, the person who is moved most first.
func peopleNumbers(s *study.Study, f analysis.Finding, order []int) DataTable {
	a, _ := s.Attribute(f.Attribute)
	p, n := f.People, decimalsFor(a.Scale)
	t := DataTable{Headings: []string{"Assessor", "Mean of what they said", "Their own, estimated",
		percent(s.Plan.Level()) + " interval"}}
	for _, i := range slices.Backward(order) {
		t.Rows = append(t.Rows, []string{p.People[i], signed(stats.Mean(p.Each[i]), n), signed(p.Shrunken[i], n),
			interval(p.Own(i), n)})
	}
	return t
}
