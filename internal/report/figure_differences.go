package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// binsAcross is into how many columns the differences are stacked.
const binsAcross = 30

// differencesFigure draws each assessor's difference as a dot over the mean
// difference and its interval.
func differencesFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	least := 0.0
	if f.Attribute == s.Plan.Attribute {
		least = s.Plan.SmallestEffect
	}
	lo, hi := differenceRange(f, least)
	from, to, step := niceRange(lo, hi, 6)
	columns, tallest := stack(f.Pairs, from, to)
	top := float64(max(tallest, 4)) + 0.75
	base := -0.25 * top // where the interval lies, below the dots
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 1.8 * base, Max: top, Show: opts.Bool(false), SplitLine: noSplit()},
		opts.Grid{Left: "16", Right: "16", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	d.line("no difference", []point{{0, 1.8 * base}, {0, top}}, stroke{colour: inkColour, width: 1.5, dash: "solid", opacity: 1})
	if least > 0 {
		for _, x := range []float64{-least, least} {
			d.line("smallest worth acting on", []point{{x, 1.8 * base}, {x, top}}, stroke{colour: greenColour, width: 1.5, dash: "dashed", opacity: 1})
		}
	}
	for _, m := range moves {
		d.marks(m.mark, columns[m.sign+1], stroke{colour: m.colour, symbol: m.symbol, size: 8, opacity: 1, hollow: m.hollow})
	}
	if !f.CI.Absent() {
		d.line("interval", []point{{f.CI.Lo, base}, {f.CI.Hi, base}}, stroke{colour: inkColour, width: 5, dash: "solid", opacity: 1})
	}
	mean := d.meanMark(signed(f.Difference, n), "top")
	d.marks("mean difference", []point{{f.Difference, base}}, mean)
	left, right := wayWords(s, f)
	return Figure{
		ID: "differences", Title: "How far each person moved", Height: 240, Option: d.option(),
		Alt: fmt.Sprintf("A dot for each of %s at the difference between their two ratings. The mean difference is %s %s (%s).",
			people(f.N), signed(f.Difference, n), points(a.Scale), intervalPhrase(a, f)),
		Legend: differenceLegend(f, least), Left: left, Right: right,
		Data: DataTable{Headings: []string{"", "Points"}, Rows: [][]string{
			{"Mean difference", signed(f.Difference, n)}, {percent(f.CI.Level) + " interval", interval(f.CI, n)}}},
		Caption: fmt.Sprintf("Dots are moved sideways by up to %s points so that none hides another; each person’s numbers are with the figure above.",
			number(0.7*(to-from)/binsAcross, n)),
	}
}

func differenceLegend(f analysis.Finding, least float64) []LegendEntry {
	entries := moveLegend(f, "dot-", "interval", fmt.Sprintf("mean difference with its %s interval", percent(f.CI.Level)))
	if least > 0 {
		entries = append(entries, LegendEntry{"least", fmt.Sprintf("smallest difference worth acting on (%g)", least)})
	}
	return entries
}

// differenceRange spans the differences, the interval, zero and the smallest
// effect on both sides.
func differenceRange(f analysis.Finding, least float64) (lo, hi float64) {
	lo, hi = min(0, -least), max(0, least)
	for _, p := range f.Pairs {
		lo, hi = min(lo, p.First-p.Second), max(hi, p.First-p.Second)
	}
	if !f.CI.Absent() {
		lo, hi = min(lo, f.CI.Lo), max(hi, f.CI.Hi)
	}
	if lo == hi {
		return lo - 1, hi + 1
	}
	return lo, hi
}

// stack piles dots that would cover each other: columns by the sign of the
// difference (0 lower, 1 same, 2 higher), heights from 1.
func stack(pairs []analysis.Pair, from, to float64) (columns [3][]point, tallest int) {
	width := (to - from) / binsAcross
	height := map[float64]int{}
	for _, p := range pairs {
		diff := p.First - p.Second
		x := diff
		if diff != 0 { // half columns on either side keep zero to itself
			x = math.Copysign((math.Floor(math.Abs(diff)/width)+0.5)*width, diff)
			if math.Abs(diff) < width {
				x = math.Copysign(max(0.7*width, math.Abs(x)), diff)
			}
		}
		height[x]++
		tallest = max(tallest, height[x])
		columns[signOf(p)+1] = append(columns[signOf(p)+1], point{x, float64(height[x])})
	}
	return columns, tallest
}
