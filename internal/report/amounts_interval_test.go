package report

import (
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/stats"
)

// Of an end that no amount of the series reaches no amount is named: the flattest curves give
// ends hundreds of decimal places long.
func TestAmountsIntervalEndsWithTheSeries(t *testing.T) {
	t.Parallel()
	series := analysis.ThresholdPart{Steps: []analysis.RisingStep{{Amount: 0.25}, {Amount: 1}, {Amount: 8}}}
	for want, ci := range map[string]stats.Interval{
		"0.70 to 1.2":             {Lo: 0.7, Hi: 1.2},
		"0.25 to 8.0":             {Lo: 0.25, Hi: 8},
		"below 0.25 to 1.2":       {Lo: 2.7e-207, Hi: 1.2},
		"0.70 to above 8.0":       {Lo: 0.7, Hi: 1e30},
		"below 0.25 to above 8.0": {Lo: 0.2, Hi: 9},
		"above 8.0":               {Lo: 9, Hi: 12},
		"below 0.25":              {Lo: 0.1, Hi: 0.2},
	} {
		if got := gramsInterval(ci, series); got != want {
			t.Errorf("%v reads %q, want %q", ci, got, want)
		}
	}
	if got := gramsInterval(stats.NoInterval(0.95), series); got != absent {
		t.Errorf("no interval reads %q", got)
	}
}
