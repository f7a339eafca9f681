package report

import (
	"strings"

	"cloche/internal/picture"
)

// How large the words of a figure are in a still picture, beside those on a page.
const stillScale = 1.25

// Still is the figure as a picture of its own, with its title and what its marks mean.
func (f Figure) Still(invented bool) (*picture.Picture, error) {
	const width, margin = 900, 32.0
	height := int(stillScale*float64(f.Height)) + 190
	p := &picture.Picture{Width: width, Height: height, Ground: paper["--report-ground"],
		Title: f.Title + ". " + f.Alt}
	y := margin
	if invented || f.Simulated {
		text := "Invented data: says nothing of any dish"
		if f.Simulated {
			text = "Simulated, invented answers"
		}
		p.Text(picture.Point{X: margin, Y: y + 10}, text, picture.Style{Size: 16, Bold: true,
			Colour: paper["--report-ink"]})
		y += 24
	}
	return p, f.into(p, margin, y, width-2*margin, float64(height)-y-margin)
}

// into draws the figure with its title and legend into a rectangle.
func (f Figure) into(p *picture.Picture, x, y, width, height float64) error {
	ink := paper["--report-ink"]
	title, lines := picture.Fit(f.Title, picture.Style{Bold: true, Colour: ink}, width, 2, 20, 18)
	for i, l := range lines {
		p.Text(picture.Point{X: x, Y: y + title.Size + float64(i)*1.3*title.Size}, l, title)
	}
	top := y + float64(len(lines))*1.3*title.Size + 8
	rows := legendRows(f.Legend, width)
	below := float64(len(rows)) * legendLine
	ways := picture.Style{Size: 15, Colour: ink}
	key := picture.Wrapped(f.Key, ways, width)
	below += float64(len(key)) * 1.3 * ways.Size
	left, right := waysLines(f.Left, "← ", "", ways, width), waysLines(f.Right, "", " →", ways, width)
	below += float64(max(len(left), len(right))) * 1.3 * ways.Size
	bottom := y + height - below - 8
	if err := p.Chart([]byte(f.Option), paper, x, top, width, bottom-top, stillScale); err != nil {
		return err
	}
	at := bottom + ways.Size
	for i, l := range left {
		p.Text(picture.Point{X: x, Y: at + float64(i)*1.3*ways.Size}, l, ways)
	}
	for i, l := range key {
		p.Text(picture.Point{X: x, Y: at + float64(max(len(left), len(right))+i)*1.3*ways.Size}, l, ways)
	}
	ways.Anchor = picture.End
	for i, l := range right {
		p.Text(picture.Point{X: x + width, Y: at + float64(i)*1.3*ways.Size}, l, ways)
	}
	drawLegend(p, rows, x, y+height-float64(len(rows))*legendLine)
	return nil
}

func waysLines(text, before, after string, s picture.Style, width float64) []string {
	if text == "" {
		return nil
	}
	return picture.Wrapped(before+text+after, s, 0.48*width)
}

const legendLine, legendSize, legendMark = 24.0, 15.0, 40.0

// legendRows are the entries of a legend, as many in a line as there is room for; one that is longer than a
// line goes on without a mark below.
func legendRows(all []LegendEntry, width float64) [][]LegendEntry {
	var parts []LegendEntry
	for _, e := range all {
		for i, text := range picture.Wrapped(e.Text, picture.Style{Size: legendSize}, width-legendMark) {
			if i > 0 {
				e.Mark = ""
			}
			parts = append(parts, LegendEntry{e.Mark, text})
		}
	}
	var rows [][]LegendEntry
	used := width + 1
	for _, e := range parts {
		length := legendMark + picture.Length(e.Text, picture.Style{Size: legendSize}) + 20
		if e.Mark == "" {
			used = width + 21
		}
		if used+length > width+20 {
			rows, used = append(rows, nil), 0
		}
		rows[len(rows)-1], used = append(rows[len(rows)-1], e), used+length
	}
	return rows
}

func drawLegend(p *picture.Picture, rows [][]LegendEntry, x, y float64) {
	s := picture.Style{Size: legendSize, Colour: paper["--report-ink"]}
	for i, row := range rows {
		at := picture.Point{X: x, Y: y + (float64(i)+0.7)*legendLine}
		for _, e := range row {
			if e.Mark != "" {
				legendMarkOf(p, e.Mark, picture.Point{X: at.X, Y: at.Y - 0.35*legendSize})
			}
			p.Text(picture.Point{X: at.X + legendMark, Y: at.Y}, e.Text, s)
			at.X += legendMark + picture.Length(e.Text, s) + 20
		}
	}
}

// legendLines are the marks of a legend that are lines, as report.css has them.
var legendLines = map[string]picture.Stroke{
	"up":       {Colour: "--report-accent", Width: 2},
	"down":     {Colour: "--report-ink", Width: 2, Dash: []float64{6, 4}},
	"same":     {Colour: "--report-quiet", Width: 3, Dash: []float64{3, 3}},
	"mean":     {Colour: "--report-ink", Width: 5},
	"interval": {Colour: "--report-ink", Width: 5},
	"apart":    {Colour: "--report-accent", Width: 2, Dash: []float64{2, 2}},
	"ink":      {Colour: "--report-ink", Width: 2},
	"least":    {Colour: "--report-green", Width: 2, Dash: []float64{6, 4}},
	"green":    {Colour: "--report-green", Width: 2},
	"pairs":    {Colour: "--report-accent", Width: 3, Dash: []float64{3, 3}},
}

// legendMarkOf draws the mark of an entry, its left end at a point.
func legendMarkOf(p *picture.Picture, mark string, at picture.Point) {
	middle := picture.Point{X: at.X + 15, Y: at.Y}
	accent, ink := paper["--report-accent"], paper["--report-ink"]
	switch line, isLine := legendLines[mark]; {
	case isLine:
		line.Colour, line.Opacity = paper[line.Colour], 1
		p.Line([]picture.Point{at, {X: at.X + 30, Y: at.Y}}, line)
	case mark == "dot-up":
		p.Mark("circle", middle, 12, accent, accent)
	case mark == "dot-down":
		p.Mark("circle", middle, 12, p.Ground, ink)
	case mark == "dot-same":
		p.Mark("rect", middle, 11, p.Ground, paper["--report-quiet"])
	case mark == "unclear":
		p.Mark("diamond", middle, 14, p.Ground, ink)
	case strings.HasPrefix(mark, "bar-"):
		colour := map[string]string{"bar-low": "--report-green", "bar-high": "--report-accent"}[mark]
		if colour == "" {
			colour = "--report-quiet"
		}
		p.Box(at.X, at.Y-6, 30, 12, paper[colour], 0.7)
	default:
		p.Mark("diamond", middle, 14, ink, ink)
	}
}
