package report

import (
	"fmt"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// wayRowHeight is the height of one of the three points of a name, in pixels.
const wayRowHeight = 44

// wayMarks are the looks of the three points, from the top.
var wayMarks = [3]struct {
	word, mark, symbol, colour string
	hollow                     bool
}{{"expected", "unclear", "diamond", inkColour, true}, {"blind", "dot-up", "circle", accentColour, false},
	{"named", "diamond", "diamond", inkColour, false}}

// drawWays draws how far each name drew the ratings on the primary attribute. The picture stands below
// the answer, for who checks: whoever acts reads the share and its interval in a sentence (see
// [besideAnswers]), has one picture already, and with a second would read more than three screens of a
// phone before the answer ends.
func (p *Page) drawWays(s *study.Study, r *analysis.Result) {
	var ways []analysis.Way
	for _, w := range r.Ways {
		if w.Attribute == s.Plan.Attribute && w.N > 1 {
			ways = append(ways, w)
		}
	}
	if len(ways) > 0 {
		p.Figures = append(p.Figures, wayFigure(s, ways))
	}
}

// wayFigure draws three points for each name, with a line through them: what was expected
// above, what was tasted blind below it, and under the name at the bottom.
func wayFigure(s *study.Study, ways []analysis.Way) Figure {
	a, _ := s.Attribute(ways[0].Attribute)
	n := decimalsFor(a.Scale)
	names := make([]string, 4*len(ways))
	from, to := a.Scale.Min(), a.Scale.Max()
	for i, w := range ways {
		names[4*(len(ways)-1-i)+1] = analysis.Label(s, w.Sample)
		for _, m := range []dose.MeanOfPeople{w.Expected, w.Blind, w.Informed} {
			from, to = min(from, m.CI.Lo), max(to, m.CI.Hi)
		}
	}
	if from < a.Scale.Min() || to > a.Scale.Max() {
		from, to, _ = niceRange(from, to, 6)
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	level := percent(s.Plan.Level()) + " interval"
	table := DataTable{Headings: []string{"Name", "People", "Expected", level, "Tasted blind", level, "Under the name",
		level, "Share of the way"}}
	var seen []string
	for i, w := range ways {
		d.threePoints(w, float64(4*(len(ways)-1-i)), n)
		share, ends := wayShare(w.Fieller)
		if share == "" {
			share = wayEnds(w.Fieller)
		} else {
			share += " (" + ends + ")"
		}
		label := analysis.Label(s, w.Sample)
		table.Rows = append(table.Rows, []string{label, fmt.Sprint(w.N), number(w.Expected.Value, n),
			interval(w.Expected.CI, n), number(w.Blind.Value, n), interval(w.Blind.CI, n), number(w.Informed.Value, n),
			interval(w.Informed.CI, n), share})
		seen = append(seen, fmt.Sprintf("%s: expected %s, rated %s blind and %s under the name", label,
			number(w.Expected.Value, n), number(w.Blind.Value, n), number(w.Informed.Value, n)))
	}
	return Figure{
		ID: "ways", Title: "Expected, blind, named: " + a.Ask, Height: 56 + 4*wayRowHeight*len(ways),
		Option: d.option(), Alt: upperFirst(strings.Join(seen, "; ")) + ".",
		Legend: []LegendEntry{{wayMarks[0].mark, "expected before tasting"}, {wayMarks[1].mark, "tasted blind"},
			{wayMarks[2].mark, "tasted under the name"}, {"ink", "mean with its " + level},
			{"least", "joins the points of one name"}},
		Data: table,
		Caption: scaleCaption(a.Scale) + " The lowest point lies under the uppermost where ratings went all " +
			"the way to " +
			"what was expected, and under the middle one where the name did nothing. All three are of the same " +
			"people, " +
			"so that differences are surer than the intervals look. Exploratory.",
	}
}

// threePoints draws one name, from this height up.
func (d *drawing) threePoints(w analysis.Way, base float64, n int) {
	means := [3]dose.MeanOfPeople{w.Expected, w.Blind, w.Informed}
	var line []point
	for i, m := range means {
		line = append(line, point{m.Value, base + float64(2-i)})
	}
	d.line("one name", line, stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1})
	for i, m := range means {
		k := wayMarks[i]
		if !m.CI.Absent() {
			d.line("interval", []point{{m.CI.Lo, line[i][1]}, {m.CI.Hi, line[i][1]}},
				stroke{colour: inkColour, width: 2, dash: "solid", opacity: 0.8})
		}
		d.marks(k.word, line[i:i+1], stroke{colour: k.colour, symbol: k.symbol, size: 9, opacity: 1, hollow: k.hollow,
			label: []string{number(m.Value, n)}, side: "top"})
	}
}
