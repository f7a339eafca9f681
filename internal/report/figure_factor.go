package report

import (
	"fmt"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// factorRowHeight is the height of a sample in pixels: on a phone its dish and its name take four
// lines, and the next sample's begin below them.
const factorRowHeight = 84

// factorFigures draw a primary effect of crossed samples: the mean of each sample, and how
// far each person moved where the effect is one difference within people.
func factorFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	figures := []Figure{tableFigure(s, f)}
	if len(f.Pair.Each) == 0 {
		return figures
	}
	d, n := differencesFigure(s, f), decimalsFor(attributeOf(s, f).Scale)
	c := factorContrast(s, f)
	two := "the two means of their ratings"
	if f.Factor.Factor == study.NameByDish {
		two = "what the name did with one dish and with the other"
		d.Left, d.Right = "more with "+c.names()[1], "more with "+c.names()[0]
	}
	ci := f.Stated()
	d.Alt = fmt.Sprintf("A dot for each of %s at the difference between %s. The %s is %s %s (%s).", people(f.N), two,
		estimateName(f), signed(f.Value, n), points(attributeOf(s, f).Scale), intervalPhrase(attributeOf(s, f), f))
	d.Caption = "Each dot stands at its person’s own difference between " + two +
		"; dots that would cover each other are stacked."
	d.Data = DataTable{Headings: []string{"Assessor", c.names()[0], c.names()[1], "Difference"}, Rows: [][]string{
		{upperFirst(estimateName(f)), none, none, signed(f.Value, n)},
		{levelWords(ci.Level) + " interval", none, none, interval(ci, n)}}}
	for _, p := range f.Pair.Each {
		d.Data.Rows = append(d.Data.Rows, []string{p.Assessor, number(p.First, n+1), number(p.Second, n+1),
			signed(p.First-p.Second, n+1)})
	}
	return append(figures, d)
}

func attributeOf(s *study.Study, f analysis.Finding) study.Attribute {
	a, _ := s.Attribute(f.Attribute)
	return a
}

// tableFigure draws the mean of each sample with its interval over the ratings of
// everybody, by dish and then by name; a line joins the names of a dish.
func tableFigure(s *study.Study, f analysis.Finding) Figure {
	a, c := attributeOf(s, f), f.Factor.Table
	n := decimalsFor(a.Scale)
	cells := map[study.SampleID]analysis.SampleEstimate{}
	for _, e := range f.Factor.Cells {
		cells[e.Sample] = e
	}
	var order []study.SampleID // from the top
	for _, row := range c.Cells {
		for _, x := range row {
			if _, used := cells[x]; used {
				order = append(order, x)
			}
		}
	}
	var names []string
	for _, x := range slices.Backward(order) { // the axis counts from below
		names = append(names, rowOf(analysis.Label(s, x))...)
	}
	f.Panel.Each, f.Panel.Estimates = f.Factor.Each, f.Factor.Cells
	from, to := panelRange(a.Scale, f)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		namesAxis(names, 130),
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	table := DataTable{Headings: []string{"Dish", "Name", "People", "Mean", percent(s.Plan.Level()) + " interval",
		"Ratings (people)"}}
	most := mostAlike(f)
	height := func(x study.SampleID) float64 { return meanLine(slices.Index(order, x), len(order)) }
	for _, row := range c.Cells {
		var line []point
		for _, x := range row {
			if e, used := cells[x]; used && e.N > 0 {
				line = append(line, point{e.Mean, height(x)})
			}
		}
		d.line("one dish", line, stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1})
	}
	for _, x := range order {
		ratings := d.blobs(blobs(f, x), height(x)-1, most, n)
		e := cells[x]
		d.estimate(e, height(x), n)
		sample, _ := s.Sample(x)
		name := string(sample.Name)
		if name == "" {
			name = study.Blind
		}
		table.Rows = append(table.Rows, []string{levelWord(s, study.DishFactor, string(sample.Dish)).String(),
			levelWord(s, study.NameFactor, name).String(), fmt.Sprint(e.N), number(e.Mean, n), interval(e.CI, n),
			ratings})
	}
	return Figure{
		ID: "factors-" + string(f.Attribute), Title: "By dish and by name: " + a.Ask,
		Height: 40 + factorRowHeight*len(order),
		Option: d.option(),
		Alt: fmt.Sprintf("For each of %d samples, by dish and then by name, its mean with its interval over a "+
			"dot for each "+
			"rating; the table below has all the numbers.", len(order)),
		Legend: []LegendEntry{{"dot-up", "ratings: the more people, the larger the dot"},
			{"interval", "mean with its " + percent(s.Plan.Level()) + " interval"},
			{"least", "joins the means of one dish"}},
		Data: table,
		Caption: scaleCaption(a.Scale) + " Where the dashed lines lean alike, the name does the same with every " +
			"dish. The " +
			"interval of a mean is of people who differ; differences within people are surer than the intervals " +
			"look.",
	}
}
