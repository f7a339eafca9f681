package report

import (
	"cmp"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What the figure of two groups takes, in pixels, as in the figure of differences. A row
// is as high as a dot.
const (
	ratingsAcross = 165 // width of the plot beside the names
	fewestRows    = 7   // of a group's dots, so that its name has room
	belowGroups   = 64  // the axis and the margins
)

// groupsFigures draw the primary comparison, and all attributes of its two samples
// together when there are more.
func groupsFigures(v voice, s *study.Study, r *analysis.Result, primary analysis.Finding) []Figure {
	if primary.Groups.Ns[0] == 0 || primary.Groups.Ns[1] == 0 {
		return nil
	}
	figures := []Figure{groupsFigure(v, s, primary)}
	var same []analysis.Finding
	for _, f := range twoSamples(r.Findings) {
		if f.Compares(primary.Two()) {
			same = append(same, f)
		}
	}
	if len(same) > 1 {
		figures = append(figures, overviewFigure(s, same))
	}
	return figures
}

// stacked are the dots of one group, each at its own rating: heights from 0.
type stacked struct {
	at   []point
	rows int
}

// stackRatings puts dots of a width at the lowest heights at which none covers another.
func stackRatings(group []analysis.InGroup, width float64) stacked {
	sorted := slices.Clone(group)
	slices.SortStableFunc(sorted, func(a, b analysis.InGroup) int { return cmp.Compare(a.Value, b.Value) })
	var d stacked
	var last []float64 // dot at each height, from the lowest
	for _, v := range sorted {
		h := slices.IndexFunc(last, func(before float64) bool { return v.Value-before >= width })
		if h < 0 {
			h, last = len(last), append(last, v.Value)
		}
		last[h] = v.Value
		d.at = append(d.at, point{v.Value, float64(h)})
	}
	d.rows = max(fewestRows, len(last))
	return d
}

// stackGroups stacks both groups in dots as large as there is room for.
func stackGroups(groups [2][]analysis.InGroup, span float64) (both [2]stacked, size int) {
	for size = largestDot; ; size-- {
		for k, g := range groups {
			both[k] = stackRatings(g, span*float64(size)/ratingsAcross)
		}
		if (both[0].rows+both[1].rows)*size <= 2*dotsHigh || size == smallestDot {
			return both, size
		}
	}
}

// groupMarks are the looks of the dots of the first group and the second.
var groupMarks = [2]struct {
	colour, mark string
	hollow       bool
}{{accentColour, "dot-up", false}, {inkColour, "dot-down", true}}

// Pixels between the parts of a group, from below: room, its mean with the interval and
// its label, its dots.
const (
	roomBelow = 16
	roomLabel = 36
)

// groupsFigure draws everybody's rating as a dot at its own value, each group over its
// mean with the interval; the first sample is on top.
func groupsFigure(v voice, s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	c, n, g := contrastOf(s, f.Two()), decimalsFor(a.Scale), f.Groups
	from, to := groupsRange(a.Scale, g)
	both, size := stackGroups(g.Each, to-from)
	var names []string
	var base [2]int
	room, label := (roomBelow+size-1)/size, (roomLabel+size-1)/size // in rows
	for k := 1; k >= 0; k-- {                                       // the axis counts from below
		base[k] = len(names) + room
		rows := make([]string, room+label+both[k].rows)
		rows[room+label+both[k].rows/2] = c.names()[k]
		names = append(names, rows...)
	}
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "20", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	for k := range both {
		for i := range both[k].at {
			both[k].at[i][1] += float64(base[k] + label)
		}
		m := groupMarks[k]
		d.marks(string(f.Comparison[k]), both[k].at, stroke{colour: m.colour, symbol: "circle",
			size: float32(size), opacity: 1,
			hollow: m.hollow})
		at := float64(base[k])
		if ci := g.CIs[k]; !ci.Absent() {
			d.line("interval", []point{{ci.Lo, at}, {ci.Hi, at}}, stroke{colour: inkColour, width: 5,
				dash: "solid", opacity: 1})
		}
		if m := f.Verdict.Margin; m > 0 && f.Verdict.Sameness && k == 1 {
			d.line("margin", []point{{max(from, g.Means[1]-m), at - 0.6}, {min(to, g.Means[1]+m), at - 0.6}},
				stroke{colour: inkColour, width: 2, dash: "dashed", opacity: 1})
		}
		mean := d.meanMark(v.figure(g.Means[k], n), "top")
		mean.size = 9 // so that a short interval shows on a phone
		d.marks("mean", []point{{g.Means[k], at}}, mean)
	}
	legend := []LegendEntry{{groupMarks[0].mark, v.say("%s: %s", c.names()[0], people(g.Ns[0]))},
		{groupMarks[1].mark, v.say("%s: %s", c.names()[1], people(g.Ns[1]))},
		{"interval", v.say("mean of a group with its %s interval", v.inPercent(percent(s.Plan.Level())))}}
	caption := scaleCaptionIn(v, a.Scale) + " " + v.say("Each dot stands at its person’s own rating; dots that would "+
		"cover each other are stacked. The interval of the difference is in the sentence above.")
	if f.Verdict.Sameness && f.Verdict.Margin > 0 {
		caption += " " + v.say("The dashed line goes as far from the mean of the lower group as the smallest "+
			"difference worth acting on, %s points: the upper mean is to lie over it, with room to its ends.",
			study.Figure(general(f.Verdict.Margin)))
	}
	return Figure{
		ID: "groups", Title: v.say("Everyone’s rating: %s", a.Ask), Height: belowGroups + size*len(names),
		Option: d.option(), Spoken: true, InWords: v.say(inWords),
		Alt: v.say("A dot for each rating: %s who had %s above, with the mean %s, and %s who had %s "+
			"below, with the mean %s.",
			people(g.Ns[0]), c.names()[0], figure(g.Means[0], n), people(g.Ns[1]), c.names()[1],
			figure(g.Means[1], n)),
		Legend: legend, Data: groupsTable(v, f, c, n), Caption: caption,
	}
}

// groupsRange spans the scale, and intervals that reach beyond it.
func groupsRange(scale study.Scale, g analysis.GroupsPart) (from, to float64) {
	from, to = scale.Min(), scale.Max()
	lo, hi := from, to
	for _, ci := range g.CIs {
		if !ci.Absent() {
			lo, hi = min(lo, ci.Lo), max(hi, ci.Hi)
		}
	}
	if lo < from || hi > to {
		from, to, _ = niceRange(lo, hi, 6)
	}
	return from, to
}

func groupsTable(v voice, f analysis.Finding, c contrast, n int) DataTable {
	t := DataTable{Headings: []string{v.say("Assessor"), v.say("Sample"), v.say("Rating")}}
	for k, group := range f.Groups.Each {
		for _, x := range group {
			t.Rows = append(t.Rows, []string{x.Assessor, c.names()[k], v.figure(x.Value, n)})
		}
	}
	for k, ci := range f.Groups.CIs {
		t.Rows = append(t.Rows, []string{v.say("Mean"), c.names()[k],
			v.say("%s (%s interval %s)", figure(f.Groups.Means[k], n), v.inPercent(levelWords(ci.Level)),
				fromTo(ci, n))})
	}
	return t
}
