package anova

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

func TestOneWayAgreesWithTwoSampleTests(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 12).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 12).Draw(t, "y")
		r, err := OneWay([][]float64{x, y})
		if err != nil {
			t.Fatal(err)
		}
		pooled, _ := ttest.Pooled(x, y, ttest.TwoSampleOptions{})
		welch, _ := ttest.Welch(x, y, ttest.TwoSampleOptions{})
		if !math.IsNaN(r.F) && !statstest.Near(r.F, pooled.T*pooled.T, 1e-7) {
			t.Fatalf("F %v, t² %v", r.F, pooled.T*pooled.T)
		}
		if !math.IsNaN(r.WelchF) && (!statstest.Near(r.WelchF, welch.T*welch.T, 1e-7) ||
			!statstest.Near(r.WelchDF2, welch.DF, 1e-7)) {
			t.Fatalf("Welch F %v on %v, t² %v on %v", r.WelchF, r.WelchDF2, welch.T*welch.T, welch.DF)
		}
		// Two groups: the studentized range is √2·|t|.
		if p := r.Pairs[0]; !math.IsNaN(p.P) && !statstest.Near(p.PTukey, p.P, 1e-9) {
			t.Fatalf("Tukey p %v, t p %v", p.PTukey, p.P)
		}
	})
}

// Three groups, sums worked by hand: means 2, 4, 6 of three values each with
// unit spacing, SS between 24, SS within 6.
func TestOneWayByHand(t *testing.T) {
	r, err := OneWay([][]float64{{1, 2, 3}, {3, 4, 5}, {5, 6, 7}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"SS between", r.SSBetween, 24}, {"SS within", r.SSWithin, 6}, {"F", r.F, 12}, {"η²", r.Eta2, 0.8},
		{"ω²", r.Omega2, 22.0 / 31},
		{"p is (1+F/3)⁻³ on 2 and 6 df", r.P, 1.0 / 125},
	} {
		if !statstest.Near(c.got, c.want, 1e-12) {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestOneWayEdges(t *testing.T) {
	for _, c := range []struct {
		name   string
		groups [][]float64
		code   string
	}{
		{"constant", [][]float64{{2, 2}, {2, 2}}, stats.WarnNoErrorSpread},
		{"no spread within", [][]float64{{2, 2}, {3, 3}}, stats.WarnNoErrorSpread},
		{"one value each", [][]float64{{2}, {3}, {4}}, stats.WarnTooFew},
		{"a single value in one group", [][]float64{{2, 3, 4}, {3}}, stats.WarnTooFew},
	} {
		r, err := OneWay(c.groups)
		if err != nil {
			t.Fatal(err)
		}
		if !statstest.HasWarning(r.Warnings, c.code) || !math.IsNaN(r.WelchP) {
			t.Errorf("%s: warnings %v, Welch p %v", c.name, r.Warnings, r.WelchP)
		}
	}
	for name, groups := range map[string][][]float64{"one group": {{1, 2}}, "an empty group": {{1, 2}, {}},
		"infinite": {{1, math.Inf(1)}, {2}}} {
		if _, err := OneWay(groups); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}
