package report_test

import (
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
)

// TestFalseAlarmsAreAsManyAsTheLevelGives: of few checks without a fault hardly any comes up,
// and the page does not say that one does. 1 − 0.95³ = 0.143.
func TestFalseAlarmsAreAsManyAsTheLevelGives(t *testing.T) {
	s := profileStudy(t)
	for n, want := range map[int]string{
		1: "It was checked once whether somebody repeats as well as the " +
			"others. In a panel without any fault there is a chance of about 5 %",
		3:  "a chance of about 14 % that any of those checks comes up",
		20: "about one of those checks comes up all the same",
		40: "about 2 of those checks come up all the same",
	} {
		intro := report.AssessorsOf(s, &analysis.PanelCheck{Repeats: n, Alpha: 0.05,
			Attributes: make([]analysis.PanelOn, len(s.Attributes))}, report.English).Intro
		if got := strings.Join(intro, " "); !strings.Contains(got, want) {
			t.Errorf("%d checks: %q, want %q", n, got, want)
		}
	}
}
