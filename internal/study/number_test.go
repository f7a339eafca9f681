package study_test

import (
	"testing"

	"cloche/internal/study"
)

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{"0": 0, "-4": -4, "+4.5": 4.5, ".5": 0.5, "1e2": 100, "1E-2": 0.01} {
		if got, err := study.ParseNumber(text); err != nil || got != want {
			t.Errorf("%s: %g, %v; want %g", text, got, err, want)
		}
	}
	for _, text := range []string{"", "0x1p4", "0X10", "1_0", "Inf", "-inf", "NaN", "infinity", "1e999", "4 5", "1,5",
		"--1", "e"} {
		if got, err := study.ParseNumber(text); err == nil {
			t.Errorf("%q is taken for %g", text, got)
		}
	}
}
