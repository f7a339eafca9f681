package analysis_test

import (
	"fmt"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// TestSizingBelowTheHousesSpread: a panel that is sized by less than what the house's own studies stay below four
// times in five, or by less than the upper limit of what they found where they scatter alike, is warned of, and none
// that takes what they found, or more. What is said of those studies is true of them.
func TestSizingBelowTheHousesSpread(t *testing.T) {
	t.Parallel()
	s := parseStudy(t, custardFile)
	s.Invented = false
	earlier := func(spreads ...float64) analysis.Spread {
		var found []analysis.FoundDifference
		for _, sd := range spreads {
			f := foundDifference("earlier", 40, 5, sd)
			f.Question, f.Asked = s.Question, "How salty is it?"
			f.Attribute = "saltiness"
			found = append(found, f)
		}
		known, ok := analysis.EarlierSpread(s, found)
		if !ok || known.SD <= known.Pooled {
			t.Fatalf("the house has no spread: %+v", known)
		}
		return known
	}
	apart, alike := earlier(17, 22, 20, 28, 15, 21), earlier(20, 20, 20)
	if !apart.Differ || alike.Differ {
		t.Fatalf("studies apart %+v, alike %+v", apart, alike)
	}
	invented := alike
	invented.Invented = true
	const oneInFive = "planned on a spread of 15 points: by what the house’s own studies scattered, one in five " +
		"scatters by more than %s points; planned on less, more of them than that fall short"
	const confidence = "planned on a spread of 15 points: the house’s own studies put the spread below %s points " +
		"with 80 %% confidence; planned on less, a panel falls short more easily"
	for _, tc := range []struct {
		known, spread analysis.Spread
		said          string // "" = nothing
	}{
		{apart, analysis.GivenSpread(15), fmt.Sprintf(oneInFive, analysis.Points(apart.SD))},
		{apart, analysis.GivenSpread(apart.SD + 1), ""},
		{apart, apart, ""},
		{alike, analysis.GivenSpread(15), fmt.Sprintf(confidence, analysis.Points(alike.SD))},
		{alike, analysis.GivenSpread(alike.SD + 1), ""},
		{invented, analysis.GivenSpread(15),
			fmt.Sprintf(confidence, analysis.Points(alike.SD)) + " (invented ratings)"},
	} {
		z, err := analysis.FindSize(analysis.Sizing{Test: analysis.SizedTest(study.PairedT), Sides: study.TwoSided,
			Difference: 5, Length: 100, Spread: tc.spread, Known: tc.known})
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, w := range z.Warnings {
			if w.Code == analysis.WarnBelowKnown {
				said = w.Said.String()
			}
		}
		if said != tc.said {
			t.Errorf("spread %.1f of %.1f: %q, want %q", tc.spread.SD, tc.known.SD, said, tc.said)
		}
	}
}
