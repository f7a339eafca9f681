package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Point is a place, in pixels from the upper left corner.
type Point struct{ X, Y float64 }

// Stroke is how a line looks. Dash holds the lengths of dashes and gaps in turn.
type Stroke struct {
	Colour  string // #rrggbb
	Width   float64
	Opacity float64
	Dash    []float64
}

// Style is how words look. They are set from a point on their base line.
type Style struct {
	Size   float64
	Bold   bool
	Colour string
	Anchor Anchor
}

// Anchor is which part of words stands at their point.
type Anchor string

// The anchors, as SVG names them.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Picture is what was drawn so far, from below.
type Picture struct {
	Width, Height int
	Ground        string // #rrggbb
	Title         string // what it is, for those who do not see it
	shapes        []shape
}

// shape is a line, an area or words; an area has no stroke, words have text.
type shape struct {
	points  []Point
	fill    string // of an area
	opacity float64
	stroke  Stroke
	text    string
	style   Style
}

// Line draws a line through points.
func (p *Picture) Line(points []Point, s Stroke) {
	if len(points) > 1 && s.Width > 0 && s.Opacity > 0 {
		p.shapes = append(p.shapes, shape{points: points, stroke: s})
	}
}

// Area fills a polygon.
func (p *Picture) Area(points []Point, fill string, opacity float64) {
	p.shapes = append(p.shapes, shape{points: points, fill: fill, opacity: opacity})
}

// Box fills a rectangle.
func (p *Picture) Box(x, y, width, height float64, fill string, opacity float64) {
	p.Area([]Point{{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, fill, opacity)
}

// Text writes words.
func (p *Picture) Text(at Point, text string, s Style) {
	if text != "" {
		p.shapes = append(p.shapes, shape{points: []Point{at}, text: text, style: s})
	}
}

// Mark draws a symbol, "circle", "diamond" or "rect", with a border.
func (p *Picture) Mark(symbol string, at Point, size float64, fill, border string) {
	p.mark(symbol, at, size, fill, Stroke{Colour: border, Width: 2, Opacity: 1})
}

func (p *Picture) mark(symbol string, at Point, size float64, fill string, border Stroke) {
	around := outline(symbol, at, size/2)
	p.Area(around, fill, border.Opacity)
	p.Line(append(around, around[0]), border)
}

// outline is the shape of a symbol: "circle", "diamond" or "rect".
func outline(symbol string, at Point, r float64) []Point {
	switch symbol {
	case "diamond":
		return []Point{{at.X, at.Y - r}, {at.X + r, at.Y}, {at.X, at.Y + r}, {at.X - r, at.Y}}
	case "rect":
		return []Point{{at.X - r, at.Y - r}, {at.X + r, at.Y - r}, {at.X + r, at.Y + r}, {at.X - r, at.Y + r}}
	}
	const parts = 24
	around := make([]Point, parts)
	for i := range around {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / parts)
		around[i] = Point{at.X + r*cos, at.Y + r*sin}
	}
	return around
}

// SVG is the picture as a file that refers to nothing. Words are as long as the PNG has
// them, whatever font shows them.
func (p *Picture) SVG() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" role="img" `+
		`font-family="'Go', 'Noto Sans', 'Segoe UI', sans-serif">`+"\n<title>%s</title>\n",
		p.Width, p.Height, p.Width, p.Height, escaped(p.Title))
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="%s"/>`+"\n", p.Width, p.Height, p.Ground)
	for _, x := range p.shapes {
		switch {
		case x.text != "":
			weight := ""
			if x.style.Bold {
				weight = ` font-weight="bold"`
			}
			fmt.Fprintf(&b, `<text x="%s" y="%s" font-size="%s" fill="%s" text-anchor="%s"%s textLength="%s" `+
				`lengthAdjust="spacingAndGlyphs">%s</text>`+"\n", num(x.points[0].X), num(x.points[0].Y),
				num(x.style.Size), x.style.Colour, anchorOf(x.style), weight, num(Length(x.text, x.style)),
				escaped(x.text))
		case x.fill != "":
			fmt.Fprintf(&b, `<polygon points="%s" fill="%s"%s/>`+"\n", places(x.points), x.fill,
				opacity("fill-opacity", x.opacity))
		default:
			dash := ""
			if len(x.stroke.Dash) > 0 {
				lengths := make([]string, len(x.stroke.Dash))
				for i, d := range x.stroke.Dash {
					lengths[i] = num(d)
				}
				dash = ` stroke-dasharray="` + strings.Join(lengths, " ") + `"`
			}
			fmt.Fprintf(&b, `<polyline points="%s" fill="none" stroke="%s" stroke-width="%s"%s%s/>`+"\n",
				places(x.points), x.stroke.Colour, num(x.stroke.Width), dash,
				opacity("stroke-opacity", x.stroke.Opacity))
		}
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func anchorOf(s Style) Anchor {
	if s.Anchor == "" {
		return Start
	}
	return s.Anchor
}

func opacity(name string, x float64) string {
	if x == 1 {
		return ""
	}
	return fmt.Sprintf(` %s="%s"`, name, num(x))
}

func places(points []Point) string {
	all := make([]string, len(points))
	for i, p := range points {
		all[i] = num(p.X) + "," + num(p.Y)
	}
	return strings.Join(all, " ")
}

func num(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }

func escaped(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // a buffer never fails
	return b.String()
}
