package report

import (
	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// moves are the ways an assessor's rating can go, each with its own line and
// mark, so that no figure leans on colour alone.
var moves = []struct {
	sign                 int
	dash, colour, symbol string
	hollow               bool
	mark                 string
}{
	{0, "dotted", quietColour, "rect", true, "same"},
	{-1, "dashed", inkColour, "circle", true, "down"},
	{1, "solid", accentColour, "circle", false, "up"},
}

func signOf(p analysis.Pair) int {
	switch {
	case p.First > p.Second:
		return 1
	case p.First < p.Second:
		return -1
	}
	return 0
}

// pairsFigure draws each assessor as a line from the second sample to the
// first, so that a line that rises is a difference above zero.
func pairsFigure(v voice, s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	c := contrastOf(s, f.Two())
	n := decimalsFor(a.Scale)
	d := newDrawing(
		// would hide who stayed at the end AxisTick: noTick(), SplitLine: noSplit(),
		opts.XAxis{Type: "category", Data: []string{c.names()[1], c.names()[0]},
			AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 14,
				ShowMinLabel: opts.Bool(true), ShowMaxLabel: opts.Bool(true), Interval: "0", Width: 112,
				Overflow: "break"}},
		opts.YAxis{Type: "value", Min: a.Scale.Min(), Max: a.Scale.Max(), AxisLabel: axisLabel(),
			SplitLine: quietLine()},
		opts.Grid{Left: "8", Right: "8", Top: "12", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	same, most := sameRatings(f.Pair.Each)
	for _, m := range moves {
		for _, g := range same {
			if signOf(g.pair) == m.sign {
				d.line("", []point{{0, g.pair.Second}, {1, g.pair.First}},
					stroke{colour: m.colour, width: widthOf(g.people, most), dash: m.dash, opacity: 0.65})
			}
		}
	}
	d.line("mean", []point{{0, f.Pair.Means[1]}, {1, f.Pair.Means[0]}},
		stroke{colour: groundColour, width: 9, dash: "solid", opacity: 0.9})
	d.marks("mean", []point{{0, f.Pair.Means[1]}}, d.meanMark(v.figure(f.Pair.Means[1], n), "left"))
	d.line("mean", []point{{0, f.Pair.Means[1]}, {1, f.Pair.Means[0]}},
		stroke{colour: inkColour, width: 4, dash: "solid", opacity: 1})
	d.marks("mean", []point{{1, f.Pair.Means[0]}}, d.meanMark(v.figure(f.Pair.Means[0], n), "right"))
	return Figure{
		ID: "pairs", Title: v.say("Everyone’s two ratings: %s", a.Ask), Height: 380, Option: d.option(),
		Spoken: true, InWords: v.say(inWords),
		Alt: v.say("Each of %s is a line from their rating of %s to their rating of %s. Lines that "+
			"rise: %d, that fall: %d, that stay level: %d. The mean goes from %s to %s.",
			people(f.N), c.names()[1], c.names()[0], f.Pair.Moved.Up, f.Pair.Moved.Down, f.Pair.Moved.Same,
			figure(f.Pair.Means[1], n), figure(f.Pair.Means[0], n)),
		Legend: moveLegend(v, f, "", "mean", v.say("mean of all")),
		Data:   pairsTable(v, f, c, n), Caption: scaleCaptionIn(v, a.Scale) + sameCaption(v, most),
	}
}

// together are the assessors who gave the same two ratings: their lines would hide
// each other, so they share one.
type together struct {
	pair   analysis.Pair
	people int
}

// sameRatings groups assessors by their two ratings, in the order in which they
// come, and says how many the largest group has.
func sameRatings(pairs []analysis.Pair) (groups []together, most int) {
	at := map[[2]float64]int{}
	for _, p := range pairs {
		k := [2]float64{p.First, p.Second}
		i, known := at[k]
		if !known {
			i, at[k] = len(groups), len(groups)
			groups = append(groups, together{pair: p})
		}
		groups[i].people++
		most = max(most, groups[i].people)
	}
	return groups, most
}

// widthOf is how wide the line of so many people is, in pixels, when the largest
// group has most: in proportion, but that the largest stays a line.
func widthOf(people, most int) float32 {
	const one, widest = 1.25, 16
	if float32(most)*one <= widest {
		return float32(people) * one
	}
	return one + float32(people-1)*(widest-one)/float32(most-1)
}

func sameCaption(v voice, most int) string {
	if most < 2 {
		return ""
	}
	return " " + v.say("People who gave the same two ratings share a line; the more they are, the wider it is "+
		"(up to %d).", most)
}

func (d *drawing) meanMark(label, side string) stroke {
	return stroke{colour: inkColour, symbol: "diamond", size: 15, opacity: 1, label: []string{label}, side: side}
}

func moveLegend(v voice, f analysis.Finding, kind, mark, text string) []LegendEntry {
	return []LegendEntry{
		{kind + "up", v.say("higher: %d", f.Pair.Moved.Up)},
		{kind + "down", v.say("lower: %d", f.Pair.Moved.Down)},
		{kind + "same", v.say("the same: %d", f.Pair.Moved.Same)},
		{mark, text},
	}
}

// scaleCaption says what the ends of the scale mean.
func scaleCaption(s study.Scale) string { return scaleCaptionIn(English, s) }

func scaleCaptionIn(v voice, s study.Scale) string {
	low, high := s.Low, s.High
	if s.Kind != study.Line && len(s.Labels) > 0 {
		low, high = s.Labels[0], s.Labels[len(s.Labels)-1]
	}
	return v.say("%s = %s, %s = %s.", plainFigure(s.Min()), low, plainFigure(s.Max()), high)
}

func pairsTable(v voice, f analysis.Finding, c contrast, n int) DataTable {
	t := DataTable{Headings: []string{v.say("Assessor"), c.names()[1], c.names()[0], v.say("Difference")}}
	for _, p := range f.Pair.Each {
		t.Rows = append(t.Rows, []string{p.Assessor, v.figure(p.Second, n), v.figure(p.First, n),
			v.say("%s", signedFigure(p.First-p.Second, n))})
	}
	t.Rows = append(t.Rows, []string{v.say("Mean"), v.figure(f.Pair.Means[1], n), v.figure(f.Pair.Means[0], n),
		v.say("%s", signedFigure(f.Pair.Means[0]-f.Pair.Means[1], n))})
	return t
}
