package report

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// The palette of the figures: custom properties of report.css, so that dark
// screens and black-on-white print need no second drawing.
const (
	inkColour    = "var(--report-ink)"
	accentColour = "var(--report-accent)"
	greenColour  = "var(--report-green)"
	quietColour  = "var(--report-quiet)"
	groundColour = "var(--report-ground)"
)

// figuresOf draws the primary finding as its kind is drawn.
func figuresOf(v voice, s *study.Study, r *analysis.Result) []Figure {
	if len(r.Findings) == 0 || r.Findings[0].N == 0 {
		return nil
	}
	figures := kindOf(r.Findings[0]).figures(v, s, r, r.Findings[0])
	if r.Findings[0].Ordinal != nil {
		figures = append(figures, ordinalFigure(s, r.Findings[0]))
	}
	return figures
}

// pairFigures draw the primary comparison twice, as pairs and as differences,
// and all attributes of the primary pair together when there are more.
func pairFigures(v voice, s *study.Study, r *analysis.Result, primary analysis.Finding) []Figure {
	if primary.Measure == method.ModelDifference { // the figures are of those who rated both
		primary.N = len(primary.Pair.Each)
	}
	if primary.N == 0 {
		return nil
	}
	figures := append([]Figure{pairsFigure(v, s, primary), differencesFigure(s, primary)}, peopleFigures(s, primary)...)
	var same []analysis.Finding
	for _, f := range r.Findings {
		if f.Kind == analysis.KindPair && f.Compares(primary.Two()) {
			same = append(same, f)
		}
	}
	if len(same) > 1 {
		figures = append(figures, overviewFigure(s, same))
	}
	return append(figures, endingFigures(s, primary)...)
}

// drawing is an option in the making: series over two value axes.
type drawing struct {
	chart *charts.Line
}

// namesAxis has the names of rows, so many pixels wide, from below.
func namesAxis(names []string, width int) opts.YAxis {
	return opts.YAxis{Type: "category", Data: names, SplitLine: noSplit(),
		AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, Interval: "0",
			Width: width, Overflow: "break"}}
}

func newDrawing(x opts.XAxis, y opts.YAxis, grid opts.Grid) *drawing {
	d := &drawing{charts.NewLine()}
	d.chart.SetXAxis(x.Data)
	d.chart.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithXAxisOpts(x),
		charts.WithYAxisOpts(y),
		charts.WithGridOpts(grid),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(false)}),
	)
	return d
}

// point is a place in the figure; x may be the index of a category.
type point [2]float64

// stroke is how a line or a mark looks.
type stroke struct {
	colour  string
	width   float32
	dash    string // "solid", "dashed", "dotted"
	opacity float32
	symbol  string // "" = none
	size    float32
	hollow  bool
	label   []string // one text beside each point
	side    string   // of the label
	unlined bool     // marks only
}

// line adds a line through points, on top of what was added before.
func (d *drawing) line(name string, points []point, k stroke) {
	data := make([]opts.LineData, len(points))
	for i, p := range points {
		data[i] = opts.LineData{Value: p}
		if i < len(k.label) && k.label[i] != "" {
			data[i].Name = k.label[i]
		}
	}
	chart := emptyChart
	d.add(chart.AddSeries(name, data).MultiSeries[0], k)
}

// emptyChart gives each series its defaults. It is made once: making a chart takes longer
// than all else of a line.
var emptyChart = *charts.NewLine()

// marks adds points without a line. They are a line series too: ECharts draws
// other kinds below lines, and the order of drawing matters here.
func (d *drawing) marks(name string, points []point, k stroke) {
	k.unlined = true
	d.line(name, points, k)
}

func (d *drawing) add(series charts.SingleSeries, k stroke) {
	series.SymbolSize, series.ShowSymbol = k.size, opts.Bool(k.symbol != "")
	series.Symbol = k.symbol
	if k.symbol == "" {
		series.Symbol = "none"
	}
	lineOpacity := k.opacity
	if k.unlined {
		lineOpacity = 0
	}
	fill := k.colour
	if k.hollow {
		fill = groundColour
	}
	series.ConfigureSeriesOpts(
		charts.WithLineStyleOpts(opts.LineStyle{Color: k.colour, Width: k.width, Type: k.dash,
			Opacity: opts.Float(lineOpacity)}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: fill, BorderColor: k.colour, BorderWidth: 1.5,
			Opacity: opts.Float(k.opacity)}),
	)
	if len(k.label) > 0 {
		series.ConfigureSeriesOpts(charts.WithLabelOpts(opts.Label{Show: opts.Bool(true), Position: k.side,
			Formatter: "{b}",
			Color:     inkColour, BackgroundColor: groundColour, FontSize: 14, FontWeight: "bold"}))
	}
	d.chart.MultiSeries = append(d.chart.MultiSeries, series)
}

// option is the drawing as JSON that may stand in a page.
func (d *drawing) option() template.JS {
	d.chart.Validate()
	option := d.chart.JSON()
	for _, unused := range []string{"legend", "tooltip", "title", "toolbox", "color"} {
		delete(option, unused)
	}
	option["animation"] = false
	if axes, ok := option["yAxis"].([]opts.YAxis); ok { // which have no field for it
		option["yAxis"] = withoutTicks(axes)
	}
	text, err := json.Marshal(option)
	if err != nil { // numbers are finite by construction
		return template.JS("null")
	}
	return template.JS(text)
}

// untickedAxis is an axis without the ticks that its own type has no field for.
type untickedAxis struct {
	opts.YAxis
	AxisTick *opts.AxisTick `json:"axisTick"`
}

func withoutTicks(axes []opts.YAxis) (all []untickedAxis) {
	for _, x := range axes {
		all = append(all, untickedAxis{x, noTick()})
	}
	return all
}

func axisLabel() *opts.AxisLabel {
	return &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, HideOverlap: opts.Bool(true)}
}

func quietLine() *opts.SplitLine {
	return &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: quietColour, Width: 1,
		Opacity: opts.Float(0.35)}}
}

func noSplit() *opts.SplitLine { return &opts.SplitLine{Show: opts.Bool(false)} }

func axisLine() *opts.AxisLine {
	return &opts.AxisLine{Show: opts.Bool(true), OnZero: opts.Bool(false),
		LineStyle: &opts.LineStyle{Color: inkColour, Width: 1}}
}

// noLine leaves an axis without its line, which would else cross the figure where the
// other axis is 0.
func noLine() *opts.AxisLine { return &opts.AxisLine{Show: opts.Bool(false)} }

func noTick() *opts.AxisTick { return &opts.AxisTick{Show: opts.Bool(false)} }

// niceStep is the round step that cuts a span into about n parts.
func niceStep(span float64, n int) float64 {
	if !(span > 0) {
		return 1
	}
	raw := span / float64(n)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*power {
			return m * power
		}
	}
	return 10 * power
}

// niceRange widens [lo, hi] to whole steps.
func niceRange(lo, hi float64, n int) (from, to, step float64) {
	step = niceStep(hi-lo, n)
	return math.Floor(lo/step) * step, math.Ceil(hi/step) * step, step
}

// roomyRange is [niceRange] with room for a mark at either end: ECharts leaves out
// what lies beyond an axis by the smallest fraction.
func roomyRange(lo, hi float64, n int) (from, to, step float64) {
	room := (hi - lo) / 25
	return niceRange(lo-room, hi+room, n)
}

// wayWords says what lies on either side of no difference.
func wayWords(s *study.Study, f analysis.Finding) (left, right string) {
	a, _ := s.Attribute(f.Attribute)
	w := wordingOf(a)
	c := contrastIn(s, f)
	verb := ""
	if w.verb == "was liked" {
		verb = "liked "
	}
	return fmt.Sprintf("%s%s: %s", verb, w.less, c.names()[0]), fmt.Sprintf("%s%s: %s", verb, w.more, c.names()[0])
}
