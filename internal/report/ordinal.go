package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// ofTen says, of a difference on a scale of few labels, how many more people of ten would
// answer with some label or one beyond it, as the model of the answers has it; "" where
// that goes against the difference, or is less than one.
func (t teller) ofTen() study.Said {
	o := t.f.Ordinal
	if o == nil {
		return study.Said{}
	}
	label, people := o.OfTen()
	more := int(math.Round(math.Abs(people)))
	if more == 0 || people*float64(t.f.Verdict.Direction) < 0 {
		return study.Said{}
	}
	higher, lower := t.c.short[0], t.c.short[1]
	if people < 0 {
		higher, lower = lower, higher
	}
	labels := t.a.Scale.Labels
	answer := study.Say("“%s”", labels[label])
	if label < len(labels)-1 {
		answer = study.Say("“%s” or above", labels[label])
	}
	return study.Say("Of ten people, about %s more would answer %s for %s than for %s.",
		study.Say(countWord(more)), answer, higher, lower)
}

func countWord(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	return words[n]
}

// What the figure of answers takes, in pixels.
const (
	barHigh     = 26
	perBar      = 64
	aboveBars   = 72
	leastShare  = 0.06 // of a bar that has room for its number
	lightestBar = 0.12
	darkestBar  = 0.72
)

// ordinalFigure draws the share of each answer for two samples on a scale of few labels, as
// the model of the answers has it, one bar to a sample.
func ordinalFigure(s *study.Study, f analysis.Finding) Figure {
	a, _ := s.Attribute(f.Attribute)
	labels := a.Scale.Labels
	c := contrastOf(s, f.Two())
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: 100, AxisLine: axisLine(), AxisTick: noTick(), SplitLine: quietLine(),
			AxisLabel: axisLabel()},
		opts.YAxis{Type: "category", Data: []string{c.names()[1], c.names()[0]}, SplitLine: noSplit(),
			AxisLine: &opts.AxisLine{Show: opts.Bool(false)},
			AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: inkColour, FontSize: 13, Interval: "0",
				Width:    110,
				Overflow: "break"}},
		opts.Grid{Left: "8", Right: "20", Top: "24", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	table := DataTable{Headings: []string{"Answer", c.names()[0] + ", answered", "expected of ten",
		c.names()[1] + ", answered", "expected of ten"}}
	for k, shares := range f.Ordinal.Shares {
		d.bar(shares, float64(1-k))
	}
	for i, label := range labels {
		row := []string{fmt.Sprintf("%d %s", i+1, label)}
		for k, shares := range f.Ordinal.Shares {
			row = append(row, fmt.Sprint(f.Ordinal.Counts[k][i]), number(10*shares[i], 1))
		}
		table.Rows = append(table.Rows, row)
	}
	return Figure{
		ID: "answers-" + string(f.Attribute), Title: "Answers: " + a.Ask, Height: aboveBars + 2*perBar,
		Option: d.option(),
		Alt: fmt.Sprintf("A bar for %s and one for %s, cut into the shares of the answers from “%s” on the left "+
			"to “%s” on the right.", c.names()[0], c.names()[1], labels[0], labels[len(labels)-1]),
		Data: table,
		Caption: "Share of each answer in per cent, from left to right and from light to dark: " +
			numbered(labels) + ". As a model of the order of the answers expects them of people like these.",
	}
}

// bar draws the shares of the answers from left to right, each with its number where there
// is room.
func (d *drawing) bar(shares []float64, at float64) {
	from := 0.0
	for i, share := range shares {
		to := min(100, from+100*share) // which rounding could pass
		dark := lightestBar + (darkestBar-lightestBar)*float64(i)/float64(max(1, len(shares)-1))
		if share > 0 {
			d.line(fmt.Sprint(i+1), []point{{from, at}, {to, at}},
				stroke{colour: accentColour, width: barHigh, dash: "solid", opacity: float32(dark)})
		}
		if share >= leastShare {
			d.marks(fmt.Sprint(i+1), []point{{(from + to) / 2, at}}, stroke{colour: inkColour,
				symbol: "circle", size: 1, label: []string{fmt.Sprint(i + 1)}, side: "inside", opacity: 1})
		}
		from = to
	}
}

func numbered(labels []string) string {
	parts := make([]string, len(labels))
	for i, label := range labels {
		parts[i] = fmt.Sprintf("%d %s", i+1, label)
	}
	return strings.Join(parts, ", ")
}

// ordinalWire is what a model of the order of the answers says, in the findings as JSON.
type ordinalWire struct {
	Odds   effectWire                 `json:"odds_ratio"`
	P      value                      `json:"p"`
	Shares map[study.SampleID][]value `json:"shares"` // of the labels in order, as the model has them
	Counts map[study.SampleID][]int   `json:"counts"`
}

func ordinalToWire(f analysis.Finding) *ordinalWire {
	o := f.Ordinal
	if o == nil {
		return nil
	}
	w := &ordinalWire{Odds: effectToWire(o.Odds), P: value(o.Test.P), Shares: map[study.SampleID][]value{},
		Counts: map[study.SampleID][]int{}}
	for k, x := range f.Two() {
		w.Counts[x] = o.Counts[k]
		for _, share := range o.Shares[k] {
			w.Shares[x] = append(w.Shares[x], value(share))
		}
	}
	return w
}

// oddsText is an odds ratio with its interval.
func oddsText(odds analysis.Effect) (value, ci string) {
	return "odds × " + number(odds.Value, 2), interval(odds.CI, 2)
}

// assumed lists what each way of calculating rests on, the planned one first, each once.
func assumed(f analysis.Finding) (list []string) {
	ways := []method.ID{f.Test.Method}
	for _, r := range f.Rechecks {
		ways = append(ways, r.Method)
	}
	for i, id := range ways {
		if text := id.Assumes(); text != "" && !slices.Contains(ways[:i], id) {
			list = append(list, upperFirst(id.Title())+": "+text)
		}
	}
	return list
}
