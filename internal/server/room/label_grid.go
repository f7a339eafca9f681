package room

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// labelGrid is a sheet of labels, in millimetres.
type labelGrid struct {
	Paper         string // "a4" or "letter"
	Columns, Rows int
	Width, Height float64 // of one label
	Left, Top     float64 // margins
	Across, Down  float64 // gaps between labels
	Right, Lower  float64 // how far a printer has to be helped: to the right, downwards
	Skip          int     // labels of the first sheet that are used up
}

// papers are the sizes of paper, mm: ISO 216 (A4) and ANSI/ASME Y14.1 (Letter,
// 8.5 × 11 in).
var papers = map[string]struct {
	Name          string
	Width, Height float64
}{
	"a4":     {"A4", 210, 297},
	"letter": {"Letter", 215.9, 279.4},
}

// labelSizes are grids that are sold widely, named by their geometry. Source: none
// but common practice; margins follow from centring the grid. Measure your sheet.
var labelSizes = []labelGrid{
	centred("a4", 3, 8, 70, 37, 0, 0),
	centred("a4", 3, 7, 63.5, 38.1, 2.5, 0),
	centred("a4", 5, 13, 38.1, 21.2, 2.5, 0),
	centred("letter", 3, 10, 66.68, 25.4, 3.17, 0),
	centred("letter", 2, 5, 101.6, 50.8, 4.8, 0),
}

// centred is a grid in the middle of its paper.
func centred(paper string, columns, rows int, width, height, across, down float64) labelGrid {
	g := labelGrid{Paper: paper, Columns: columns, Rows: rows, Width: width, Height: height, Across: across, Down: down}
	w, h := g.size()
	g.Left, g.Top = tenth((papers[paper].Width-w)/2), tenth((papers[paper].Height-h)/2)
	return g
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }

// size is that of the whole grid, margins left out.
func (g labelGrid) size() (width, height float64) {
	return float64(g.Columns)*g.Width + float64(g.Columns-1)*g.Across,
		float64(g.Rows)*g.Height + float64(g.Rows-1)*g.Down
}

// Name names a grid by its geometry, e.g. "A4, 3 × 8, 70 × 37 mm".
func (g labelGrid) Name() string {
	return fmt.Sprintf("%s, %d × %d, %s × %s mm", papers[g.Paper].Name, g.Columns, g.Rows, site.Number(g.Width),
		site.Number(g.Height))
}

// labelField is one number of a grid on a form or in an address.
type labelField struct {
	Name, Label string
	Least, Most float64
	Whole       bool
	at          func(*labelGrid) *float64
}

// gridFields are the numbers of a grid. Bounds are those of paper.
var gridFields = []labelField{
	{"width", "Label width, mm", 10, 215, false, func(g *labelGrid) *float64 { return &g.Width }},
	{"height", "Label height, mm", 8, 297, false, func(g *labelGrid) *float64 { return &g.Height }},
	{"left", "Margin left, mm", 0, 200, false, func(g *labelGrid) *float64 { return &g.Left }},
	{"top", "Margin top, mm", 0, 280, false, func(g *labelGrid) *float64 { return &g.Top }},
	{"across", "Gap between columns, mm", 0, 100, false, func(g *labelGrid) *float64 { return &g.Across }},
	{"down", "Gap between rows, mm", 0, 100, false, func(g *labelGrid) *float64 { return &g.Down }},
	{"right", "Shift to the right, mm", -20, 20, false, func(g *labelGrid) *float64 { return &g.Right }},
	{"lower", "Shift downwards, mm", -20, 20, false, func(g *labelGrid) *float64 { return &g.Lower }},
}

// maxLabels bounds the labels of one sheet.
const maxLabels = 400

// readGrid reads a grid from a form or an address; problems say what is wrong.
func readGrid(q url.Values) (labelGrid, []site.Problem) {
	g := labelGrid{Paper: q.Get("paper")}
	var list []site.Problem
	if _, ok := papers[g.Paper]; !ok {
		list = append(list, site.Problem{Field: "paper", Text: "Choose A4 or Letter."})
		g.Paper = "a4"
	}
	count := func(name, label string, least, most int) int {
		n, err := strconv.Atoi(strings.TrimSpace(q.Get(name)))
		if err != nil || n < least || n > most {
			list = append(list, site.Problem{Field: name,
				Text: fmt.Sprintf("%s: write a whole number from %d to %d.", label, least, most)})
			return least
		}
		return n
	}
	g.Columns, g.Rows = count("columns", "Columns", 1, 20), count("rows", "Rows", 1, 40)
	for _, f := range gridFields {
		v, err := study.ParseNumber(strings.ReplaceAll(strings.TrimSpace(q.Get(f.Name)), ",", "."))
		if err != nil || !(v >= f.Least && v <= f.Most) {
			list = append(list, site.Problem{Field: f.Name,
				Text: fmt.Sprintf("%s: write a number from %s to %s.", f.Label, site.Number(f.Least),
					site.Number(f.Most))})
			v = f.Least
		}
		*f.at(&g) = math.Round(100*v) / 100
	}
	g.Skip = count("skip", "Labels used up", 0, max(g.Columns*g.Rows-1, 0))
	return g, append(list, g.misfits(len(list) > 0)...)
}

// misfits says whether the grid fits its paper; nothing when numbers are wrong
// already.
func (g labelGrid) misfits(wrong bool) []site.Problem {
	if wrong {
		return nil
	}
	p := papers[g.Paper]
	w, h := g.size()
	const slack = 0.05 // mm: what rounding to a hundredth can add up to
	switch {
	case g.Left+w > p.Width+slack:
		return []site.Problem{{Field: "columns", Text: fmt.Sprintf("The labels are %s mm wide with their margin, "+
			"the paper %s. Take fewer columns, narrower labels or smaller "+
			"gaps.", site.Number(g.Left+w), site.Number(p.Width))}}
	case g.Top+h > p.Height+slack:
		return []site.Problem{{Field: "rows", Text: fmt.Sprintf("The labels are %s mm high with their margin, the "+
			"paper %s. Take fewer rows, lower labels or smaller gaps.", site.Number(g.Top+h), site.Number(p.Height))}}
	case g.Columns*g.Rows > maxLabels:
		return []site.Problem{{Field: "rows", Text: fmt.Sprintf("That is more than %d labels on a sheet.", maxLabels)}}
	}
	return nil
}

// Values are the grid as a form or an address holds it.
func (g labelGrid) Values() url.Values {
	q := url.Values{"paper": {g.Paper}, "columns": {strconv.Itoa(g.Columns)}, "rows": {strconv.Itoa(g.Rows)},
		"skip": {strconv.Itoa(g.Skip)}}
	for _, f := range gridFields {
		q.Set(f.Name, site.Number(*f.at(&g)))
	}
	return q
}

// css lays the grid out. It is a style sheet of its own, since pages may hold no
// styles; every number in it went through [readGrid].
func (g labelGrid) css() string {
	p := papers[g.Paper]
	mm := func(x float64) string { return site.Number(x) + "mm" }
	size := min(g.Height*0.5, g.Width*0.3) // three digits are about 1.7 times as wide as high
	return fmt.Sprintf(`@page { size: %s %s; margin: 0 }
.labels { width: %s; height: %s; grid-template-columns: repeat(%d, %s); grid-template-rows: repeat(%d, %s);
  column-gap: %s; row-gap: %s; padding-left: %s; padding-top: %s }
.labels li { left: %s; top: %s }
.labels strong { font-size: %s }
.labels span { font-size: %s }
`, mm(p.Width), mm(p.Height), mm(p.Width), mm(p.Height), g.Columns, mm(g.Width), g.Rows, mm(g.Height), mm(g.Across),
		mm(g.Down),
		mm(g.Left), mm(g.Top), mm(g.Right), mm(g.Lower), mm(size), mm(max(size/4, 2)))
}
