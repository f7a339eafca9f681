package report

import (
	"fmt"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// aboutRightFigures draw a finding that is primary. Every finding of the kind is drawn, see
// [Page.drawAboutRight].
func aboutRightFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	if len(f.AboutRight.Samples) == 0 {
		return nil
	}
	return []Figure{aboutRightFigure(s, f)}
}

// drawAboutRight draws the findings whose kind of figure is not that of the primary one.
func (p *Page) drawAboutRight(s *study.Study, r *analysis.Result) {
	for i, f := range r.Findings {
		if i > 0 && f.Kind == analysis.KindAboutRight {
			p.Figures = append(p.Figures, aboutRightFigures(English, s, r, f)...)
		}
	}
}

// rightStroke is how an answer looks: too little green, about right quiet, too much in the
// accent; of five answers the two at the ends are darker.
func rightStroke(scale study.Scale, answer int) stroke {
	middle := len(scale.Labels) / 2
	k := stroke{width: barHigh, dash: "solid", opacity: 0.75}
	switch side := scale.SideOf(float64(answer + 1)); side {
	case study.TooLittle:
		k.colour = greenColour
	case study.TooMuch:
		k.colour = accentColour
	default:
		k.colour, k.opacity = quietColour, 0.35
		return k
	}
	if len(scale.Labels) > 3 && (answer == middle-1 || answer == middle+1) {
		k.opacity = 0.45
	}
	return k
}

// aboutRightFigure draws a bar for each sample, cut into its answers, each with the number of
// people who gave it: everybody stands once in each bar.
func aboutRightFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	samples := f.AboutRight.Samples
	k := len(samples)
	names := make([]string, k)
	table := DataTable{Headings: append([]string{"Sample", "People"}, a.Scale.Labels...)}
	for i, x := range samples { // the axis counts from below
		names[k-1-i] = analysis.Label(s, x.Sample)
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: 100, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		opts.YAxis{Type: "category", Data: names, SplitLine: noSplit(),
			AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, Interval: "0", Width: 110,
				Overflow: "break"}},
		opts.Grid{Left: "8", Right: "20", Top: "24", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	var said []string
	for i, x := range samples {
		d.rightBar(a.Scale, x, float64(k-1-i))
		row := []string{analysis.Label(s, x.Sample), fmt.Sprint(x.N)}
		parts := make([]string, len(x.Counts))
		for j, n := range x.Counts {
			row = append(row, fmt.Sprint(n))
			parts[j] = fmt.Sprintf("%d “%s”", n, a.Scale.Labels[j])
		}
		table.Rows = append(table.Rows, row)
		if i < mostTold {
			said = append(said, fmt.Sprintf("%s: %s", analysis.Label(s, x.Sample), strings.Join(parts, ", ")))
		}
	}
	if k > mostTold {
		said = append(said, fmt.Sprintf("%d more in the numbers", k-mostTold))
	}
	each, bars := "Of each sample t", " for each sample"
	if k == 1 {
		each, bars = "T", ""
	}
	return Figure{
		ID: "about-right-" + string(f.Attribute), Title: "About right? " + a.Ask, Height: aboveBars + perBar*k,
		Option: d.option(),
		Alt:    fmt.Sprintf("A bar%s, cut into its answers. %s.", bars, strings.Join(said, "; ")),
		Legend: []LegendEntry{{"bar-low", a.Scale.SideLabel(study.TooLittle)},
			{"bar-right", a.Scale.SideLabel(study.JustRight)},
			{"bar-high", a.Scale.SideLabel(study.TooMuch)}},
		Data: table,
		Caption: each + "he share of the answers in per cent, from “" + a.Scale.Labels[0] + "” on the left to “" +
			a.Scale.Labels[len(a.Scale.Labels)-1] + "” on the right; the numbers are people.",
	}
}

// rightBar draws the answers to one sample from left to right, with their people.
func (d *drawing) rightBar(scale study.Scale, x analysis.RightSample, at float64) {
	from := 0.0
	for j, n := range x.Counts {
		if n == 0 {
			continue
		}
		to := min(100, from+100*float64(n)/float64(x.N)) // which rounding could pass
		people := fmt.Sprint(n)
		d.line(people, []point{{from, at}, {to, at}}, rightStroke(scale, j))
		d.marks(people, []point{{(from + to) / 2, at}}, stroke{colour: inkColour, symbol: "circle", size: 1,
			label: []string{people}, side: "inside", opacity: 1})
		from = to
	}
}
