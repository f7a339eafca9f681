package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

func wordsFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	figures := []Figure{tickedFigure(s, f)}
	if f.Words.Map != nil {
		figures = append(figures, mapFigure(s, f))
	}
	return figures
}

// tickedFigure draws how many people ticked each word for each sample: a line for a word,
// the surest on top, a column for a sample.
func tickedFigure(s *study.Study, f analysis.Finding) Figure {
	words := surestWords(f)
	rows := len(words)
	names := make([]string, rows)
	most := 1
	for i, w := range words { // the axis counts from below
		names[rows-1-i] = w.Word
		for _, n := range w.Ticked {
			most = max(most, n)
		}
	}
	columns := make([]string, len(f.Comparison))
	table := DataTable{Headings: []string{"Word"}}
	var legend []LegendEntry
	for j, id := range f.Comparison {
		columns[j] = string(id)
		table.Headings = append(table.Headings, analysis.Label(s, id))
	}
	apart := map[study.AttributeID]bool{}
	for _, w := range telling(s, f) {
		apart[w.ID] = f.Verdict.Different()
	}
	d := newDrawing(
		opts.XAxis{Type: "category", Data: columns, Position: "top", AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
			AxisTick: noTick(), SplitLine: noSplit(),
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour,
				FontSize: 14, Interval: "0", FontWeight: "bold"}},
		opts.YAxis{Type: "category", Data: names, SplitLine: quietLine(),
			AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, Interval: "0", Width: 110,
				Overflow: "break"}},
		opts.Grid{Left: "8", Right: "36", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	for i, w := range words {
		colour := inkColour
		if apart[w.ID] {
			colour = accentColour
		}
		for j, n := range w.Ticked {
			if n == 0 {
				continue
			}
			people := fmt.Sprint(n)
			d.marks(people, []point{{float64(j), float64(rows - 1 - i)}}, stroke{colour: colour, symbol: "circle",
				size: sizeOfBlob(n, most), opacity: 1, hollow: !apart[w.ID], label: []string{people}, side: "right"})
		}
		table.Rows = append(table.Rows, append([]string{w.Word}, countsOf(w.Ticked)...))
	}
	if len(apart) > 0 && f.Verdict.Different() {
		legend = append(legend, LegendEntry{"dot-up", "people who ticked a word that sets samples apart"})
	}
	if len(apart) < rows || !f.Verdict.Different() {
		legend = append(legend, LegendEntry{"dot-down", "people who ticked a word of which that is not shown"})
	}
	return Figure{
		ID: string(f.Kind), Title: "Who ticked which word", Height: 44 + 38*rows, Option: d.option(),
		Alt:    tickedAlt(f, words[0]),
		Legend: legend, Data: table,
		Key: columnsIn(s, f),
		Caption: fmt.Sprintf("Columns: %s. The more people, the larger the dot; its number is of %s.", columnsIn(s, f),
			people(f.N)),
	}
}

// tickedAlt says what the figure of words shows, and which word is on top.
func tickedAlt(f analysis.Finding, top analysis.WordFinding) string {
	text := fmt.Sprintf("For each of %d words how many of %s ticked it for each of %d samples", len(f.Words.Words),
		people(f.N), len(f.Comparison))
	if !top.Tells() {
		return text + "; nobody ticked any word for one sample and not for another."
	}
	return fmt.Sprintf("%s; “%s”, on which they differ most surely, is on top.", text, top.Word)
}

// columnsIn says which letter stands for which sample.
func columnsIn(s *study.Study, f analysis.Finding) string {
	text := ""
	for j, id := range f.Comparison {
		if j > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s %s", id, analysis.Label(s, id))
	}
	return text
}

// mapFigure draws the plane of samples and words. Both axes have one scale, so that what is
// near is near.
func mapFigure(s *study.Study, f analysis.Finding) Figure {
	m := f.Words.Map
	reach := 0.
	for _, p := range m.Samples {
		reach = max(reach, math.Abs(p[0]), math.Abs(p[1]))
	}
	for _, w := range m.Words {
		reach = max(reach, math.Abs(w.At[0]), math.Abs(w.At[1]))
	}
	reach *= 1.35 // room for what is written beside a mark
	var written labels
	for j := range f.Comparison {
		written.mark(mapPixels(m.Samples[j], reach), 15)
	}
	for _, w := range m.Words {
		written.mark(mapPixels(w.At, reach), 7)
	}
	sides := make([]string, len(f.Comparison)) // samples first: their letters are what is looked for
	for j, id := range f.Comparison {
		sides[j] = written.beside(mapPixels(m.Samples[j], reach), 15, string(id), "top", "bottom", "left", "right")
	}
	axis := opts.XAxis{Type: "value", Min: -reach, Max: reach, SplitLine: noSplit(), AxisTick: noTick(),
		AxisLine:  &opts.AxisLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: quietColour, Width: 1}},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(false)}}
	d := newDrawing(axis, opts.YAxis{Type: "value", Min: -reach, Max: reach, SplitLine: noSplit(),
		AxisLine: axis.AxisLine, AxisLabel: axis.AxisLabel},
		opts.Grid{Left: "4", Top: "4", Width: mapSide, Height: mapSide})
	table := DataTable{Headings: []string{"", "Axis 1", "Axis 2"}}
	apart := map[study.AttributeID]bool{}
	for _, w := range telling(s, f) {
		apart[w.ID] = true
	}
	for _, w := range m.Words {
		k := stroke{colour: quietColour, symbol: "circle", size: 6, opacity: 1, hollow: true}
		if apart[w.ID] || len(apart) == 0 {
			k = stroke{colour: accentColour, symbol: "circle", size: 7, opacity: 1, label: []string{w.Word},
				side: written.beside(mapPixels(w.At, reach), 7, w.Word, "right", "left", "top", "bottom")}
		}
		d.marks(w.Word, []point{w.At}, k)
		table.Rows = append(table.Rows, []string{"“" + w.Word + "”", number(w.At[0], 3), number(w.At[1], 3)})
	}
	for j, id := range f.Comparison {
		d.marks(string(id), []point{m.Samples[j]}, stroke{colour: inkColour, symbol: "diamond", size: 15, opacity: 1,
			label: []string{string(id)}, side: sides[j]})
		table.Rows = append(table.Rows, []string{analysis.Label(s, id), number(m.Samples[j][0], 3),
			number(m.Samples[j][1], 3)})
	}
	legend := []LegendEntry{{"diamond", "sample"}, {"dot-up", "word that sets samples apart"}}
	if len(apart) == 0 {
		legend[1].Text = "word"
	} else if len(apart) < len(m.Words) {
		legend = append(legend, LegendEntry{"dot-down", "other word, named in the numbers below"})
	}
	return Figure{
		ID: string(f.Kind) + "-map", Title: "Which words lie near which sample", Height: 304, Option: d.option(),
		Alt: mapAlt(s, f), Legend: legend, Data: table,
		Caption: fmt.Sprintf("%s. From left to right lies %s of all that sets the samples apart in their words, from "+
			"bottom to top %s. Samples near each other were given the same words; a word lies on the side of the "+
			"samples "+
			"for which it was ticked more often than for the others.", columnsIn(s, f), shareWords(m.Share[0]),
			shareWords(m.Share[1])),
	}
}

// mapSide is the side of the square of the map, in pixels.
const mapSide, mapSidePixels = "296", 296.0

// mapPixels is where a point of the map lies, from its upper left.
func mapPixels(p [2]float64, reach float64) point {
	return point{(p[0] + reach) / (2 * reach) * mapSidePixels, (reach - p[1]) / (2 * reach) * mapSidePixels}
}

// labels are the places of marks and of what is written beside them: left, top, right, bottom.
type labels [][4]float64

func (l *labels) mark(at point, size float64) {
	*l = append(*l, [4]float64{at[0] - size/2, at[1] - size/2, at[0] + size/2, at[1] + size/2})
}

// beside is the first of some sides of a mark on which a text covers nothing and stays on the map;
// of sides that all cover something, that which covers least. What is written is then among them.
func (l *labels) beside(at point, size float64, text string, sides ...string) string {
	const letter, line, gap = 8.6, 16.0, 5.0 // of bold figures' text of 14 pixels, no narrower than it is
	width, away := letter*float64(len([]rune(text))), size/2+gap
	best, least, place := "", math.Inf(1), [4]float64{}
	for _, side := range sides {
		box := [4]float64{at[0] - width/2, at[1] - line/2, at[0] + width/2, at[1] + line/2}
		switch side {
		case "top":
			box[1], box[3] = at[1]-away-line, at[1]-away
		case "bottom":
			box[1], box[3] = at[1]+away, at[1]+away+line
		case "left":
			box[0], box[2] = at[0]-away-width, at[0]-away
		case "right":
			box[0], box[2] = at[0]+away, at[0]+away+width
		}
		covered := line * (max(0, -box[0]) + max(0, box[2]-mapSidePixels)) * 4 // cut off is worse than covered
		for _, other := range *l {
			covered += max(0, min(box[2], other[2])-max(box[0], other[0])) *
				max(0, min(box[3], other[3])-max(box[1], other[1]))
		}
		if covered < least {
			best, least, place = side, covered, box
		}
	}
	*l = append(*l, place)
	return best
}

// mapAlt says of each sample which word lies farthest out on its side.
func mapAlt(s *study.Study, f analysis.Finding) string {
	m := f.Words.Map
	text := fmt.Sprintf("A plane of %d samples and %d words.", len(m.Samples), len(m.Words))
	for j, id := range f.Comparison {
		best, word := 0., ""
		for _, w := range m.Words {
			along := w.At[0]*m.Samples[j][0] + w.At[1]*m.Samples[j][1]
			if along > best {
				best, word = along, w.Word
			}
		}
		if word != "" {
			text += fmt.Sprintf(" Farthest out on the side of %s lies “%s”.", analysis.Label(s, id), word)
		}
	}
	return text
}
