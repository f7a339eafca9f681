package report

import (
	"fmt"
	"math"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// thresholdFigures draw the share of right answers over the amounts.
func thresholdFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	return []Figure{thresholdFigure(s, f)}
}

// thresholdFigure draws the share of right answers at each amount, what guessing gives, the
// curve through all answers where there is one, everybody's own threshold at the foot and,
// where it is told, the group's with its interval. Across, equal steps are equal factors.
func thresholdFigure(s *study.Study, f analysis.Finding) Figure {
	t := f.Threshold
	left, right := thresholdSpan(f)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: left, Max: right, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: noSplit(),
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(false)}},
		opts.YAxis{Type: "value", Min: -20, Max: 100, MinInterval: 20, MaxInterval: 20, AxisLine: noLine(),
			AxisLabel: percentLabel(), SplitLine: quietLine()},
		opts.Grid{Left: "8", Right: "20", Top: "20", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	chance := 100 * t.Chance
	d.line("guessing", []point{{left, chance}, {right, chance}}, stroke{colour: inkColour, width: 1, dash: "dashed",
		opacity: 0.8})
	fig := Figure{ID: "threshold-" + string(f.Attribute), Title: "From how much on it is tasted: " + s.TurnAsk(),
		Height: 400, Left: "less " + t.Unit.Of, Right: "more " + t.Unit.Of, Data: thresholdTable(f),
		Legend: []LegendEntry{{"diamond", "right answers at an amount, in %"},
			{"down", fmt.Sprintf("if everybody guessed, %s %%", number(chance, 0))}},
		Caption: "Up: right answers in percent. Across: " + t.Unit.String() + ", equal steps for equal factors."}
	if !math.IsNaN(t.CurveSlope) {
		d.thresholdCurve(t, left, right)
		fig.Legend = append(fig.Legend, LegendEntry{"ink", "curve through all answers"})
	}
	d.risingSteps(t)
	own := d.ownThresholds(t)
	if own > 0 {
		fig.Legend = append(fig.Legend, LegendEntry{"dot-up", "everybody’s own threshold, at the foot"})
	}
	fig.Alt = fmt.Sprintf("Right answers go from %d of %d at %s to %d of %d at %s; own thresholds of %s.",
		t.Steps[0].Right, t.Steps[0].N, t.Unit.Short(t.Steps[0].Amount), lastRise(f).Right, lastRise(f).N,
		t.Unit.Short(lastRise(f).Amount), people(own))
	if f.Verdict.Different() && t.Inside && !f.CI.Absent() {
		d.groupThreshold(f, left, right)
		fig.Legend = append(fig.Legend, LegendEntry{"green", fmt.Sprintf("threshold of the group, with its %s interval",
			percent(f.CI.Level))})
		fig.Alt += fmt.Sprintf(" That of the group is %s (%s).", grams(f.Value), gramsInterval(f.CI, f.Threshold))
	}
	fig.Option = d.option()
	return fig
}

func percentLabel() *opts.AxisLabel {
	l := axisLabel()
	l.ShowMinLabel = opts.Bool(false)
	return l
}

func lastRise(f analysis.Finding) analysis.RisingStep {
	return f.Threshold.Steps[len(f.Threshold.Steps)-1]
}

// thresholdSpan is from a step below the series to one above it, as logarithms, so that every
// own threshold lies within.
func thresholdSpan(f analysis.Finding) (left, right float64) {
	steps := f.Threshold.Steps
	log := func(i int) float64 { return math.Log10(steps[i].Amount) }
	n := len(steps)
	return log(0) - (log(1) - log(0)), log(n-1) + (log(n-1) - log(n-2))
}

// thresholdCurve draws the curve in fine steps.
func (d *drawing) thresholdCurve(t analysis.ThresholdPart, left, right float64) {
	const pieces = 60
	var points []point
	for i := range pieces + 1 {
		x := left + (right-left)*float64(i)/pieces
		points = append(points, point{x, 100 * t.At(math.Pow(10, x))})
	}
	d.line("curve", points, stroke{colour: inkColour, width: 2, dash: "solid", opacity: 1})
}

// risingSteps draws the share at each amount, with the amount below it.
func (d *drawing) risingSteps(t analysis.ThresholdPart) {
	for _, x := range t.Steps {
		at := math.Log10(x.Amount)
		d.marks("amount", []point{{at, 0}}, stroke{colour: inkColour, symbol: "rect", size: 3, opacity: 1,
			label: []string{number(x.Amount, decimalsIn(x.Amount))}, side: "bottom"})
		if x.N > 0 {
			d.marks("right", []point{{at, 100 * float64(x.Right) / float64(x.N)}}, d.meanMark("", "top"))
		}
	}
}

// decimalsIn is how many decimals an amount was written with, six at the most.
func decimalsIn(v float64) int {
	for n := range 6 {
		if p := math.Pow10(n); math.Abs(v*p-math.Round(v*p)) < 1e-9*max(1, v*p) {
			return n
		}
	}
	return 6
}

// ownThresholds draws everybody's own at the foot, those alike above one another, and counts
// them.
func (d *drawing) ownThresholds(t analysis.ThresholdPart) (drawn int) {
	stacked := map[float64]int{}
	var each []float64
	for _, x := range t.Each {
		if !math.IsNaN(x.Threshold) {
			each = append(each, x.Threshold)
			stacked[x.Threshold]++
		}
	}
	most := 1
	for _, n := range stacked {
		most = max(most, n)
	}
	slices.Sort(each)
	var points []point
	n := 0
	for i, v := range each {
		if n++; i == 0 || each[i-1] != v {
			n = 0
		}
		points = append(points, point{math.Log10(v), -19 + 10*float64(n)/float64(most)})
	}
	if len(points) > 0 {
		d.marks("own", points, stroke{colour: accentColour, symbol: "circle", size: 6, opacity: 0.6})
	}
	return len(points)
}

// groupThreshold draws the group's threshold, and its interval as far as the figure goes.
func (d *drawing) groupThreshold(f analysis.Finding, left, right float64) {
	at := math.Log10(f.Value)
	lo, hi := max(left, math.Log10(f.CI.Lo)), min(right, math.Log10(f.CI.Hi))
	d.line("group", []point{{at, -20}, {at, 100}}, stroke{colour: greenColour, width: 2, dash: "solid", opacity: 1})
	d.line("interval", []point{{lo, 3}, {hi, 3}}, stroke{colour: greenColour, width: 5, dash: "solid", opacity: 0.7})
}

// thresholdTable holds the numbers of the figure: the amounts, then everybody.
func thresholdTable(f analysis.Finding) DataTable {
	t := DataTable{Headings: []string{"Assessor"}}
	right, all := []string{"right"}, []string{"answers"}
	for _, x := range f.Threshold.Steps {
		t.Headings = append(t.Headings, f.Threshold.Unit.Short(x.Amount))
		right, all = append(right, fmt.Sprint(x.Right)), append(all, fmt.Sprint(x.N))
	}
	t.Headings = append(t.Headings, "own threshold")
	t.Rows = append(t.Rows, append(right, none), append(all, none))
	for _, x := range f.Threshold.Each {
		row := []string{x.Assessor}
		for _, v := range x.Right {
			row = append(row, map[bool]string{true: "right", false: "wrong"}[v == 1])
			if math.IsNaN(v) {
				row[len(row)-1] = none
			}
		}
		t.Rows = append(t.Rows, append(row, number(x.Threshold, 4)))
	}
	return t
}
