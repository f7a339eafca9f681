package report

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats/profile"
	"cloche/internal/study"
)

// drawProfile puts the figures of a study that describes its samples before all others.
func (p *Page) drawProfile(s *study.Study, r *analysis.Result) {
	if r.Profile == nil {
		return
	}
	var first []Figure
	if all := estimated(r); len(all) > 0 {
		first = append(first, profileFigure(s, all))
	}
	if m := r.Profile.Map; m != nil {
		first = append(first, sampleMap(s, m))
	}
	p.Figures = append(first, p.Figures...)
}

// estimated are the findings that have means, in the order of the study.
func estimated(r *analysis.Result) (all []analysis.Finding) {
	for _, f := range ofKind(r.Findings, analysis.KindPanel) {
		if len(f.Panel.Estimates) > 0 {
			all = append(all, f)
		}
	}
	return all
}

// along is a place on an attribute's scale as per cent of its length, so that scales of all
// lengths stand on one axis.
func along(scale study.Scale, v float64) float64 {
	return 100 * (v - scale.Min()) / (scale.Max() - scale.Min())
}

// profileFigure draws each sample's mean with its interval on every attribute, over a faint
// dot for each person.
func profileFigure(s *study.Study, all []analysis.Finding) Figure {
	rows := 0
	for _, f := range all {
		rows += 1 + len(f.Panel.Estimates)
	}
	low, high := profileSpan(s, all)
	names := make([]string, rows)
	table := DataTable{Headings: []string{"Attribute", "Sample", "People", "Mean", percent(s.Plan.Level()) + " " +
		"interval"}}
	type placed struct {
		f  analysis.Finding
		e  analysis.SampleEstimate
		at float64
	}
	var estimates []placed
	at := rows
	for _, f := range all {
		a, _ := s.Attribute(f.Attribute)
		at--
		names[at] = string(f.Attribute)
		for _, e := range f.Panel.Estimates {
			at--
			names[at] = string(e.Sample)
			estimates = append(estimates, placed{f, e, float64(at)})
			n := decimalsFor(a.Scale)
			table.Rows = append(table.Rows, []string{a.Ask, analysis.Label(s, e.Sample), fmt.Sprint(e.N),
				number(e.Mean, n), interval(e.CI, n)})
		}
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: low, Max: high, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "24", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	for _, x := range estimates {
		a, _ := s.Attribute(x.f.Attribute)
		d.profileRow(a.Scale, x.f, x.e, x.at)
	}
	return Figure{ID: "profile", Title: "What each sample is like", Height: 40 + 26*rows, Option: d.option(),
		Alt: fmt.Sprintf("For each of %d questions a line for each sample: its mean with its interval, over a "+
			"faint dot "+
			"for each person’s own mean. %s", len(all), profileEnds(s, all)),
		Legend: []LegendEntry{{"dot-up", "one person’s mean of their ratings of the sample"},
			{"interval", "mean with its " + percent(s.Plan.Level()) + " interval"}},
		Data: table,
		Caption: "From left to right the length of each question’s scale in per cent, from its low end to its high " +
			"end. " +
			samplesKey(s) + "."}
}

// samplesKey says which sample a short id is.
func samplesKey(s *study.Study) (text string) {
	for i, x := range s.Samples {
		if i > 0 {
			text += "; "
		}
		text += fmt.Sprintf("%s: %s", x.ID, analysis.Label(s, x.ID))
	}
	return text
}

// profileSpan spans the scales, and intervals that reach beyond them.
func profileSpan(s *study.Study, all []analysis.Finding) (low, high float64) {
	low, high = 0, 100
	for _, f := range all {
		a, _ := s.Attribute(f.Attribute)
		for _, e := range f.Panel.Estimates {
			for _, v := range []float64{e.Mean, e.CI.Lo, e.CI.Hi} {
				if x := along(a.Scale, v); !math.IsNaN(x) && !math.IsInf(x, 0) {
					low, high = min(low, x), max(high, x)
				}
			}
		}
	}
	if low < 0 || high > 100 {
		low, high, _ = niceRange(low, high, 6)
	}
	return low, high
}

// profileRow draws a sample on an attribute at a height.
func (d *drawing) profileRow(scale study.Scale, f analysis.Finding, e analysis.SampleEstimate, at float64) {
	var dots []point
	for _, r := range f.Panel.Each {
		if r.Sample == e.Sample {
			dots = append(dots, point{along(scale, r.Value), at})
		}
	}
	if !e.CI.Absent() {
		d.line("interval", []point{{along(scale, e.CI.Lo), at}, {along(scale, e.CI.Hi), at}},
			stroke{colour: inkColour, width: 3, dash: "solid", opacity: 1})
	}
	d.marks("people", dots, stroke{colour: accentColour, symbol: "circle", size: 6, opacity: 0.6})
	if !math.IsNaN(e.Mean) {
		mark := d.meanMark("", "top")
		mark.label = nil // an empty one would read as the name of the row
		d.marks("mean", []point{{along(scale, e.Mean), at}}, mark)
	}
}

// profileEnds says which sample lies highest and lowest on each attribute.
func profileEnds(s *study.Study, all []analysis.Finding) (text string) {
	for i, f := range all {
		a, _ := s.Attribute(f.Attribute)
		n, sorted := decimalsFor(a.Scale), byMean(f)
		if i > 0 {
			text += " "
		}
		top, bottom := sorted[0], sorted[len(sorted)-1]
		text += fmt.Sprintf("“%s”: from %s (%s) to %s (%s).", a.Ask, number(bottom.Mean, n),
			analysis.Label(s, bottom.Sample), number(top.Mean, n), analysis.Label(s, top.Sample))
	}
	return text
}

// ellipsePoints is how many points an ellipse is drawn through.
const ellipsePoints = 48

// onEllipse is a point of an ellipse.
func onEllipse(e profile.Ellipse, turn float64) point {
	x, y := e.Major*math.Cos(turn), e.Minor*math.Sin(turn)
	return point{e.X + x*math.Cos(e.Angle) - y*math.Sin(e.Angle), e.Y + x*math.Sin(e.Angle) + y*math.Cos(e.Angle)}
}

// sampleMap draws the samples with their ellipses, and the attributes as lines from the
// middle.
func sampleMap(s *study.Study, m *analysis.ProductMap) Figure {
	far := 0.0
	rings := make([][]point, len(m.Samples))
	for i, x := range m.Samples {
		for k := range ellipsePoints + 1 {
			p := onEllipse(x.Ellipse, 2*math.Pi*float64(k)/ellipsePoints)
			rings[i] = append(rings[i], p)
			far = max(far, math.Abs(p[0]), math.Abs(p[1]))
		}
	}
	from, to, _ := roomyRange(-1.1*far, 1.1*far, 6)
	axis := func() *opts.AxisLabel { return &opts.AxisLabel{Show: opts.Bool(false)} }
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: noSplit(),
			AxisLabel: axis()},
		opts.YAxis{Type: "value", Min: from, Max: to, AxisLabel: axis(), SplitLine: noSplit(), AxisLine: axisLine()},
		opts.Grid{Left: "4", Top: "4", Width: "296", Height: "296"}, // both axes have one scale: what is near is near
	)
	d.line("middle", []point{{from, 0}, {to, 0}}, stroke{colour: quietColour, width: 1, dash: "dotted", opacity: 0.7})
	d.line("middle", []point{{0, from}, {0, to}}, stroke{colour: quietColour, width: 1, dash: "dotted", opacity: 0.7})
	long := 0.0
	for _, a := range m.Attributes {
		long = max(long, math.Hypot(a.X, a.Y))
	}
	for _, a := range m.Attributes {
		end := point{0.85 * to * a.X / long, 0.85 * to * a.Y / long}
		side := "right"
		if end[0] > 0 {
			side = "left"
		}
		d.line("attribute", []point{{0, 0}, end}, stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 0.9})
		d.marks("attribute", []point{end}, stroke{colour: greenColour, symbol: "circle", size: 6, opacity: 1,
			label: []string{string(a.Attribute)}, side: side})
	}
	for i, x := range m.Samples {
		d.line("ellipse", rings[i], stroke{colour: accentColour, width: 2, dash: "solid", opacity: 0.6})
		d.marks("sample", []point{{x.X, x.Y}}, d.meanMark(string(x.Sample), "top"))
	}
	return Figure{ID: "map", Title: "The samples on a map", Height: 304, Option: d.option(), Alt: sampleMapAlt(s, m),
		Legend: []LegendEntry{{"diamond", "a sample"},
			{"up", fmt.Sprintf("where it would lie with other assessors like these, %s", percent(m.Level))},
			{"least", "an attribute: samples on its side have more of it"}},
		Data: sampleMapTable(s, m), Caption: fmt.Sprintf("Samples near each other are alike. Of %s who rated "+
			"everything; %d "+
			"panels drawn from them make the ellipses. %s.", people(m.N), m.Draws, samplesKey(s))}
}

// sampleMapAlt says where the samples and the attributes lie.
func sampleMapAlt(s *study.Study, m *analysis.ProductMap) string {
	text := fmt.Sprintf("A map of %d samples, each with an ellipse. ", len(m.Samples))
	for _, x := range m.Samples {
		text += fmt.Sprintf("%s lies %s. ", upperFirst(analysis.Label(s, x.Sample)), quarter(x.X, x.Y))
	}
	for i, a := range m.Attributes {
		if i > 0 {
			text += "; "
		}
		text += fmt.Sprintf("%s points %s", a.Attribute, quarter(a.X, a.Y))
	}
	return text + "."
}

// quarter is where a point lies, from the middle.
func quarter(x, y float64) string {
	across, up := "right", "top"
	if x < 0 {
		across = "left"
	}
	if y < 0 {
		up = "bottom"
	}
	return up + " " + across
}

func sampleMapTable(s *study.Study, m *analysis.ProductMap) DataTable {
	t := DataTable{Headings: []string{"", "Left to right", "Bottom to top", "Ellipse, half axes"}}
	for _, x := range m.Samples {
		t.Rows = append(t.Rows, []string{analysis.Label(s, x.Sample), number(x.X, 2), number(x.Y, 2),
			number(x.Major, 2) + " and " + number(x.Minor, 2)})
	}
	for _, a := range m.Attributes {
		t.Rows = append(t.Rows, []string{string(a.Attribute) + " (correlation)", number(a.X, 2), number(a.Y, 2), none})
	}
	return t
}
