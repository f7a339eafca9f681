package analysis_test

import (
	"math"
	"strings"
	"testing"

	"cloche/internal/analysis"
)

// TestChanceToSeePeopleIsTold: a size says how well so many people, so often each, show that
// they differ. The values are those of testdata/reference/next.json, to two digits.
func TestChanceToSeePeopleIsTold(t *testing.T) {
	for _, tc := range []struct {
		people, times int
		want          float64
	}{{24, 2, 0.25}, {48, 2, 0.40}, {96, 2, 0.63}, {48, 3, 0.72}, {48, 4, 0.90}} {
		if got := analysis.ChanceToSeePeople(tc.people, tc.times, 0.05); math.Abs(got-tc.want) > 0.005 {
			t.Errorf("%d people %d times: %.3f, want %.2f", tc.people, tc.times, got, tc.want)
		}
	}
	z := findSize(t, analysis.Sizing{Test: "paired-t", Difference: 5, Spread: analysis.GivenSpread(8),
		Assessors: 24, Replicates: 2})
	told := ""
	for _, w := range z.Warnings {
		if w.Code == analysis.WarnPeopleChance {
			told = w.Said.String()
		}
	}
	if !strings.Contains(told, "24 people twice each have a 25 % chance") {
		t.Errorf("told: %q of %+v", told, z.Warnings)
	}
	once := findSize(t, analysis.Sizing{Test: "paired-t", Difference: 5, Spread: analysis.GivenSpread(8),
		Assessors: 24})
	for _, w := range once.Warnings {
		if w.Code == analysis.WarnPeopleChance {
			t.Errorf("of one pair each: %s", w.Said)
		}
	}
}
