package analysis_test

import (
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// TestShareNeededIsNeverRoundedDown: what is printed of a share that a panel needs is at least
// that share, and nothing short of all is called all.
func TestShareNeededIsNeverRoundedDown(t *testing.T) {
	check := func(p float64) {
		t.Helper()
		said := analysis.InPercentUp(p).String()
		if said == "more than 99 %" {
			if p <= 0.99 || p >= 1 {
				t.Errorf("%v reads as %s", p, said)
			}
			return
		}
		n, err := strconv.Atoi(strings.TrimSuffix(said, " %"))
		if err != nil || float64(n) < 100*p-1e-6 || float64(n) >= 100*p+1 || n == 100 && p < 1 {
			t.Errorf("%v reads as %s, %v", p, said, err)
		}
	}
	for i := 1; i <= 10000; i++ {
		check(float64(i) / 10000)
	}
	for _, test := range []analysis.Sizing{
		{Test: analysis.SizedTest(study.Preference), Share: 0.7},
		{Test: analysis.SizedTest(study.Preference), Sides: study.Greater, Share: 0.7},
	} {
		for n := 6; n <= 200; n++ {
			test.Assessors = n
			p := findSize(t, test).Planned.Detects
			if p > 0 {
				check(p)
			}
		}
	}
}
