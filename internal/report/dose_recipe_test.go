package report

import (
	"math"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// TestRecipeNamesWhatWasTasted: an amount to cook with is named only within the series, less
// for a name that adds and more for one that takes away, and the caution stands by it always.
func TestRecipeNamesWhatWasTasted(t *testing.T) {
	t.Parallel()
	s := &study.Study{Names: []study.Name{{ID: "n", Text: "sea salt custard"}},
		Samples: []study.Sample{{ID: "N", Dish: "d", Name: "n"}}, Plan: study.AnalysisPlan{Attribute: "saltiness"}}
	for _, tc := range []struct {
		worth  float64
		inside bool
		want   string
	}{
		{1, true, "cook with 1.0 g of salt per litre less (0.5 to 1.5)"},
		{-1, true, "cook with 1.0 g of salt per litre more (0.5 to 1.5)"},
		{3, false, "not said"},
	} {
		f := analysis.Finding{Kind: analysis.KindNamedDose, Attribute: "saltiness"}
		f.Value, f.CI = tc.worth, stats.Interval{Lo: tc.worth - 0.5, Hi: tc.worth + 0.5, Level: 0.95}
		f.Dose.Unit = study.AmountUnit{Unit: "g", Of: "salt", Per: "litre"}
		f.Dose.Steps = []analysis.DoseStep{{Amount: 6}, {Amount: 7}, {Amount: 8}}
		f.Dose.Laid = &analysis.Laid{Sample: "N", Amount: 7, Cook: 7 - tc.worth, CookInside: tc.inside, Inside: true,
			Fieller: analysis.Fieller{Shape: dose.Bounded, CI: f.CI}}
		got := recipe(s, f).String()
		if !strings.Contains(got, tc.want) || !strings.HasSuffix(got, study.KeepsSafe) ||
			!tc.inside && strings.Contains(got, "3") {
			t.Errorf("worth %g: %q", tc.worth, got)
		}
		wire := doseToWire(f)
		if cook := float64(wire.Laid.Cook); tc.inside != (cook == 7-tc.worth) || !tc.inside && !math.IsNaN(cook) {
			t.Errorf("worth %g: cook with %v in JSON", tc.worth, cook)
		}
	}
}

// TestWorthShownEndsNearTheSeries: an end far beyond the series does not squeeze the figure.
func TestWorthShownEndsNearTheSeries(t *testing.T) {
	t.Parallel()
	f := analysis.Finding{}
	f.Dose.Steps = []analysis.DoseStep{{Amount: 6}, {Amount: 8}, {Amount: 10}}
	f.Dose.Laid = &analysis.Laid{Amount: 8}
	for _, tc := range []struct{ lo, hi, wantLo, wantHi float64 }{
		{0.3, 1.7, 8.3, 9.7}, {-900, 1.7, 2, 9.7}, {0.3, 4e6, 8.3, 14},
	} {
		f.CI = stats.Interval{Lo: tc.lo, Hi: tc.hi}
		if lo, hi := worthShown(f); math.Abs(lo-tc.wantLo) > 1e-9 || math.Abs(hi-tc.wantHi) > 1e-9 {
			t.Errorf("%g to %g is shown from %g to %g", tc.lo, tc.hi, lo, hi)
		}
	}
}
