package picture

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// chart is the part of an ECharts option that the figures of a report use: lines, with or
// without marks, over two axes.
type chart struct {
	XAxis, YAxis []axis
	Series       []series
}

type axis struct {
	Type                     string // "value" or "category"
	Show                     *bool
	Data                     []string // categories, from the left or from below
	Min, Max                 float64
	MinInterval, MaxInterval float64
	Position                 string // "top"
	AxisLabel                struct {
		Show                       *bool
		ShowMinLabel, ShowMaxLabel *bool
		FontSize, Width            float64
		FontWeight, Formatter      string
	}
	AxisLine struct {
		Show      *bool
		OnZero    *bool
		LineStyle line
	}
	SplitLine struct {
		Show      *bool
		LineStyle line
	}
}

type line struct {
	Color, Type    string
	Width, Opacity *float64
}

type series struct {
	Symbol     string
	SymbolSize float64
	ShowSymbol bool
	Data       []struct {
		Value [2]float64
		Name  string
	}
	ItemStyle struct {
		Color, BorderColor   string
		BorderWidth, Opacity float64
	}
	LineStyle line
	Label     struct {
		Show     bool
		Position string
		FontSize float64
	}
}

// Palette are the colours by the names that options give them.
type Palette map[string]string

// Of is the colour of a name such as "var(--report-ink)".
func (p Palette) Of(name string) string {
	return p[strings.TrimSuffix(strings.TrimPrefix(name, "var("), ")")]
}

// frame is where a chart is drawn: the pixels of its axes, at a scale.
type frame struct {
	*Picture
	of                       chart
	colours                  Palette
	left, top, right, bottom float64
	scale                    float64
}

// Chart draws an ECharts option of a report's figure into a rectangle, words and lines so
// many times as large as a page has them.
func (p *Picture) Chart(option []byte, colours Palette, x, y, width, height, scale float64) error {
	f := frame{Picture: p, colours: colours, left: x, top: y, right: x + width, bottom: y + height, scale: scale}
	if err := json.Unmarshal(option, &f.of); err != nil {
		return fmt.Errorf("read a figure: %w", err)
	}
	if len(f.of.XAxis) != 1 || len(f.of.YAxis) != 1 {
		return fmt.Errorf("a figure with %d and %d axes", len(f.of.XAxis), len(f.of.YAxis))
	}
	f.makeRoom()
	f.splitLines()
	for _, s := range f.of.Series {
		f.series(s)
	}
	f.axisLines()
	f.labelsOfX()
	f.labelsOfY()
	for _, s := range f.of.Series {
		f.labels(s)
	}
	return nil
}

func on(flag *bool, usually bool) bool {
	if flag == nil {
		return usually
	}
	return *flag
}

func (f *frame) x() axis { return f.of.XAxis[0] }
func (f *frame) y() axis { return f.of.YAxis[0] }

func (a axis) labelled() bool { return on(a.Show, true) && on(a.AxisLabel.Show, true) }

// style is that of an axis' labels.
func (f *frame) style(a axis, anchor Anchor) Style {
	size := a.AxisLabel.FontSize
	if size == 0 {
		size = 12
	}
	return Style{Size: size * f.scale, Bold: a.AxisLabel.FontWeight == "bold", Colour: f.colours.Of("--report-ink"),
		Anchor: anchor}
}

// makeRoom takes the room of the axes' labels off the rectangle.
func (f *frame) makeRoom() {
	gap := 8 * f.scale
	f.left, f.right, f.top, f.bottom = f.left+gap, f.right-2*gap, f.top+gap, f.bottom-gap
	if a := f.y(); a.labelled() {
		widest := 0.0
		for _, t := range a.ticks() {
			for _, l := range f.lines(a, t.text) {
				widest = max(widest, Length(l, f.style(a, End)))
			}
		}
		f.left += widest + gap
	}
	if a := f.x(); a.labelled() {
		most := 1
		for _, t := range a.ticks() {
			most = max(most, len(f.lines(a, t.text)))
		}
		if room := float64(most)*1.3*f.style(a, Middle).Size + gap; a.Position == "top" {
			f.top += room
		} else {
			f.bottom -= room
		}
	}
}

// lines are those of a label, which may be wrapped.
func (f *frame) lines(a axis, text string) []string {
	if a.AxisLabel.Width == 0 {
		return []string{text}
	}
	return Wrapped(text, f.style(a, Start), a.AxisLabel.Width*f.scale)
}

// tick is a value of an axis with its label.
type tick struct {
	at   float64
	text string
}

// ticks are the round steps of an axis of values, and all categories of one of those.
func (a axis) ticks() []tick {
	var all []tick
	if a.Type == "category" {
		for i, text := range a.Data {
			all = append(all, tick{float64(i), text})
		}
		return all
	}
	step := a.step()
	for k := math.Ceil(a.Min/step - 1e-9); k*step <= a.Max+step*1e-9; k++ {
		text := signed(strconv.FormatFloat(math.Round(k*step*1e9)/1e9+0, 'f', -1, 64)) // no minus before 0
		if a.AxisLabel.Formatter != "" {
			text = strings.Replace(a.AxisLabel.Formatter, "{value}", text, 1)
		}
		all = append(all, tick{k * step, text})
	}
	if n := len(all); n > 0 && !on(a.AxisLabel.ShowMinLabel, true) && all[0].at <= a.Min+step*1e-9 {
		all[0].text = ""
	}
	if n := len(all); n > 0 && !on(a.AxisLabel.ShowMaxLabel, true) && all[n-1].at >= a.Max-step*1e-9 {
		all[n-1].text = ""
	}
	return all
}

// step is what lies between two labels.
func (a axis) step() float64 {
	if a.MaxInterval > 0 {
		return a.MaxInterval
	}
	raw := (a.Max - a.Min) / 5
	if !(raw > 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*power {
			return max(m*power, a.MinInterval)
		}
	}
	return max(10*power, a.MinInterval)
}

// part is how far along an axis a value lies, from 0 to 1.
func (a axis) part(value float64) float64 {
	if a.Type == "category" {
		return (value + 0.5) / float64(max(1, len(a.Data)))
	}
	if a.Max == a.Min {
		return 0.5
	}
	return (value - a.Min) / (a.Max - a.Min)
}

func (f *frame) at(v [2]float64) Point {
	return Point{f.left + f.x().part(v[0])*(f.right-f.left), f.bottom - f.y().part(v[1])*(f.bottom-f.top)}
}

// stroke is a line of the option in pixels.
func (f *frame) stroke(l line) Stroke {
	s := Stroke{Colour: f.colours.Of(l.Color), Width: 2 * f.scale, Opacity: 1}
	if l.Width != nil {
		s.Width = *l.Width * f.scale
	}
	if l.Opacity != nil {
		s.Opacity = *l.Opacity
	}
	switch l.Type {
	case "dashed":
		s.Dash = []float64{4 * f.scale, 3 * f.scale}
	case "dotted":
		s.Dash = []float64{s.Width, max(s.Width, 1.5*f.scale)}
	}
	return s
}

func (f *frame) splitLines() {
	if a := f.x(); a.Type == "value" && on(a.Show, true) && on(a.SplitLine.Show, true) {
		for _, t := range a.ticks() {
			x := f.left + a.part(t.at)*(f.right-f.left)
			f.Line([]Point{{x, f.top}, {x, f.bottom}}, f.stroke(a.SplitLine.LineStyle))
		}
	}
	if a := f.y(); a.Type == "value" && on(a.Show, true) && on(a.SplitLine.Show, true) {
		for _, t := range a.ticks() {
			y := f.bottom - a.part(t.at)*(f.bottom-f.top)
			f.Line([]Point{{f.left, y}, {f.right, y}}, f.stroke(a.SplitLine.LineStyle))
		}
	}
}

func (f *frame) axisLines() {
	if a := f.x(); on(a.Show, true) && on(a.AxisLine.Show, false) {
		y := f.bottom
		if a.Position == "top" {
			y = f.top
		}
		f.Line([]Point{{f.left, y}, {f.right, y}}, f.stroke(a.AxisLine.LineStyle))
	}
	if a := f.y(); on(a.Show, true) && on(a.AxisLine.Show, false) {
		x := f.left
		across, onZero := f.x(), on(a.AxisLine.OnZero, true)
		if across.Type == "value" && onZero && across.Min <= 0 && across.Max >= 0 {
			x = f.left + across.part(0)*(f.right-f.left)
		}
		f.Line([]Point{{x, f.top}, {x, f.bottom}}, f.stroke(a.AxisLine.LineStyle))
	}
}

func (f *frame) labelsOfX() {
	a := f.x()
	if !a.labelled() {
		return
	}
	s, end := f.style(a, Middle), math.Inf(-1)
	for _, t := range a.ticks() {
		x := f.left + a.part(t.at)*(f.right-f.left)
		lines := f.lines(a, t.text)
		if length := Length(t.text, s); len(lines) == 1 {
			if x-length/2 < end { // it would cover the one before
				continue
			}
			end = x + length/2 + 4*f.scale
		}
		y := f.bottom + 6*f.scale + s.Size
		if a.Position == "top" {
			y = f.top - 6*f.scale - float64(len(lines)-1)*1.3*s.Size
		}
		for i, l := range lines {
			f.Text(Point{x, y + float64(i)*1.3*s.Size}, l, s)
		}
	}
}

func (f *frame) labelsOfY() {
	a := f.y()
	if !a.labelled() {
		return
	}
	s := f.style(a, End)
	for _, t := range a.ticks() {
		lines := f.lines(a, t.text)
		y := f.bottom - a.part(t.at)*(f.bottom-f.top) + 0.35*s.Size - float64(len(lines)-1)*0.65*s.Size
		for i, l := range lines {
			f.Text(Point{f.left - 8*f.scale, y + float64(i)*1.3*s.Size}, l, s)
		}
	}
}

func (f *frame) series(s series) {
	points := make([]Point, len(s.Data))
	for i, d := range s.Data {
		points[i] = f.at(d.Value)
	}
	if s.LineStyle.Width != nil || s.LineStyle.Opacity == nil || *s.LineStyle.Opacity > 0 {
		f.Line(points, f.stroke(s.LineStyle))
	}
	if !s.ShowSymbol || s.Symbol == "none" {
		return
	}
	border := Stroke{Colour: f.colours.Of(s.ItemStyle.BorderColor), Width: s.ItemStyle.BorderWidth * f.scale,
		Opacity: s.ItemStyle.Opacity}
	for _, at := range points {
		f.mark(s.Symbol, at, s.SymbolSize*f.scale, f.colours.Of(s.ItemStyle.Color), border)
	}
}

// signed has a true minus before a number.
func signed(text string) string {
	if len(text) > 1 && text[0] == '-' && text[1] >= '0' && text[1] <= '9' {
		return "−" + text[1:]
	}
	return text
}

// labels writes what stands beside marks, over a ground of its own.
func (f *frame) labels(s series) {
	if !s.Label.Show {
		return
	}
	style := Style{Size: max(s.Label.FontSize, 12) * f.scale, Bold: true, Colour: f.colours.Of("--report-ink")}
	away := (s.SymbolSize/2 + 5) * f.scale
	for _, d := range s.Data {
		if d.Name == "" {
			continue
		}
		at, text := f.at(d.Value), signed(d.Name)
		length := Length(text, style)
		switch s.Label.Position {
		case "left":
			at = Point{at.X - away - length, at.Y + 0.35*style.Size}
		case "right":
			at = Point{at.X + away, at.Y + 0.35*style.Size}
		case "bottom":
			at = Point{at.X - length/2, at.Y + away + 0.8*style.Size}
		case "inside":
			at = Point{at.X - length/2, at.Y + 0.35*style.Size}
		default:
			at = Point{at.X - length/2, at.Y - away}
		}
		at.X = max(2, min(at.X, float64(f.Width)-length-2))
		f.Box(at.X-2, at.Y-0.85*style.Size, length+4, 1.1*style.Size, f.Ground, 0.75)
		f.Text(at, text, style)
	}
}
