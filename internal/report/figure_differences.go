package report

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What the figure of differences takes, in pixels. The plot is reckoned as on the
// narrowest phone; on a wider screen dots stand further apart.
const (
	dotsAcross    = 280 // width of the plot
	dotsHigh      = 140 // height of the dots' part, until they need more
	dotsHighest   = 540 // then dots of one value begin to cover each other
	belowDots     = 100 // the interval and the axis
	largestDot    = 8
	smallestDot   = 4
	intervalsPart = 0.25 // how far the interval lies below zero, as a share of the dots' part
)

// differencesFigure draws each assessor's difference as a dot over the estimated
// difference and its interval. Dots stand at their values and are stacked.
func differencesFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	least := 0.0
	if f.Attribute == s.Plan.Attribute {
		least = s.Plan.SmallestEffect
	}
	from, to, step := differenceRange(f, least)
	dots := stackDots(f.Pair.Each, to-from)
	top := float64(max(dots.tallest, 4)) + 0.75
	base := -intervalsPart * top // where the interval lies, below the dots
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick:  noTick(),
			SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 1.8 * base, Max: top, Show: opts.Bool(false), SplitLine: noSplit()},
		opts.Grid{Left: "16", Right: "16", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	upright := func(name string, x float64, colour, dash string) {
		d.line(name, []point{{x, 1.8 * base}, {x, top}}, stroke{colour: colour, width: 1.5, dash: dash, opacity: 1})
	}
	upright("no difference", 0, inkColour, "solid")
	if least > 0 {
		upright("smallest worth acting on", -least, greenColour, "dashed")
		upright("smallest worth acting on", least, greenColour, "dashed")
	}
	for _, m := range moves {
		d.marks(m.mark, dots.at[m.sign+1], stroke{colour: m.colour, symbol: m.symbol, size: dots.size, opacity: 1,
			hollow: m.hollow})
	}
	ci := f.Stated()
	if !ci.Absent() {
		d.line("interval", []point{{ci.Lo, base}, {ci.Hi, base}}, stroke{colour: inkColour, width: 5,
			dash: "solid", opacity: 1})
	}
	d.marks("estimate", []point{{f.Value, base}}, d.meanMark(signed(f.Value, n), "top"))
	left, right := wayWords(s, f)
	return Figure{
		ID: "differences", Title: "How far each person moved", Height: dots.height + belowDots, Option: d.option(),
		Alt: fmt.Sprintf("A dot for each of %s at the difference between their two ratings. The %s is %s %s (%s).",
			people(f.N), estimateName(f), signed(f.Value, n), points(a.Scale), intervalPhrase(a, f)),
		Legend: differenceLegend(f, least), Left: left, Right: right,
		Data: DataTable{Headings: []string{"", "Points"}, Rows: [][]string{
			{upperFirst(estimateName(f)), signed(f.Value, n)}, {levelWords(ci.Level) + " interval", interval(ci, n)}}},
		Caption: "Each dot stands at its person’s own difference; dots that would cover each other are stacked. " +
			"Each person’s numbers are with the figure above.",
	}
}

func differenceLegend(f analysis.Finding, least float64) []LegendEntry {
	mark, text := "diamond", estimateName(f)
	if ci := f.Stated(); !ci.Absent() {
		mark, text = "interval", fmt.Sprintf("%s with its %s interval", estimateName(f), levelWords(ci.Level))
	}
	entries := moveLegend(English, f, "dot-", mark, text)
	if least > 0 {
		entries = append(entries, LegendEntry{"least", fmt.Sprintf("smallest difference worth acting on (%g)", least)})
	}
	return entries
}

// differenceRange spans the differences, the interval, zero and the smallest
// effect on both sides, with room for a dot at either end.
func differenceRange(f analysis.Finding, least float64) (from, to, step float64) {
	lo, hi := -least, least
	for _, p := range f.Pair.Each {
		lo, hi = min(lo, p.First-p.Second), max(hi, p.First-p.Second)
	}
	if ci := f.Stated(); !ci.Absent() {
		lo, hi = min(lo, ci.Lo), max(hi, ci.Hi)
	}
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	return roomyRange(lo, hi, 6)
}

// dots are the differences of all assessors, each at its own value: by their sign
// (0 lower, 1 same, 2 higher), at heights from 1.
type dots struct {
	at      [3][]point
	tallest int
	size    float32 // pixels
	height  int     // pixels that all heights take together
}

// stackDots stacks what would cover each other on an axis of so many points, in
// dots as large as there is room for.
func stackDots(pairs []analysis.Pair, span float64) dots {
	for size := largestDot; ; size-- {
		d := stackWide(pairs, span*float64(size)/dotsAcross)
		d.size, d.height = float32(size), max(dotsHigh, min(d.tallest*size, dotsHighest))
		if d.tallest*size <= dotsHigh || size == smallestDot {
			return d
		}
	}
}

// stackWide puts dots of a width at the lowest heights at which none covers another.
func stackWide(pairs []analysis.Pair, width float64) dots {
	sorted := slices.Clone(pairs)
	slices.SortStableFunc(sorted, func(p, q analysis.Pair) int {
		return cmp.Compare(p.First-p.Second, q.First-q.Second)
	})
	var d dots
	var last []float64 // dot at each height, from the lowest
	for _, p := range sorted {
		x := p.First - p.Second
		h := slices.IndexFunc(last, func(before float64) bool { return x-before >= width })
		if h < 0 {
			h, last = len(last), append(last, x)
		}
		last[h] = x
		d.at[signOf(p)+1] = append(d.at[signOf(p)+1], point{x, float64(h + 1)})
	}
	d.tallest = len(last)
	return d
}
