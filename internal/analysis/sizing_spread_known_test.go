package analysis_test

import (
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// TestSizingBelowTheHousesSpread: a panel that is sized by less than what the house's own studies stay below four
// times in five is warned of, and none that takes what they found, or more.
func TestSizingBelowTheHousesSpread(t *testing.T) {
	t.Parallel()
	s := parseStudy(t, custardFile)
	s.Invented = false
	var found []analysis.FoundDifference
	for _, sd := range []float64{17, 22, 20, 28, 15, 21} {
		f := foundDifference("earlier", 40, 5, sd)
		f.Question, f.Asked = s.Question, "How salty is it?"
		f.Attribute = "saltiness"
		found = append(found, f)
	}
	known, ok := analysis.EarlierSpread(s, found)
	if !ok || known.SD <= known.Pooled {
		t.Fatalf("the house has no spread: %+v", known)
	}
	for _, tc := range []struct {
		spread analysis.Spread
		warned bool
	}{{analysis.GivenSpread(known.Pooled), true}, {analysis.GivenSpread(known.SD + 1), false}, {known, false}} {
		z, err := analysis.FindSize(analysis.Sizing{Test: analysis.SizedTest(study.PairedT), Sides: study.TwoSided,
			Difference: 5, Length: 100, Spread: tc.spread, Known: known})
		if err != nil {
			t.Fatal(err)
		}
		got := slices.ContainsFunc(z.Warnings, func(w analysis.SizeWarning) bool {
			return w.Code == analysis.WarnBelowKnown
		})
		if got != tc.warned {
			t.Errorf("spread %.1f of %.1f, warned %v: %v", tc.spread.SD, known.SD, got, z.Warnings)
		}
	}
}
