package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// doseFigures draw the line on the primary attribute, with what is laid on it.
func doseFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	return []Figure{doseFigure(s, f)}
}

// doseSpan is what the figure has to hold: the amounts, of the interval of what a name is
// worth as much as lies within another length of the series, and the ratings of everybody's line.
func doseSpan(scale study.Scale, f analysis.Finding) (from, to, low, high float64) {
	steps := f.Dose.Steps
	from, to = steps[0].Amount, steps[len(steps)-1].Amount
	low, high = scale.Min(), scale.Max()
	for _, x := range f.Dose.Each {
		for _, at := range []float64{steps[0].Amount, steps[len(steps)-1].Amount} {
			if v := x.Level + x.Slope*(at-f.Dose.Centre); !math.IsNaN(v) {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	for _, x := range steps {
		if !x.CI.Absent() {
			low, high = min(low, x.CI.Lo), max(high, x.CI.Hi)
		}
	}
	if l := f.Dose.Laid; l != nil && l.Shape == dose.Bounded && l.Inside {
		lo, hi := worthShown(f)
		from, to = min(from, lo), max(to, hi)
	}
	return from, to, low, high
}

// worthShown are the ends of what a name is worth on the axis of amounts, where an end that
// lies far beyond the series is cut off.
func worthShown(f analysis.Finding) (lo, hi float64) {
	first, last, l := f.Dose.Steps[0].Amount, lastStep(f).Amount, f.Dose.Laid
	most := last - first
	return max(first-most, l.Amount+f.CI.Lo), min(last+most, l.Amount+f.CI.Hi)
}

// doseFigure draws everybody's line faintly, the mean of each amount with its interval, the
// line of all, and on it the dish that was served otherwise.
func doseFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	from, to, low, high := doseSpan(a.Scale, f)
	left, right, _ := roomyRange(from, to, 6)
	if low < a.Scale.Min() || high > a.Scale.Max() {
		low, high, _ = niceRange(low, high, 6)
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: left, Max: right, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: noSplit(),
			AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: low, Max: high, AxisLine: noLine(), AxisLabel: axisLabel(),
			SplitLine: quietLine()},
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	lines, dots := d.everybody(f)
	legend, alt := doseLegend(s, f, lines, dots), doseAlt(f, lines, dots, n)
	d.doseLine(f, n)
	fig := Figure{ID: "amounts-" + string(f.Attribute), Title: "How it goes with the amount: " + a.Ask, Height: 400,
		Legend: legend, Alt: alt,
		Left: "less " + f.Dose.Unit.Of, Right: "more " + f.Dose.Unit.Of,
		Data: doseTable(s, f), Caption: scaleCaption(a.Scale) + " Across: " + f.Dose.Unit.String() + "."}
	if f.Dose.Laid != nil {
		d.layNamed(s, f, low+(high-low)*onAxis, &fig)
	}
	fig.Option = d.option()
	return fig
}

// doseLegend explains the marks that are there.
func doseLegend(s *study.Study, f analysis.Finding, lines, dots int) (legend []LegendEntry) {
	if lines > 0 {
		legend = append(legend, LegendEntry{"up", "everybody’s own line"})
	}
	if dots > 0 {
		legend = append(legend, LegendEntry{"dot-up", "ratings of who has no line of their own"})
	}
	if !math.IsNaN(f.Dose.At(lastStep(f).Amount)) {
		legend = append(legend, LegendEntry{"mean", "line of all"})
	}
	mean := "mean at an amount"
	if slices.ContainsFunc(f.Dose.Steps, func(x analysis.DoseStep) bool { return !x.CI.Absent() }) {
		mean += ", with its " + percent(s.Plan.Level()) + " interval"
	}
	return append(legend, LegendEntry{"diamond", mean})
}

// doseAlt says what is to be seen of everybody, and of the line of all where there is one.
func doseAlt(f analysis.Finding, lines, dots, n int) string {
	var seen []string
	if lines > 0 {
		seen = append(seen, people(lines).String()+", each a faint line")
	}
	if dots > 0 {
		seen = append(seen, people(dots).String()+" without a line of their own, whose ratings are faint dots")
	}
	first, last := f.Dose.Steps[0].Amount, lastStep(f).Amount
	if v := f.Dose.At(first); math.IsNaN(v) {
		seen = append(seen, "no line of all")
	} else {
		seen = append(seen, fmt.Sprintf("the line of all goes from %s at %s to %s at %s", number(v, n),
			f.Dose.Unit.Short(first), number(f.Dose.At(last), n), f.Dose.Unit.Short(last)))
	}
	return upperFirst(strings.Join(seen, "; ")) + "."
}

func lastStep(f analysis.Finding) analysis.DoseStep { return f.Dose.Steps[len(f.Dose.Steps)-1] }

// everybody draws each person's line, or the ratings of who has none as dots, and counts both.
func (d *drawing) everybody(f analysis.Finding) (lines, dotted int) {
	first, last := f.Dose.Steps[0].Amount, lastStep(f).Amount
	for _, x := range f.Dose.Each {
		if !math.IsNaN(x.Slope) {
			d.line("", []point{{first, x.Level + x.Slope*(first-f.Dose.Centre)}, {last, x.Level +
				x.Slope*(last-f.Dose.Centre)}}, stroke{colour: accentColour, width: 1, dash: "solid", opacity: 0.3})
			lines++
			continue
		}
		var dots []point
		for k, v := range x.Ratings {
			if !math.IsNaN(v) {
				dots = append(dots, point{f.Dose.Steps[k].Amount, v})
			}
		}
		if !math.IsNaN(x.Laid) && len(dots) == 0 {
			dots = append(dots, point{f.Dose.Laid.Amount, x.Laid})
		}
		d.marks("", dots, stroke{colour: accentColour, symbol: "circle", size: 5, opacity: 0.3})
		dotted++
	}
	return lines, dotted
}

// doseLine draws the line of all, and the means of the amounts.
func (d *drawing) doseLine(f analysis.Finding, n int) {
	first, last := f.Dose.Steps[0].Amount, lastStep(f).Amount
	if v := f.Dose.At(first); !math.IsNaN(v) {
		d.line("line", []point{{first, v}, {last, f.Dose.At(last)}}, stroke{colour: inkColour, width: 3,
			dash:    "solid",
			opacity: 1})
	}
	for i, x := range f.Dose.Steps {
		if x.N == 0 {
			continue
		}
		if !x.CI.Absent() {
			d.line("interval", []point{{x.Amount, x.CI.Lo}, {x.Amount, x.CI.Hi}}, stroke{colour: inkColour, width: 2,
				dash: "solid", opacity: 0.8})
		}
		label := ""
		if i == 0 || i == len(f.Dose.Steps)-1 {
			label = number(x.Mean, n)
		}
		d.marks("mean", []point{{x.Amount, x.Mean}}, d.meanMark(label, "top"))
	}
}

// onAxis is how high above the axis an interval of amounts lies, as a part of the figure.
const onAxis = 0.015

// layNamed draws the dish that was served otherwise, where on the line it belongs, and on the
// axis, drawn at a height, the interval of that amount.
func (d *drawing) layNamed(s *study.Study, f analysis.Finding, axis float64, fig *Figure) {
	a, _ := s.Attribute(f.Attribute)
	n, l := decimalsFor(a.Scale), f.Dose.Laid
	name := analysis.Label(s, l.Sample)
	if text := s.NameText(l.Sample); text != "" {
		name = text
	}
	if l.Shape == dose.Bounded && l.Inside {
		height := f.Dose.At(l.Like)
		d.line("like", []point{{l.Amount, height}, {l.Like, height}, {l.Like, axis}},
			stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1})
		lo, hi := worthShown(f)
		d.line("worth", []point{{lo, axis}, {hi, axis}}, stroke{colour: greenColour, width: 7, dash: "solid",
			opacity: 0.8})
		d.marks("like", []point{{l.Like, axis}}, stroke{colour: greenColour, symbol: "circle", size: 9, opacity: 1,
			label: []string{number(l.Like, decimalsOfAmounts(f))}, side: "top"})
		fig.Legend = append(fig.Legend, LegendEntry{"least", fmt.Sprintf("the amount that it was rated like, with "+
			"its %s interval on the axis", percent(s.Plan.Level()))})
		fig.Alt += fmt.Sprintf(" “%s”, with %s, lies where the line has %s (%s more).", name,
			f.Dose.Unit.Short(l.Amount), amountWords(f, l.Like), interval(f.CI, decimalsOfAmounts(f)))
	} else if math.IsNaN(l.Mean) {
		fig.Alt += fmt.Sprintf(" Nobody rated “%s”.", name)
	} else {
		fig.Alt += fmt.Sprintf(" “%s”, with %s, has the mean %s.", name, f.Dose.Unit.Short(l.Amount),
			number(l.Mean, n))
	}
	if !math.IsNaN(l.Mean) {
		d.marks(name, []point{{l.Amount, l.Mean}}, stroke{colour: inkColour, symbol: "circle", size: 14, opacity: 1,
			hollow: true, label: []string{number(l.Mean, n)}, side: "left"})
		fig.Legend = append(fig.Legend, LegendEntry{"dot-down", "mean of “" + name + "”"})
	}
}

// doseTable holds the numbers of the figure: the amounts, then everybody.
func doseTable(s *study.Study, f analysis.Finding) DataTable {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	t := DataTable{Headings: []string{"Assessor"}}
	mean, ci, count := []string{"mean"}, []string{percent(s.Plan.Level()) + " interval"}, []string{"people"}
	for _, x := range f.Dose.Steps {
		t.Headings = append(t.Headings, f.Dose.Unit.Short(x.Amount))
		mean, ci, count = append(mean, number(x.Mean, n)), append(ci, interval(x.CI, n)), append(count,
			fmt.Sprint(x.N))
	}
	if l := f.Dose.Laid; l != nil {
		t.Headings = append(t.Headings, analysis.Label(s, l.Sample))
		mean, ci, count = append(mean, number(l.Mean, n)), append(ci, none), append(count, none)
	}
	t.Headings = append(t.Headings, "own slope")
	t.Rows = append(t.Rows, append(count, none), append(mean, number(f.Dose.Slope.Value, 2)), append(ci,
		interval(f.Dose.Slope.CI, 2)))
	for _, x := range f.Dose.Each {
		row := []string{x.Assessor}
		for _, v := range x.Ratings {
			row = append(row, number(v, n))
		}
		if f.Dose.Laid != nil {
			row = append(row, number(x.Laid, n))
		}
		t.Rows = append(t.Rows, append(row, number(x.Slope, 2)))
	}
	return t
}
