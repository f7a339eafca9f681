package analysis_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// lineOnly is the example on amounts without the dish that is laid on the line, so that the
// slope is the primary finding.
func lineOnly(t *testing.T) *study.Study {
	t.Helper()
	s, _ := saltStudy(t)
	s.Samples = s.Samples[:5]
	return s
}

// saltRatingsOf are ratings of a series of five amounts: each person has a slope of their own.
func saltRatingsOf(s *study.Study, slopes ...float64) (all []analysis.Rating) {
	for i, slope := range slopes {
		for k, x := range s.Samples[:5] {
			for _, a := range s.Attributes {
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: k + 1, Sample: x.ID,
					Attribute: a.ID, Value: 50 + slope*float64(k-2)})
			}
		}
	}
	return all
}

// TestSlopeIsReckonedAnew: by ranks of everybody's own slope, and without whoever is furthest
// from the others. Values worked out by hand and in R.
func TestSlopeIsReckonedAnew(t *testing.T) {
	s := lineOnly(t)
	own := []float64{1, 2, 3, 4, 5, 6, 7, 20}
	r := analyse(t, s, saltRatingsOf(s, own...))
	f := r.Findings[0]
	if f.Kind != analysis.KindDose || len(f.Rechecks) != 2 {
		t.Fatalf("a finding of kind %s: %+v", f.Kind, f.Rechecks)
	}
	// R: wilcox.test(c(1:7, 20), conf.int = TRUE): p 2/2^8; the estimate is the median of the Walsh averages.
	ranks := f.Rechecks[0]
	if ranks.Method != method.SignedRank || ranks.N != 8 || math.Abs(ranks.P-2.0/256) > 1e-12 ||
		math.Abs(ranks.Value-4.5) > 1e-9 || !ranks.Agrees {
		t.Errorf("by ranks %+v", ranks)
	}
	// R: t.test(1:7): mean 4, p 0.002713682035 with 6 df.
	without := f.Rechecks[1]
	if !strings.Contains(without.What, "assessor 8") || without.N != 7 || math.Abs(without.Value-4) > 1e-9 ||
		math.Abs(without.P-0.00271368203509) > 1e-12 || !without.Agrees {
		t.Errorf("without the furthest %+v", without)
	}
}

// TestOneWhoMakesTheSlope: where the slope is that of one person, it does not hold without
// them, and the table says so.
func TestOneWhoMakesTheSlope(t *testing.T) {
	s := lineOnly(t)
	f := analyse(t, s, saltRatingsOf(s, 0.9, 1.1, 0.8, 1.2, -0.9, 1, 1.1, 0.9)).Findings[0]
	if !(f.Test.P < 0.05) || !f.Rechecks[len(f.Rechecks)-1].Agrees {
		t.Fatalf("seven rise, and without the one who does not too: %+v", f.Rechecks)
	}
	f = analyse(t, s, saltRatingsOf(s, 0.4, -0.3, 0.35, -0.35, 0.3, -0.4, 0.3, 0.2)).Findings[0]
	if f.Test.P < 0.05 || slices.ContainsFunc(f.Rechecks, func(x analysis.Recheck) bool { return !x.Agrees }) {
		t.Errorf("nothing found, and another way finds it: %+v", f.Rechecks)
	}
}

// TestLaidDishIsReckonedAnew: of a dish that is laid on the line the value is by how much it
// is rated above it, and every way of the example agrees or is said not to.
func TestLaidDishIsReckonedAnew(t *testing.T) {
	s, _ := saltStudy(t)
	f := analyse(t, s, readRatings(t, saltRatings, s)).Findings[0]
	if f.Kind != analysis.KindNamedDose || len(f.Rechecks) < 2 || f.Rechecks[0].Method != method.SignedRank {
		t.Fatalf("a finding of kind %s: %+v", f.Kind, f.Rechecks)
	}
	shift := f.Dose.Laid.Shift
	for _, x := range f.Rechecks {
		if math.Abs(x.Value-shift.Value) > 3*shift.SE || x.Value == f.Value || x.CI.Absent() {
			t.Errorf("%s: %+v, the dish is %.2f above the line", x.What, x, shift.Value)
		}
		if want := (x.P < 0.05) == (f.Test.P < 0.05) && (x.Value > 0) == (shift.Value > 0); x.Agrees != want {
			t.Errorf("%s agrees: %t, p %g beside %g", x.What, x.Agrees, x.P, f.Test.P)
		}
	}
}
