package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// Sure holds the primary finding beside the same reckoned in other ways.
type Sure struct {
	Said   string
	People string    // heading: "People", or "Answers"
	Value  string    // heading of what each way finds: "Difference", "Share" …
	Rows   []SureRow // the finding itself first
	Rest   []string  // what each way rests on
}

// SureRow is one way of reckoning. Interval is "" where the way has no value.
type SureRow struct{ How, People, Difference, Interval, P, Agrees string }

// sureOf is the table of how sure the primary finding is; nil where it was reckoned in
// one way only.
func sureOf(s *study.Study, f analysis.Finding) *Sure {
	if len(f.Rechecks) == 0 {
		return nil
	}
	t := &Sure{People: "People", Rest: assumed(f)}
	written := t.written(s, f)
	value, ci := sureValue(f)
	first := SureRow{How: planned(s, f) + f.Test.Name(), People: fmt.Sprint(f.N), P: pValue(f.Test.P), Agrees: none}
	if first.Difference, first.Interval = written(value, ci); f.Test.Method == method.Ordinal {
		first.Difference, first.Interval = oddsText(f.Ordinal.Odds)
	}
	t.Rows = []SureRow{first}
	against := 0
	for _, r := range f.Rechecks {
		row := SureRow{How: r.What, People: fmt.Sprint(r.N), P: pValue(r.P), Agrees: "yes"}
		if !r.Agrees {
			row.Agrees = "no"
			against++
		}
		if row.Difference, row.Interval = written(r.Value, r.CI); r.Odds != nil {
			row.Difference, row.Interval = oddsText(*r.Odds)
		}
		t.Rows = append(t.Rows, row)
	}
	t.Said = sureSaid(len(f.Rechecks), against) + apartSaid(s, f)
	return t
}

// planned says whether the test of a finding is the planned one: another stands in its place
// where that one cannot be done.
func planned(s *study.Study, f analysis.Finding) string {
	two := f.Kind == analysis.KindPair || f.Kind == analysis.KindGroups
	if two && f.Test.Method != s.PlannedTest() {
		return "in place of the planned test: "
	}
	return "as planned: "
}

// written sets the headings and says how what a way finds is written.
func (t *Sure) written(s *study.Study, f analysis.Finding) func(float64, stats.Interval) (string, string) {
	write := func(v float64) string { return analysis.Percent(v) }
	switch a, _ := s.Attribute(f.Attribute); {
	case f.Choice.Said != nil:
		t.People, t.Value, write = "Answers", "Distance d′", func(v float64) string { return number(v, 2) }
	case f.Kind == analysis.KindChoice:
		t.People, t.Value = "Answers", "Share"
	case f.Kind == analysis.KindRanking:
		t.Value = "Share"
	case f.Kind == analysis.KindWords:
		t.Value, write = "People more", shareWords
	case f.Kind == analysis.KindThreshold:
		t.Value = "Threshold"
		return thresholdWritten(f)
	default:
		if f.Kind == analysis.KindAboutRight {
			a, _ = s.Attribute(f.AboutRight.Liking)
		}
		t.Value = "Difference"
		n := decimalsFor(a.Scale)
		if f.Kind == analysis.KindDose {
			t.Value = "Slope"
		}
		return func(v float64, ci stats.Interval) (string, string) {
			if math.IsNaN(v) {
				return none, ""
			}
			return signed(v, n), interval(ci, n)
		}
	}
	return func(v float64, ci stats.Interval) (string, string) {
		switch {
		case math.IsNaN(v):
			return none, ""
		case ci.Absent():
			return write(v), absent
		}
		return write(v), write(ci.Lo) + " to " + write(ci.Hi)
	}
}

// sureValue is what the finding itself says, in the terms of its rechecks.
func sureValue(f analysis.Finding) (float64, stats.Interval) {
	first, second, _ := f.FurthestApart()
	for _, p := range f.Panel.Pairs {
		if p.First == first && p.Second == second {
			return p.Difference, p.Adjusted
		}
	}
	for _, p := range f.Ranking.Pairs {
		if p.First == first && p.Second == second {
			return p.Share, p.CI
		}
	}
	if _, p, ok := f.WidestWord(); ok {
		return p.Difference, p.CI
	}
	if l := f.Dose.Laid; l != nil {
		return l.Shift.Value, l.Shift.CI
	}
	if of, side, ok := f.SurestDrop(); ok {
		return f.DropOn(of, side)
	}
	return f.Value, f.Stated()
}

// apartSaid says of which two samples the values of all samples together are.
func apartSaid(s *study.Study, f analysis.Finding) string {
	if w, p, ok := f.WidestWord(); ok {
		return fmt.Sprintf(" The value is how many people more ticked “%s” for %s than for %s, the word and the two "+
			"samples that lie furthest apart.", w.Word, analysis.Label(s, p.First), analysis.Label(s, p.Second))
	}
	if _, side, ok := f.SurestDrop(); ok {
		a, _ := s.Attribute(f.Attribute)
		return fmt.Sprintf(" The difference is how much more those who say “%s” like it than those who say “%s”.",
			a.Scale.SideLabel(study.JustRight), a.Scale.SideLabel(side))
	}
	first, second, ok := f.FurthestApart()
	switch {
	case f.Kind == analysis.KindDose:
		return fmt.Sprintf(" The slope is in points for each %s more.", f.Dose.Unit.One())
	case f.Kind == analysis.KindNamedDose:
		return fmt.Sprintf(" The difference is by how many points %s is rated above the line of the amounts.",
			called(s, f.Dose.Laid.Sample))
	case !ok:
		return ""
	case f.Kind == analysis.KindRanking:
		return fmt.Sprintf(" The share is of those who put %s before %s, the two on whose order most agree.",
			analysis.Label(s, first), analysis.Label(s, second))
	}
	return fmt.Sprintf(" The difference is %s minus %s, the two furthest apart.", analysis.Label(s, first),
		analysis.Label(s, second))
}

func sureSaid(all, against int) string {
	switch {
	case against == 0:
		return fmt.Sprintf("Calculated in %s, the answer is the same.", otherWays(all))
	case against == all:
		return fmt.Sprintf("Calculated in %s, the answer is another: lean on it with care.", otherWays(all))
	}
	return fmt.Sprintf("Calculated in %s, the answer is another in %d of them: lean on it with care.", otherWays(all),
		against)
}

func otherWays(n int) string {
	if n == 1 {
		return "another way"
	}
	return fmt.Sprintf("%d other ways", n)
}

// textSure writes how sure the primary finding is.
func textSure(b *strings.Builder, t *Sure) error {
	if t == nil {
		return nil
	}
	fmt.Fprintf(b, "How sure\n--------\n\n%s\n\n", t.Said)
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "calculated\tn\t%s\tinterval\tp\tagrees\n", strings.ToLower(t.Value))
	for _, r := range t.Rows {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", r.How, r.People, r.Difference, r.Interval, r.P, r.Agrees)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, line := range t.Rest {
		fmt.Fprintf(b, "%s\n", line)
	}
	_, err := io.WriteString(b, "\n")
	return err
}

// recheckWire is a way of reckoning in the findings as JSON: with a difference, or of what
// people chose or in which order they put samples a share, or a distance.
type recheckWire struct {
	Method     method.ID `json:"method,omitempty"` // of another way; not of other people
	What       string    `json:"what"`
	Without    []string  `json:"without,omitempty"` // assessors left out
	N          int       `json:"n"`
	Of         []string  `json:"of,omitempty"` // of all samples together: which two the value is of
	Word       string    `json:"word,omitempty"`
	Difference *value    `json:"difference,omitempty"`
	Share      *value    `json:"share,omitempty"`
	Distance   *value    `json:"distance,omitempty"`
	CI         [2]value  `json:"ci"`
	P          value     `json:"p"`
	Agrees     bool      `json:"agrees"`
}

func rechecksToWire(f analysis.Finding) (out []recheckWire) {
	first, second, together := f.FurthestApart()
	word, pair, ticked := f.WidestWord()
	if ticked {
		first, second, together = pair.First, pair.Second, true
	}
	for _, r := range f.Rechecks {
		w := recheckWire{Method: r.Method, What: r.What, Without: r.Without, N: r.N, CI: ends(r.CI),
			P: value(r.P), Agrees: r.Agrees}
		if together {
			w.Of = []string{string(first), string(second)}
		}
		w.Word = string(word.ID)
		v := value(r.Value)
		switch {
		case f.Choice.Said != nil:
			w.Distance = &v
		case f.Kind == analysis.KindChoice || f.Kind == analysis.KindRanking:
			w.Share = &v
		default:
			w.Difference = &v
		}
		out = append(out, w)
	}
	return out
}
