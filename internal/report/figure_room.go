package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// AnsweredAt is when somebody answered something.
type AnsweredAt struct {
	Assessor int // label
	Sitting  int // from 1
	At       time.Time
}

// AnsweredOf is when each turn was answered; of those that staff typed it is not known.
func AnsweredOf(c panel.Collected) (all []AnsweredAt) {
	seen := map[[2]int]bool{}
	for _, a := range c.Answers {
		at := [2]int{a.Place, a.Turn}
		if seen[at] || a.EnteredBy != "" {
			continue
		}
		seen[at] = true
		all = append(all, AnsweredAt{a.Place + 1, a.Sitting, a.At})
	}
	return all
}

// drawBeside draws what stands beside the findings: whether it mattered when somebody tasted,
// what was expected, what the panel could find, and how the evening went.
func (p *Page) drawBeside(s *study.Study, r *analysis.Result, o Options) {
	if len(p.Figures) == 0 {
		return // nothing was found either
	}
	if a, rated := s.Attribute(s.Plan.Attribute); rated && s.Question.CollectsRatings() {
		p.Figures = append(p.Figures, whenFigures(a, o.Rated)...)
	}
	for _, f := range r.Expected {
		if f.Kind == analysis.KindExpectedMinusRated && f.Attribute == s.Plan.Attribute && f.N > 1 {
			p.Figures = append(p.Figures, expectedFigure(s, f))
		}
	}
	if !o.Simulated {
		p.drawPower(s, r)
	}
	p.Figures = append(p.Figures, timelineFigures(o.Answered)...)
}

// apart are ratings of one row, each less the mean of its sample.
type apart struct {
	name string
	each []blob
	n    int
	mean float64
}

// whenFigures draw the ratings of an attribute by position and by sitting, where there are
// several: each less the mean of its sample, so that samples served earlier more often do not
// tilt them.
func whenFigures(a study.Attribute, rated []analysis.Rating) (figures []Figure) {
	for _, by := range []struct {
		id, word string
		of       func(analysis.Rating) int
	}{
		{"position", "position", func(x analysis.Rating) int { return x.Position }},
		{"sitting", "sitting", func(x analysis.Rating) int { return x.Sitting }},
	} {
		if rows := lessMeans(a.ID, rated, by.word, by.of); len(rows) > 1 {
			figures = append(figures, whenFigure(a, "by-"+by.id, by.word, rows))
		}
	}
	return figures
}

// lessMeans groups the ratings of an attribute, the first group first; of some it is not known.
func lessMeans(id study.AttributeID, rated []analysis.Rating, word string,
	of func(analysis.Rating) int) (rows []apart) {
	sums, counts := map[study.SampleID]float64{}, map[study.SampleID]int{}
	for _, x := range rated {
		if x.Attribute == id && of(x) > 0 {
			sums[x.Sample] += x.Value
			counts[x.Sample]++
		}
	}
	values := map[int][]float64{}
	for _, x := range rated {
		if x.Attribute == id && of(x) > 0 {
			values[of(x)] = append(values[of(x)], x.Value-sums[x.Sample]/float64(counts[x.Sample]))
		}
	}
	for k, all := range values {
		row := apart{name: fmt.Sprintf("%s %d", word, k), n: len(all)}
		count := map[float64]int{}
		for _, v := range all {
			row.mean += v / float64(len(all))
			count[v]++
		}
		for v, n := range count {
			row.each = append(row.each, blob{v, n})
		}
		slices.SortFunc(row.each, func(x, y blob) int { return cmp.Compare(x.value, y.value) })
		rows = append(rows, row)
	}
	slices.SortFunc(rows, func(x, y apart) int {
		return cmp.Or(cmp.Compare(len(x.name), len(y.name)), cmp.Compare(x.name, y.name))
	})
	return rows
}

// whenFigure draws a row for each position or sitting: its mean, over a dot for each rating.
func whenFigure(a study.Attribute, id, word string, rows []apart) Figure {
	n := decimalsFor(a.Scale)
	lo, hi, most := 0.0, 0.0, 1
	var names []string
	for i := len(rows) - 1; i >= 0; i-- { // the axis counts from below
		names = append(names, rowOf(rows[i].name)...)
		for _, b := range rows[i].each {
			lo, hi, most = min(lo, b.value), max(hi, b.value), max(most, b.people)
		}
	}
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	from, to, step := roomyRange(lo, hi, 4)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: from, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		namesAxis(names, 110),
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	d.line("no difference", []point{{0, 0}, {0, float64(len(names) - 1)}},
		stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1})
	table := DataTable{Headings: []string{upperFirst(word), "Ratings", "Mean of what they differ by"}}
	low, high := rows[0], rows[0]
	for i, row := range rows {
		top := meanLine(i, len(rows))
		d.dotsOf("rating", row.each, most, func(b blob) point { return point{b.value, top - 1} })
		d.marks("mean", []point{{row.mean, top}}, d.meanMark(signed(row.mean, n+1), "top"))
		table.Rows = append(table.Rows, []string{row.name, strconv.Itoa(row.n), signed(row.mean, n+1)})
		if row.mean < low.mean {
			low = row
		}
		if row.mean > high.mean {
			high = row
		}
	}
	return Figure{
		ID: id, Title: fmt.Sprintf("By %s: %s", word, a.Ask), Height: 40 + rowHeight*len(rows), Option: d.option(),
		Alt: fmt.Sprintf("For each %s a dot for each rating at what it differs by from the mean of its sample, and "+
			"their mean: from %s (%s) to %s (%s).", word, signed(low.mean, n+1), low.name, signed(high.mean, n+1),
			high.name),
		Legend: []LegendEntry{{"dot-up", "ratings: the more alike, the larger the dot"}, {"diamond", "their mean"},
			{"least", "rated as its sample is on the whole"}},
		Left: "lower than its sample’s mean", Right: "higher", Data: table,
		Caption: fmt.Sprintf("Every rating that is kept, less the mean of its sample. The further a mean lies "+
			"from the "+
			"dashed line, the more ratings went with the %s; how much of that is chance is not tested here.", word),
	}
}

// dotsOf draws a dot for each blob, as large as its people are many: as few series as there are
// sizes.
func (d *drawing) dotsOf(name string, all []blob, most int, at func(blob) point) {
	sizes := map[int][]point{}
	for _, b := range all {
		sizes[b.people] = append(sizes[b.people], at(b))
	}
	people := make([]int, 0, len(sizes))
	for n := range sizes {
		people = append(people, n)
	}
	slices.SortFunc(people, func(a, b int) int { return b - a }) // small ones on top
	for _, n := range people {
		d.marks(fmt.Sprintf("%s %d", name, n), sizes[n],
			stroke{colour: accentColour, symbol: "circle", size: sizeOfBlob(n, most), opacity: 0.5})
	}
}

// expectedFigure draws what each person expected of a name against how they rated under it.
func expectedFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: a.Scale.Min(), Max: a.Scale.Max(), AxisLine: axisLine(), AxisTick: noTick(),
			SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: a.Scale.Min(), Max: a.Scale.Max(), SplitLine: quietLine(),
			AxisLabel: axisLabel(),
			AxisLine:  axisLine()},
		opts.Grid{Left: "8", Right: "20", Top: "16", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	d.line("as expected", []point{{a.Scale.Min(), a.Scale.Min()}, {a.Scale.Max(), a.Scale.Max()}},
		stroke{colour: greenColour, width: 2, dash: "dashed", opacity: 1})
	groups, most := sameRatings(f.Pair.Each)
	bySize := map[int][]point{}
	table := DataTable{Headings: []string{"Expected", "Rated", "People"}}
	for _, g := range groups {
		bySize[g.people] = append(bySize[g.people], point{g.pair.First, g.pair.Second})
		table.Rows = append(table.Rows, []string{number(g.pair.First, n), number(g.pair.Second, n),
			strconv.Itoa(g.people)})
	}
	for k := most; k > 0; k-- {
		if len(bySize[k]) > 0 {
			d.marks(fmt.Sprintf("person %d", k), bySize[k],
				stroke{colour: accentColour, symbol: "circle", size: sizeOfBlob(k, most) + 2, opacity: 0.6})
		}
	}
	m := f.Pair.Moved // first: expected
	label := analysis.Label(s, f.Comparison[0])
	return Figure{
		ID: "expected-" + string(f.Comparison[0]), Title: fmt.Sprintf("Expected and rated, %s: %s", label, a.Ask),
		Height: 380, Option: d.option(),
		Alt: fmt.Sprintf("A dot for each of %s, at what they expected of %s to the right and how they rated it "+
			"upwards: "+
			"%d rated it higher than they expected, %d lower, %d the same.", people(f.N), label, m.Down, m.Up, m.Same),
		Legend: []LegendEntry{{"dot-up", "people: the more at one place, the larger the dot"},
			{"least", "rated as expected"}},
		Left: "expected less", Right: "expected more", Data: table,
		Caption: scaleCaption(a.Scale) + " Upwards: as rated under the name. Above the dashed line are those " +
			"who rated " +
			"higher than they had expected.",
	}
}

// inTheTest is how many people the primary test rests on.
func inTheTest(r *analysis.Result) int {
	if f := r.Findings[0]; f.Kind != analysis.KindChoice { // of which N counts answers
		return f.N
	}
	return r.Assessors
}

// drawPower draws what the planned test finds, by the size of the panel, with the panel that was
// planned and the one that came, or says why that is not drawn.
func (p *Page) drawPower(s *study.Study, r *analysis.Result) {
	came := inTheTest(r)
	curve := analysis.PowerByPanel(s, came)
	if curve.None != "" {
		p.Technical.Facts = append(p.Technical.Facts, Fact{"Chance that a panel finds it, by its size",
			"not drawn: " + curve.None})
	}
	if len(curve.At) > 1 && came > 0 {
		p.Figures = append(p.Figures, powerFigure(s, curve, came))
	}
}

// Prepare works out what takes long of a page and is kept from then on: the chance that a panel
// finds it, which is simulated for some tests.
func Prepare(s *study.Study, r *analysis.Result) {
	if len(r.Findings) > 0 {
		analysis.PowerByPanel(s, inTheTest(r))
	}
}

func powerFigure(s *study.Study, curve analysis.PowerCurve, came int) Figure {
	far := curve.At[len(curve.At)-1].Assessors
	step := niceStep(float64(far), 6)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: far, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: noSplit(), AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Min: 0, Max: 100, SplitLine: quietLine(), AxisLabel: axisLabel(), AxisLine: noLine()},
		opts.Grid{Left: "8", Right: "20", Top: "20", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	var line, beside []point
	table := DataTable{Headings: []string{"People", "Chance of finding it"}}
	legend := []LegendEntry{{"ink", "chance of finding it"}}
	if curve.Beside != nil {
		table.Headings = append(table.Headings, "Of one adjusted with others")
		legend = append(legend, LegendEntry{"down", "of one adjusted with others"})
	}
	at := map[int]float64{}
	for i, x := range curve.At {
		line = append(line, point{float64(x.Assessors), 100 * x.Power})
		at[x.Assessors] = x.Power
		row := []string{strconv.Itoa(x.Assessors), analysis.Percent(x.Power)}
		if curve.Beside != nil {
			beside = append(beside, point{float64(x.Assessors), 100 * curve.Beside[i]})
			row = append(row, analysis.Percent(curve.Beside[i]))
		}
		table.Rows = append(table.Rows, row)
	}
	d.line("beside", beside, stroke{colour: inkColour, width: 1.5, dash: "dashed", opacity: 1})
	d.line("power", line, stroke{colour: inkColour, width: 2, dash: "solid", opacity: 1})
	planned := s.Panel.Assessors
	d.marks("planned", []point{{float64(planned), 100 * at[planned]}}, stroke{colour: inkColour, symbol: "diamond",
		size: 14, opacity: 1, hollow: true})
	d.marks("came", []point{{float64(came), 100 * at[came]}}, stroke{colour: accentColour, symbol: "circle", size: 11,
		opacity: 1})
	found := cmp.Or(curve.Found, smallestText(s))
	caption := fmt.Sprintf("Upwards: the chance, in %%, that the planned test finds %s where that is the truth", found)
	what := "finding " + found
	switch {
	case s.Plan.Test != study.Equivalence:
	case s.Question.Kind().Tells:
		what = "showing that fewer than " + shareWords(s.Plan.SmallestEffect) +
			" of the people truly tell the two apart"
		caption = "Upwards: the chance, in %, of " + what + " where in truth nobody does"
	default:
		what = "showing that the two are alike within " + found
		caption = "Upwards: the chance, in %, of " + what + " where they truly are alike"
	}
	caption += "; " + curve.Basis + ". "
	if curve.BesideWhat != "" {
		caption += fmt.Sprintf("Dashed: the chance of finding as large a difference %s. ", curve.BesideWhat)
	}
	return Figure{
		ID: "power", Title: "What a panel of this size finds", Height: 300, Option: d.option(),
		Alt: fmt.Sprintf("The chance of %s against the size of the panel: %s with the %d planned, %s "+
			"with the %d whose answers the test has.", what, analysis.Percent(at[planned]), planned,
			analysis.Percent(at[came]), came),
		Legend: append(legend, LegendEntry{"unclear", fmt.Sprintf("planned: %d", planned)},
			LegendEntry{"dot-up", fmt.Sprintf("in the test: %d", came)}),
		Left: "nobody", Right: "more people", Data: table,
		Caption: caption + "From the plan alone: it says what the panel could find, and nothing of what was found.",
	}
}

// timelineFigures draw when people answered, sitting by sitting.
func timelineFigures(all []AnsweredAt) (figures []Figure) {
	sittings := map[int][]AnsweredAt{}
	var numbers []int
	for _, x := range all {
		if sittings[x.Sitting] == nil {
			numbers = append(numbers, x.Sitting)
		}
		sittings[x.Sitting] = append(sittings[x.Sitting], x)
	}
	slices.Sort(numbers)
	for _, k := range numbers {
		figures = append(figures, timelineFigure(k, sittings[k], len(numbers) > 1))
	}
	return figures
}

// ownTime is when one person answered, in minutes after the first answer of all.
type ownTime struct {
	assessor int
	minutes  []float64 // rising
}

func ownTimes(all []AnsweredAt) (people []ownTime, span float64) {
	first := slices.MinFunc(all, func(x, y AnsweredAt) int { return x.At.Compare(y.At) }).At
	by := map[int]int{}
	for _, x := range all {
		i, known := by[x.Assessor]
		if !known {
			i, by[x.Assessor] = len(people), len(people)
			people = append(people, ownTime{assessor: x.Assessor})
		}
		m := x.At.Sub(first).Minutes()
		people[i].minutes, span = append(people[i].minutes, m), max(span, m)
	}
	for _, x := range people {
		slices.Sort(x.minutes)
	}
	slices.SortFunc(people, func(x, y ownTime) int {
		return cmp.Or(cmp.Compare(x.minutes[0], y.minutes[0]), cmp.Compare(x.assessor, y.assessor))
	})
	return people, span
}

// Heights of a timeline, in pixels.
const (
	timelineRow  = 12
	timelineMost = 900
)

// timelineFigure draws a line for each person from their first answer to their last, with a dot
// for each; who began first is on top.
func timelineFigure(sitting int, all []AnsweredAt, several bool) Figure {
	everybody, span := ownTimes(all)
	_, to, step := niceRange(0, max(span*1.02, 1), 6)
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: to, MinInterval: step, MaxInterval: step, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		opts.YAxis{Show: opts.Bool(false), Type: "value", Min: 0, Max: len(everybody) + 1, SplitLine: noSplit(),
			AxisLine: noLine(), AxisLabel: &opts.AxisLabel{Show: opts.Bool(false)}},
		opts.Grid{Left: "8", Right: "20", Top: "8", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	height := min(72+timelineRow*len(everybody), timelineMost)
	size := float32(max(2, min(7, (height-72)/max(1, len(everybody))-3)))
	table := DataTable{Headings: []string{"Assessor", "First answer (min)", "Last answer (min)", "Answers"}}
	var answers []point
	for i, x := range everybody {
		y, last := float64(len(everybody)-i), len(x.minutes)-1
		d.line("person", []point{{x.minutes[0], y}, {x.minutes[last], y}},
			stroke{colour: quietColour, width: 1, dash: "solid", opacity: 1})
		for _, m := range x.minutes {
			answers = append(answers, point{m, y})
		}
		table.Rows = append(table.Rows, []string{strconv.Itoa(x.assessor), number(x.minutes[0], 1),
			number(x.minutes[last], 1), strconv.Itoa(len(x.minutes))})
	}
	d.marks("answer", answers, stroke{colour: accentColour, symbol: "circle", size: size, opacity: 0.8})
	id, title := "timeline", "When people answered"
	if several {
		id, title = fmt.Sprintf("timeline-%d", sitting), fmt.Sprintf("When people answered at sitting %d", sitting)
	}
	return Figure{
		ID: id, Title: title, Height: height, Option: d.option(),
		Alt: fmt.Sprintf("A line for each of %s from their first answer to their last, with a dot for each "+
			"answer: the "+
			"last came %s minutes after the first of all.", people(len(everybody)), number(span, 0)),
		Legend: []LegendEntry{{"dot-up", "an answer"}, {"ink", "one person, from the first answer to the last"}},
		Left:   "first answer of all", Right: "minutes later", Data: table,
		Caption: "Who began first is on top. Answers that staff typed from paper are not here: when they were " +
			"given is " +
			"not known.",
	}
}
