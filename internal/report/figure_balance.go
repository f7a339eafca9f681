package report

import (
	"slices"
	"strconv"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/design"
	"cloche/internal/study"
)

// mostSteps is the most points of a balance line: more cannot be told apart on
// a screen, and a plan may hold 100,000 assessors.
const mostSteps = 400

// BalanceFigure draws how uneven a serving plan is when the tasting stops after
// any number of assessors: the largest count less the smallest, of servings, of
// positions and of ordered neighbours.
func BalanceFigure(b *design.Balance, tell func(study.Said) string) Figure {
	v := voice(tell)
	lines := []struct {
		mark, words string
		counts      []int
		look        stroke
	}{
		{"mean", v.say("times served"), b.Prefix.Served,
			stroke{colour: inkColour, width: 4, dash: "solid", opacity: 1}},
		{"least", v.say("times at a position"), b.Prefix.Positions,
			stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1}},
		{"pairs", v.say("ordered pairs"), b.Prefix.Following, stroke{colour: accentColour, width: 2, dash: "dotted",
			opacity: 1}},
	}
	top := float64(max(1, b.Prefix.WorstServed, b.Prefix.WorstPosition, b.Prefix.WorstPair))
	step := max(1, niceStep(top, 4))
	label := axisLabel()
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: b.Assessors, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: noSplit(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 0, Max: top, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			SplitLine: quietLine(), AxisLabel: label},
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	f := Figure{
		ID: "balance", Title: v.say("If the tasting stops early"), Height: 260, Spoken: true, InWords: v.say(inWords),
		Alt: v.say("At worst, two samples differ by %d in how often they were served, by %d at one position, "+
			"and two ordered pairs of neighbours by %d.",
			b.Prefix.WorstServed, b.Prefix.WorstPosition, b.Prefix.WorstPair),
		Left: v.say("nobody has tasted"), Right: v.say("everybody has"),
		Caption: balanceCaption(v, b.Assessors),
		Data:    DataTable{Headings: []string{v.say("Count"), v.say("At worst"), v.say("At the end")}},
	}
	for _, l := range lines {
		d.line(l.words, steps(l.counts), l.look)
		f.Legend = append(f.Legend, LegendEntry{l.mark, l.words})
		f.Data.Rows = append(f.Data.Rows, []string{l.words, strconv.Itoa(slices.Max(l.counts)),
			strconv.Itoa(l.counts[len(l.counts)-1])})
	}
	f.Option = d.option()
	return f
}

func balanceCaption(v voice, assessors int) string {
	if stretch := stretchOf(assessors); stretch > 1 {
		return v.say("The largest count less the smallest, at its worst within every %d assessors: 0 is "+
			"exact balance.", stretch)
	}
	return v.say("The largest count less the smallest, after each number of assessors: 0 is exact balance.")
}

// stretchOf is how many assessors share a step of the staircase.
func stretchOf(assessors int) int { return (assessors + mostSteps - 1) / mostSteps }

// steps turns counts after 1, 2, … assessors into the corners of a staircase,
// keeping the largest of every stretch when there are more than [mostSteps].
func steps(counts []int) []point {
	stretch := stretchOf(len(counts))
	points := []point{{0, 0}}
	for from := 0; from < len(counts); from += stretch {
		to := min(from+stretch, len(counts))
		v := float64(slices.Max(counts[from:to]))
		points = append(points, point{float64(from), v}, point{float64(to), v})
	}
	return points
}
