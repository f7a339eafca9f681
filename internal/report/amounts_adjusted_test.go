package report_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
)

// Where findings on amounts are adjusted together, no heading claims one level for all their
// intervals, the note says which they have, and an interval of another level says so itself.
func TestIntervalsOfAmountsSayTheirLevel(t *testing.T) {
	t.Parallel()
	s, r := inventedOf(t, "salt-by-the-gram")
	p := report.Build(s, r, report.Options{})
	if p.Headings.Interval != "interval" {
		t.Errorf("the heading of the intervals is %q", p.Headings.Interval)
	}
	if !slices.ContainsFunc(p.Headings.Below, func(line string) bool {
		return strings.Contains(line, "The 3 secondary findings are adjusted for their number") &&
			strings.Contains(line, "98.3 % each")
	}) {
		t.Errorf("nothing below the table says how its intervals are adjusted: %q", p.Headings.Below)
	}
	for i, f := range r.Findings {
		stated, row := f.Stated(), p.Amounts[i]
		adjusted := math.Abs(stated.Level-(1-s.Plan.Alpha/3)) < 1e-12
		marked := strings.Contains(row.Interval, "(95 %, not adjusted)")
		if want := f.Role == analysis.Secondary && !adjusted; marked != want {
			t.Errorf("%s, %s: the interval at %g reads %q", row.Ask, row.Compared, stated.Level, row.Interval)
		}
	}
}

// A study of amounts states what a gram has to do, which is not what a name has to be worth:
// what to do next does not say that it stated nothing.
func TestNextOfANameAmongAmountsSpeaksOfTheName(t *testing.T) {
	t.Parallel()
	s, r := inventedOf(t, "salt-by-the-gram")
	if s.Plan.SmallestEffect <= 0 {
		t.Fatal("the study states no smallest effect")
	}
	next := report.Build(s, r, report.Options{}).Next
	if !strings.Contains(next, "did not say how much a name has to be worth") ||
		strings.Contains(next, "how large a difference") {
		t.Errorf("what now: %q", next)
	}
}
