package ranks

import (
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestIntervalsTooSmallForTheirLevel(t *testing.T) {
	h, err := HodgesLehmannPaired([]float64{5, 6}, []float64{4, 4}, 0)
	if err != nil || h.K != 1 || h.Achieved != 0.5 || !statstest.HasWarning(h.Warnings, stats.WarnLevelNotMet) {
		t.Errorf("two pairs: got %+v, %v; want 50 %% confidence with a warning", h, err)
	}
	s, err := SignTest([]float64{5}, []float64{4}, SignTestOptions{})
	if err != nil || s.MedianCI.Level != 0 || !statstest.HasWarning(s.Warnings, stats.WarnLevelNotMet) ||
		!statstest.HasWarning(s.Warnings, stats.WarnCannotReject) {
		t.Errorf("one pair: got %+v, %v", s, err)
	}
}
