package builder

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// waysFigure is the power of all ways to ask, beside one another, ready to be drawn.
type waysFigure struct {
	Desc          string
	Width, Height int
	Left, Right   int
	Top, Bottom   int
	Across, Up    []curveTick
	Wish          curveTick
	Ways          []wayLine
}

// wayLine is one way to ask: its line, and its number on it.
type wayLine struct {
	Number      int
	Line, Class string
	X, Y        float64
}

// newWaysFigure draws the ways; nil when there is nothing to hold beside.
func (b *builder) newWaysFigure(z *analysis.Size) *waysFigure {
	if len(z.Ways) < 2 || len(z.WaySizes) < 2 {
		return nil
	}
	w := &waysFigure{Width: curveWidth, Height: curveHeight, Left: curveLeft, Right: curveRight, Top: curveTop,
		Bottom: curveBottom}
	most := z.WaySizes[len(z.WaySizes)-1]
	x := func(n float64) float64 { return unit(curveLeft + (curveRight-curveLeft)*n/float64(most)) }
	y := func(p float64) float64 { return unit(curveBottom - (curveBottom-curveTop)*p) }
	for p := 0; p <= 100; p += 20 {
		w.Up = append(w.Up, curveTick{y(float64(p) / 100), fmt.Sprintf("%d %%", p)})
	}
	for n, step := 0, tickStep(most); n <= most; n += step {
		w.Across = append(w.Across, curveTick{x(float64(n)), strconv.Itoa(n)})
	}
	w.Wish = curveTick{y(z.Request.Power), b.say("%s wished for", analysis.InPercent(z.Request.Power))}
	var told []string
	var taken []point
	for i, c := range z.Ways {
		var points []string
		for k, n := range z.WaySizes {
			points = append(points, fmt.Sprintf("%g,%g", x(float64(n)), y(c.Power[k])))
		}
		n, p := numberAt(z.WaySizes, c.Power, heights[i%len(heights)])
		places := []point{{x(n), y(p)}}
		for k := len(z.WaySizes) - 1; k > 0; k-- {
			places = append(places, point{x(float64(z.WaySizes[k])), y(c.Power[k])})
		}
		at := freePlace(places, taken)
		taken = append(taken, at)
		line := wayLine{Number: i + 1, Line: strings.Join(points, " "), Class: fmt.Sprintf("way way-%d", i), X: at.x,
			Y: at.y}
		needs := b.say("no panel that can be sought")
		if c.Needed > 0 {
			needs = b.say("%d assessors", c.Needed)
		}
		w.Ways = append(w.Ways, line)
		told = append(told, fmt.Sprintf("%s: %s", b.say(c.Question.Kind().Title), needs))
	}
	w.Desc = b.say("For %s power: %s.", analysis.InPercent(z.Request.Power), strings.Join(told, "; "))
	return w
}

// wayRows are the ways to ask, the question's own among them, with what each takes: the fewest
// portions first, one without a panel last.
func (b *builder) wayRows(z *analysis.Size) (rows []wayRow) {
	all := slices.Clone(z.OtherWays)
	for _, c := range z.Ways {
		if c.Own {
			k := c.Question.Kind()
			all = append(all, analysis.OtherWay{Question: c.Question, Needed: c.Needed, Servings: k.Servings,
				Named: k.Attributes == study.OneNamed})
		}
	}
	slices.SortStableFunc(all, func(a, b analysis.OtherWay) int {
		none := func(w analysis.OtherWay) int { return int(math.Copysign(1, 0.5-float64(w.Needed))) }
		return cmp.Or(none(a)-none(b), a.Portions()-b.Portions())
	})
	for _, w := range all {
		row := wayRow{Title: b.say(w.Question.Kind().Title), Assessors: b.say("none"), Portions: "–", Named: w.Named}
		if w.Needed > 0 {
			row.Assessors, row.Portions = strconv.Itoa(w.Needed), strconv.Itoa(w.Portions())
		}
		for i, c := range z.Ways {
			if c.Question == w.Question {
				row.Number, row.Own = i+1, c.Own
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// heights are the powers at which the numbers of the ways stand on their lines where they cover
// no other: on different heights, so that lines that run close together are told apart.
var heights = []float64{0.9, 0.35, 0.65, 0.5, 0.2, 0.75, 0.45}

// point is a place in the drawing.
type point struct{ x, y float64 }

// numberWidth is how wide the circle of a number is.
const numberWidth = 20

// freePlace is the first place on a line where its number covers no other; the first of all
// where there is none.
func freePlace(places, taken []point) point {
	for _, p := range places {
		covers := func(t point) bool { return math.Hypot(p.x-t.x, p.y-t.y) < numberWidth }
		if !slices.ContainsFunc(taken, covers) {
			return p
		}
	}
	return places[0]
}

// numberAt is where on a rising line the number stands: where it passes a power, else at
// its end.
func numberAt(sizes []int, power []float64, at float64) (n, p float64) {
	for k := range sizes {
		if power[k] < at {
			continue
		}
		if k == 0 {
			return float64(sizes[0]), power[0]
		}
		part := (at - power[k-1]) / (power[k] - power[k-1])
		return float64(sizes[k-1]) + part*float64(sizes[k]-sizes[k-1]), at
	}
	last := len(sizes) - 1
	return float64(sizes[last]), power[last]
}
