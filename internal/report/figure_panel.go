package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// panelFigures draw a panel that is primary.
func panelFigures(_ voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	if len(f.Panel.Estimates) == 0 {
		return nil
	}
	return []Figure{panelFigure(s, f)}
}

// Sizes of the dots of the figure of a panel, in pixels: area goes with the people, but
// that the largest stays within its line.
const (
	onePerson   = 5.0
	largestBlob = 18.0
)

// blob is how many people gave a sample one rating.
type blob struct {
	value  float64
	people int
}

// blobs counts the ratings of a sample, from the lowest on.
func blobs(f analysis.Finding, sample study.SampleID) []blob {
	count := map[float64]int{}
	for _, r := range f.Panel.Each {
		if r.Sample == sample {
			count[r.Value]++
		}
	}
	var all []blob
	for v, n := range count {
		all = append(all, blob{v, n})
	}
	slices.SortFunc(all, func(a, b blob) int { return cmp.Compare(a.value, b.value) })
	return all
}

// sizeOfBlob is the diameter of the dot of so many people, when the most at one place are most.
func sizeOfBlob(people, most int) float32 {
	size := onePerson * math.Sqrt(float64(people))
	if top := onePerson * math.Sqrt(float64(most)); top > largestBlob {
		size = onePerson + (size-onePerson)*(largestBlob-onePerson)/(top-onePerson)
	}
	return float32(size)
}

// rowHeight is the height of a sample in pixels in figures that have a mean over dots.
const rowHeight = 78

// rowOf are the lines of a sample from below: its dots, its mean, and a gap, so that what is
// written above a mean does not lie on the dots of the sample above.
func rowOf(name string) []string { return []string{"", name, ""} }

// meanLine is the line of the mean of a row, of so many and counted from the top; its dots lie on
// the line below.
func meanLine(row, of int) float64 { return float64(3*(of-1-row) + 1) }

// panelFigure draws each sample's mean with its interval over the ratings of everybody,
// the highest mean on top.
func panelFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	sorted := byMean(f)
	var names []string
	for i := len(sorted) - 1; i >= 0; i-- { // the axis counts from below
		names = append(names, rowOf(analysis.Label(s, sorted[i].Sample))...)
	}
	from, to := panelRange(a.Scale, f)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	table := DataTable{Headings: []string{"Sample", "People", "Mean", percent(s.Plan.Level()) + " interval", "Letters",
		"Ratings (people)"}}
	most := mostAlike(f)
	dot, legend := "rating", "ratings"
	if ratedAgain(f) {
		dot, legend = "person’s mean rating", "ratings, of each person the mean"
	}
	for i, e := range sorted {
		top := meanLine(i, len(sorted))
		ratings := d.blobs(blobs(f, e.Sample), top-1, most, n)
		d.estimate(e, top, n)
		table.Rows = append(table.Rows, []string{analysis.Label(s, e.Sample), fmt.Sprint(e.N), number(e.Mean, n),
			interval(e.CI, n), lettersText(e.Letters), ratings})
	}
	return Figure{
		ID: "panel-" + string(f.Attribute), Title: "All samples: " + a.Ask, Height: 40 + rowHeight*len(sorted),
		Option: d.option(),
		Alt: fmt.Sprintf("For each of %d samples its mean with its interval, over a dot for each %s of %s; the "+
			"highest mean, %s of %s, is on top.",
			len(sorted), dot, people(f.N), number(sorted[0].Mean, n), analysis.Label(s, sorted[0].Sample)),
		Legend: []LegendEntry{{"dot-up", legend + ": the more people, the larger the dot"},
			{"interval", "mean with its " + percent(s.Plan.Level()) + " interval"}},
		Data:    table,
		Caption: scaleCaption(a.Scale) + " Samples that share a letter are not told apart.",
	}
}

// ratedAgain reports whether somebody rated a sample more than once, whose mean is drawn.
func ratedAgain(f analysis.Finding) bool {
	return slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool {
		return w.Code == analysis.WarnReplicatesModel
	})
}

// mostAlike is how many people at most gave one rating to one sample.
func mostAlike(f analysis.Finding) int {
	most := 1
	for _, e := range f.Panel.Estimates {
		for _, b := range blobs(f, e.Sample) {
			most = max(most, b.people)
		}
	}
	return most
}

// blobs draws the ratings of a sample at a height, and returns them for the table.
func (d *drawing) blobs(all []blob, height float64, most, decimals int) (ratings string) {
	for _, b := range all {
		d.marks(fmt.Sprint(b.people), []point{{b.value, height}},
			stroke{colour: accentColour, symbol: "circle", size: sizeOfBlob(b.people, most), opacity: 0.5})
		ratings += fmt.Sprintf("%s (%d) ", number(b.value, decimals), b.people)
	}
	return ratings
}

// panelRange spans the scale, and intervals that reach beyond it.
func panelRange(scale study.Scale, f analysis.Finding) (from, to float64) {
	from, to = scale.Min(), scale.Max()
	lo, hi := from, to
	for _, e := range f.Panel.Estimates {
		if !e.CI.Absent() {
			lo, hi = min(lo, e.CI.Lo), max(hi, e.CI.Hi)
		}
		if !math.IsNaN(e.Mean) {
			lo, hi = min(lo, e.Mean), max(hi, e.Mean)
		}
	}
	if lo < from || hi > to {
		from, to, _ = niceRange(lo, hi, 4)
	}
	return from, to
}

// estimate draws a mean with its interval and letters at a height.
func (d *drawing) estimate(e analysis.SampleEstimate, at float64, n int) {
	if !e.CI.Absent() {
		d.line("interval", []point{{e.CI.Lo, at}, {e.CI.Hi, at}},
			stroke{colour: inkColour, width: 4, dash: "solid", opacity: 1})
	}
	if !math.IsNaN(e.Mean) {
		d.marks("mean", []point{{e.Mean, at}}, d.meanMark(nonEmptyWords(number(e.Mean, n), e.Letters), "top"))
	}
}

func nonEmptyWords(number, letters string) string {
	if letters == "" {
		return number
	}
	return number + " " + letters
}
