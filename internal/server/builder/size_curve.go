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

// mark puts the panel needed and the one planned on the curve. The needed one has
// its words below and right of it, where the curve is not; the planned one too,
// unless the two would meet.
func (b *builder) mark(c *sizeCurve, z *analysis.Size, x func(int) float64, y func(float64) float64) {
	n, p := z.Needed, z.Planned
	if n.Assessors > 0 {
		c.Marks = append(c.Marks, beside(x(n.Assessors), y(n.Power), b.say("%d needed", n.Assessors), "needed",
			true))
	}
	if p.Assessors == 0 || p.Assessors == n.Assessors {
		return
	}
	m := beside(x(p.Assessors), y(p.Power), b.say("%d planned", p.Assessors), "planned", true)
	if len(c.Marks) > 0 {
		if o := c.Marks[0]; math.Abs(o.TextY-m.TextY) < 18 && math.Abs(o.TextX-m.TextX) < 120 {
			m = beside(m.X, m.Y, m.Label, "planned", false)
		}
	}
	c.Marks = append(c.Marks, m)
}

// beside puts words below and right of a point, or above and left, and turns them
// where the figure ends.
func beside(x, y float64, label, class string, below bool) curveMark {
	m := curveMark{X: x, Y: y, TextX: x + 9, TextY: y + 19, Anchor: "start", Class: class, Label: label}
	if !below {
		m.TextX, m.TextY, m.Anchor = x-7, y-9, "end"
	}
	long := wordWidth(label)
	if m.Anchor == "start" && m.TextX+long > curveRight {
		m.TextX, m.Anchor = min(x+9, curveRight), "end"
	}
	if m.Anchor == "end" && m.TextX-long < curveLeft {
		m.TextX, m.Anchor = x+9, "start"
	}
	m.TextY = min(max(m.TextY, curveTop+12), curveBottom-6)
	return m
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
