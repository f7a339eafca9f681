package report

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"

	"cloche/internal/analysis"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

// saidFigure draws how often the first of two things was said of turns of which it is true,
// and of the others, each share with its interval. People who tell nothing say it as often of
// the one kind as of the other, so that the marks stand under each other.
func saidFigure(s *study.Study, f analysis.Finding) Figure {
	said, kinds, words := f.Choice.Said, saidKinds(s, f), s.SayWords()
	level := s.Plan.Level()
	d := newDrawing(
		opts.XAxis{Type: "value", Min: 0, Max: 100, MinInterval: 25, MaxInterval: 25, AxisLine: axisLine(),
			AxisTick: noTick(), SplitLine: quietLine(), AxisLabel: axisLabel()},
		namesAxis([]string{upperFirst(kinds[1].String()), upperFirst(kinds[0].String())}, 100),
		opts.Grid{Left: "8", Right: "28", Top: "24", Bottom: "8", ContainLabel: opts.Bool(true)},
	)
	fig := Figure{
		ID: "said", Title: "Who said “" + words[0] + "” of which", Height: 210,
		Left: "nobody says “" + words[0] + "”", Right: "everybody does",
		Legend: []LegendEntry{{"interval", fmt.Sprintf("share who said “%s”, with its %s interval", words[0],
			levelWords(level))}},
		Data: DataTable{Headings: []string{"Of", words[0], words[1], "Said “" + words[0] + "”",
			levelWords(level) + " interval"}},
		Caption: saidCaption(f),
	}
	var alt []string
	for i, n := range [2][2]int{{said.X1, said.N1}, {said.X2, said.N2}} {
		if n[1] == 0 {
			fig.Data.Rows = append(fig.Data.Rows, []string{upperFirst(kinds[i].String()), "0", "0", absent, absent})
			alt = append(alt, "none of "+kinds[i].String()+" has an answer")
			continue
		}
		share, ci := float64(n[0])/float64(n[1]), choice.WilsonInterval(n[0], n[1], level)
		row := float64(1 - i) // the axis counts from below
		d.line("interval", []point{{100 * ci.Lo, row}, {100 * ci.Hi, row}}, stroke{colour: inkColour, width: 3,
			dash: "solid", opacity: 1})
		d.marks("share", []point{{100 * share, row}}, d.meanMark(shareWords(share), "top"))
		ends := fmt.Sprintf("%s to %s %%", number(100*ci.Lo, 0), number(100*ci.Hi, 0))
		fig.Data.Rows = append(fig.Data.Rows, []string{upperFirst(kinds[i].String()), fmt.Sprint(n[0]),
			fmt.Sprint(n[1] - n[0]),
			shareWords(share), ends})
		alt = append(alt, fmt.Sprintf("of %d %s %d were called “%s”, %s (%s)", n[1], kinds[i], n[0], words[0],
			shareWords(share), ends))
	}
	fig.Option = d.option()
	fig.Alt = fmt.Sprintf("Two shares under each other, from nobody to everybody: %s. %s", strings.Join(alt, "; "),
		distanceText(f))
	return fig
}

// distanceText is d′ with its interval, as far as it is known.
func distanceText(f analysis.Finding) string {
	switch {
	case math.IsNaN(f.Value):
		return "No distance d′ can be told."
	case f.CI.Absent():
		return fmt.Sprintf("Distance d′: %s.", number(f.Value, 2))
	}
	return fmt.Sprintf("Distance d′: %s (%s interval %s).", number(f.Value, 2), levelWords(f.CI.Level),
		interval(f.CI, 2))
}

// saidCaption says what the figure has to do with the test, and how its intervals take
// several answers of one person.
func saidCaption(f analysis.Finding) string {
	text := "In percent of the answers to each kind. People who tell nothing say it as often of the one as of the " +
		"other. " + distanceText(f)
	if f.Choice.People < f.N {
		text += " The intervals take every answer as independent, though people gave several each; the test does not."
	}
	return text
}
