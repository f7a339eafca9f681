package report

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/study"
)

// overviewFigure sets the attributes of one pair side by side. Scales differ,
// so each difference is shown as a share of the length of its scale.
func overviewFigure(s *study.Study, findings []analysis.Finding) Figure {
	c := contrastOf(s, findings[0].Two())
	var names []string
	lo, hi := 0.0, 0.0
	for i := len(findings) - 1; i >= 0; i-- { // the axis counts from below
		a, _ := s.Attribute(findings[i].Attribute)
		names = append(names, a.Ask)
		e := shareOfScale(a.Scale, findings[i])
		for _, v := range []float64{e.Value, e.CI.Lo, e.CI.Hi} {
			if !math.IsNaN(v) {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	from, to, step := roomyRange(lo, hi, 2) // few labels, as phones are narrow
	label := axisLabel()
	label.Formatter = "{value} %"
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick:  noTick(),
			SplitLine: quietLine(), AxisLabel: label},
		opts.YAxis{Type: "category", Data: names, SplitLine: noSplit(),
			AxisLine: &opts.AxisLine{Show: opts.Bool(true), OnZero: opts.Bool(true),
				LineStyle: &opts.LineStyle{Color: inkColour, Width: 1.5}},
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, Interval: "0",
				Width:    110,
				Overflow: "break"}},
		opts.Grid{Left: "8", Right: "20", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	h := headingsOf(s, findings)
	t := DataTable{Headings: []string{"Question", h.Difference + ", % of scale", h.Interval}}
	for i, f := range findings {
		a, _ := s.Attribute(f.Attribute)
		y := float64(len(findings) - 1 - i)
		e := shareOfScale(a.Scale, f)
		clear := f.Verdict.Different()
		k := stroke{colour: inkColour, symbol: "diamond", size: 14, opacity: 1, hollow: !clear}
		if clear {
			k.colour = accentColour
		}
		if !e.CI.Absent() {
			d.line(a.Ask, []point{{e.CI.Lo, y}, {e.CI.Hi, y}},
				stroke{colour: k.colour, width: 3, dash: "solid", opacity: 1})
		}
		if !math.IsNaN(e.Value) {
			d.marks(a.Ask, []point{{e.Value, y}}, k)
		}
		t.Rows = append(t.Rows, []string{a.Ask, signed(e.Value, 1), interval(e.CI, 1) + unadjustedMark(f)})
	}
	return Figure{
		ID: "overview", Title: "All questions side by side", Height: 64 + 52*len(names), Option: d.option(),
		Alt: fmt.Sprintf("The difference on each question with its interval, in percent of the scale; right of "+
			"zero %s was rated higher.%s",
			c.names()[0], without(s, findings)),
		Legend: []LegendEntry{{"clear", "a difference was found"}, {"unclear", "no clear difference"}},
		Left:   "lower: " + c.names()[0], Right: "higher: " + c.names()[0], Data: t,
		Caption: h.Difference + " and interval as a share of each question’s scale." +
			adjustedCaption(s.Plan, findings) + without(s, findings),
	}
}

// without says which questions have no difference or no interval to draw; "" for none.
func without(s *study.Study, findings []analysis.Finding) string {
	var none, bare []string
	for _, f := range findings {
		a, _ := s.Attribute(f.Attribute)
		switch {
		case math.IsNaN(f.Value):
			none = append(none, "“"+a.Ask+"”")
		case f.CI.Absent():
			bare = append(bare, "“"+a.Ask+"”")
		}
	}
	text := ""
	if len(none) > 0 {
		text += " No difference could be computed for " + strings.Join(none, ", ") + "."
	}
	if len(bare) > 0 {
		text += " No interval could be computed for " + strings.Join(bare, ", ") + "."
	}
	return text
}

func shareOfScale(scale study.Scale, f analysis.Finding) effect.Size {
	unit, ci := 100/(scale.Max()-scale.Min()), f.Stated()
	return effect.Size{Value: unit * f.Value, CI: stats.Interval{Lo: unit * ci.Lo, Hi: unit * ci.Hi, Level: ci.Level}}
}

// adjustedCaption says which intervals are adjusted; "" when none is.
func adjustedCaption(p study.AnalysisPlan, findings []analysis.Finding) string {
	adjusted, family, which := 0, 0, "Secondary intervals"
	for _, f := range findings {
		switch {
		case f.Adjusted.Level > 0:
			adjusted, family = adjusted+1, f.Family
		case f.Family > 0:
			which = "Secondary intervals of enough people"
		}
	}
	if adjusted == 0 {
		return ""
	}
	primary := p.Level()
	if findings[0].Verdict.Sameness {
		primary = findings[0].Stated().Level
	}
	return fmt.Sprintf(" %s are adjusted (%s each), that of the primary question is at %s.", which,
		levelWords(1-p.Alpha/float64(family)), percent(primary))
}
