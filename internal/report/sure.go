package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// Sure holds the primary finding beside the same reckoned in other ways.
type Sure struct {
	Said string
	Rows []SureRow // the finding itself first
	Rest []string  // what each way rests on
}

// SureRow is one way of reckoning.
type SureRow struct{ How, People, Difference, Interval, P, Agrees string }

// sureOf is the table of how sure the primary finding is; nil where it was reckoned in
// one way only.
func sureOf(s *study.Study, f analysis.Finding) *Sure {
	if len(f.Rechecks) == 0 {
		return nil
	}
	a, _ := s.Attribute(f.Attribute)
	n, ci := decimalsFor(a.Scale), f.Stated()
	t := &Sure{Rows: []SureRow{{"as planned: " + f.Test.Name(), fmt.Sprint(f.N), signed(f.Value, n), interval(ci, n),
		pValue(f.Test.P), none}}}
	if f.Test.Method == method.Ordinal {
		t.Rows[0].Difference, t.Rows[0].Interval = oddsText(f)
	}
	against := 0
	for _, r := range f.Rechecks {
		agrees := "yes"
		if !r.Agrees {
			agrees = "no"
			against++
		}
		row := SureRow{r.What, fmt.Sprint(r.N), signed(r.Value, n), interval(r.CI, n), pValue(r.P), agrees}
		if r.Method == method.Ordinal {
			row.Difference, row.Interval = oddsText(f)
		}
		t.Rows = append(t.Rows, row)
	}
	t.Rest = assumed(f)
	switch all := len(f.Rechecks); {
	case against == 0:
		t.Said = fmt.Sprintf("Calculated in %s, the answer is the same.", otherWays(all))
	case against == all:
		t.Said = fmt.Sprintf("Calculated in %s, the answer is another: lean on it with care.", otherWays(all))
	default:
		t.Said = fmt.Sprintf("Calculated in %s, the answer is another in %d of them: lean on it with care.",
			otherWays(all), against)
	}
	return t
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
	fmt.Fprint(w, "calculated\tn\tdifference\tinterval\tp\tagrees\n")
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

// recheckWire is a way of reckoning in the findings as JSON.
type recheckWire struct {
	Method method.ID `json:"method,omitempty"` // of another way; not of other people
	What   string    `json:"what"`
	N      int       `json:"n"`
	Value  value     `json:"difference"`
	CI     [2]value  `json:"ci"`
	P      value     `json:"p"`
	Agrees bool      `json:"agrees"`
}

func rechecksToWire(list []analysis.Recheck) (out []recheckWire) {
	for _, r := range list {
		out = append(out, recheckWire{r.Method, r.What, r.N, value(r.Value), ends(r.CI), value(r.P), r.Agrees})
	}
	return out
}
