package builder

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"cloche/internal/analysis"
)

// sizeCurve is the power of panels of different sizes, ready to be drawn: all
// places are in units of the figure.
type sizeCurve struct {
	Title, Desc   string
	Width, Height int
	Left, Right   int // ends of the horizontal axis
	Top, Bottom   int // ends of the vertical axis
	Line          string
	Across, Up    []curveTick
	Wish          curveTick // the power wished for
	Seats         *curveTick
	SeatsX        float64 // of its words
	SeatsY        float64
	SeatsAnchor   string
	Marks         []curveMark
}

type curveTick struct {
	At    float64
	Label string
}

// curveMark is a panel on the curve, with where its words stand.
type curveMark struct {
	X, Y, TextX, TextY float64
	Anchor, Class      string
	Label              string
	LeadY              float64 // where a line from the point to words that are far from it ends; 0: they are not
}

// The figure's frame, in units: small enough for a phone, where a unit is a little
// less than a pixel.
const (
	curveWidth, curveHeight = 400, 262
	curveLeft, curveRight   = 56, 380 // half of a number of four digits fits beside it
	curveTop, curveBottom   = 14, 214
)

// newSizeCurve draws the curve; nil when there is no power to draw.
func (b *builder) newSizeCurve(z *analysis.Size) *sizeCurve {
	points := z.Curve
	if len(points) < 2 || math.IsNaN(points[0].Power) {
		return nil
	}
	c := &sizeCurve{Title: b.say("Power against the size of the panel"), Width: curveWidth, Height: curveHeight,
		Left: curveLeft, Right: curveRight, Top: curveTop, Bottom: curveBottom}
	most := points[len(points)-1].Assessors
	x := func(n int) float64 { return unit(curveLeft + (curveRight-curveLeft)*float64(n)/float64(most)) }
	y := func(p float64) float64 { return unit(curveBottom - (curveBottom-curveTop)*p) }
	var line []string
	for _, p := range points {
		line = append(line, fmt.Sprintf("%g,%g", x(p.Assessors), y(p.Power)))
	}
	c.Line = strings.Join(line, " ")
	for p := 0; p <= 100; p += 20 {
		c.Up = append(c.Up, curveTick{y(float64(p) / 100), fmt.Sprintf("%d %%", p)})
	}
	step := tickStep(most)
	for n := 0; n <= most; n += step {
		c.Across = append(c.Across, curveTick{x(n), strconv.Itoa(n)})
	}
	c.Wish = curveTick{y(z.Request.Power), b.say("%s wished for", analysis.InPercent(z.Request.Power))}
	if places := z.Request.Places; places > 0 && places <= most {
		c.Seats = &curveTick{x(places), b.say("room for %d", places)}
		c.SeatsX, c.SeatsAnchor = c.Seats.At+4, "start"
		if c.SeatsX+wordWidth(c.Seats.Label) > curveWidth {
			c.SeatsX, c.SeatsAnchor = c.Seats.At-4, "end"
		}
		c.SeatsY = curveTop + 18 // its words stand where the curve is not
		for _, p := range points {
			if p.Assessors <= places && p.Power > .5 {
				c.SeatsY = curveBottom - 8
			}
		}
	}
	b.mark(c, z, x, y)
	c.Desc = b.describeCurve(z, c.Seats)
	return c
}

// tickStep is the step of at most six ticks after 0 on a whole number of people.
func tickStep(most int) int {
	for ten := 1; ; ten *= 10 {
		for _, k := range []int{1, 2, 5} {
			if k*ten*6 >= most {
				return k * ten
			}
		}
	}
}

// mark puts the panel needed and the one planned on the curve, each with its words where they cover neither the curve
// nor each other.
func (b *builder) mark(c *sizeCurve, z *analysis.Size, x func(int) float64, y func(float64) float64) {
	n, p := z.Needed, z.Planned
	if n.Assessors > 0 {
		c.Marks = append(c.Marks, curveMark{X: x(n.Assessors), Y: y(n.Power), Class: "needed",
			Label: b.say("%d needed", n.Assessors)})
	}
	if p.Assessors > 0 && p.Assessors != n.Assessors {
		c.Marks = append(c.Marks, curveMark{X: x(p.Assessors), Y: y(p.Power), Class: "planned",
			Label: b.say("%d planned", p.Assessors)})
	}
	var line [][2]float64
	for _, q := range z.Curve {
		line = append(line, [2]float64{x(q.Assessors), y(q.Power)})
	}
	var taken []box
	for _, m := range c.Marks {
		taken = append(taken, box{m.X - 6, m.Y - 6, m.X + 6, m.Y + 6})
	}
	if c.Seats != nil {
		taken = append(taken, covered(c.SeatsX, c.SeatsY, c.SeatsAnchor, c.Seats.Label))
	}
	for i := range c.Marks {
		taken = append(taken, c.label(&c.Marks[i], line, taken))
	}
}

// label puts the words of a mark where they cost least, and returns what they cover: below and right of the point as a
// rule, never on the curve or on what is taken where there is another place, and rather not across a dashed line.
func (c *sizeCurve) label(m *curveMark, line [][2]float64, taken []box) (best box) {
	const never, rather = 1_000, 20
	least := math.Inf(1)
	for _, side := range []struct {
		anchor string
		dx     float64
	}{{"start", 9}, {"end", -9}, {"start", 30}, {"start", 50}, {"start", 75}, {"start", 105}, {"start", -20}} {
		for _, dy := range []float64{19, 34, 50, 66, 82, -9, -24, -40, -60, -80, 4, 10} {
			at := covered(m.X+side.dx, m.Y+dy, side.anchor, m.Label)
			cost := math.Abs(dy) + math.Abs(side.dx-9)
			if at.left < curveLeft || at.right > curveRight || at.top < curveTop || at.bottom > curveBottom {
				cost += 2 * never
			}
			for k := range len(line) - 1 {
				if at.crossed(line[k], line[k+1]) {
					cost += never
				}
			}
			for _, other := range taken {
				if at.meets(other) {
					cost += never
				}
			}
			if at.crossed([2]float64{curveLeft, c.Wish.At}, [2]float64{curveRight, c.Wish.At}) {
				cost += rather
			}
			if c.Seats != nil && at.crossed([2]float64{c.Seats.At, curveTop}, [2]float64{c.Seats.At, curveBottom}) {
				cost += rather
			}
			if cost < least {
				least, best = cost, at
				m.TextX, m.TextY, m.Anchor, m.LeadY = unit(m.X+side.dx), unit(m.Y+dy), side.anchor, 0
				if dy > 34 {
					m.LeadY = unit(m.TextY - 13)
				}
			}
		}
	}
	return best
}

// box is what words, or the dot of a mark, cover.
type box struct{ left, top, right, bottom float64 }

func covered(x, y float64, anchor, label string) box {
	b := box{x, y - 12, x + wordWidth(label), y + 4}
	if anchor == "end" {
		b.left, b.right = x-wordWidth(label), x
	}
	return b
}

func (b box) meets(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

// crossed reports whether a line from one point to another has a part in the box.
func (b box) crossed(from, to [2]float64) bool {
	first, last := 0.0, 1.0 // the part of the line that is left after each edge
	for _, edge := range []struct{ from, by, low, high float64 }{{from[0], to[0] - from[0], b.left, b.right},
		{from[1], to[1] - from[1], b.top, b.bottom}} {
		if edge.by == 0 {
			if edge.from <= edge.low || edge.from >= edge.high {
				return false
			}
			continue
		}
		one, two := (edge.low-edge.from)/edge.by, (edge.high-edge.from)/edge.by
		first, last = max(first, min(one, two)), min(last, max(one, two))
	}
	return first < last
}

// wordWidth is the most that words in the figure are wide, in units.
func wordWidth(words string) float64 { return float64(9 * utf8.RuneCountInString(words)) }

// unit keeps two decimals of a place: a whole unit would set a panel that falls
// short of the wish on its line.
func unit(v float64) float64 { return math.Round(v*100) / 100 }

// describeCurve says what the figure shows to who does not see it.
func (b *builder) describeCurve(z *analysis.Size, seats *curveTick) string {
	first, last := z.Curve[0], z.Curve[len(z.Curve)-1]
	of := z.Request.PowerWords
	words := b.say("Power rises from %s with %d assessors to %s with %d.", of(first.Power), first.Assessors,
		of(last.Power), last.Assessors)
	if !(last.Power > first.Power) {
		words = b.say("Power is %s with %d assessors and %s with %d.", of(first.Power), first.Assessors,
			of(last.Power), last.Assessors)
	}
	switch wish := analysis.InPercent(z.Request.Power); {
	case z.First.Assessors > 0:
		words += " " + b.say("It first reaches the %s wished for with %d, and keeps it from %d on.", wish,
			z.First.Assessors, z.Needed.Assessors)
	case z.Needed.Assessors > 0:
		words += " " + b.say("It reaches the %s wished for with %d.", wish, z.Needed.Assessors)
	}
	if p := z.Planned; p.Assessors > 0 {
		words += " " + b.say("The %d planned have %s.", p.Assessors, of(p.Power))
	}
	if seats != nil {
		words += " " + b.say("There is %s.", seats.Label)
	}
	return words + " " + b.say("All numbers stand in the table below.")
}
