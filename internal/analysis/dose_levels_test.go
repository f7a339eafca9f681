package analysis_test

import (
	"math"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// namedTwice is the salt study with its name at the least and the most but one of the amounts.
func namedTwice(t *testing.T) (*study.Study, *design.Plan) {
	t.Helper()
	s, _ := saltStudy(t)
	s.Samples[5].Dish = "s7"
	s.Samples = append(s.Samples, study.Sample{ID: "M", Dish: "s9", Name: s.Samples[5].Name})
	plan, err := design.Draw(s, design.Options{Seed: 4})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan
}

// TestNameAtSeveralAmounts: where a name does more at one amount than at another both its
// findings say so, and where it does the same neither, but for one time in twenty.
func TestNameAtSeveralAmounts(t *testing.T) {
	t.Parallel()
	s, plan := namedTwice(t)
	for name, tc := range map[string]struct {
		atMost      float64 // what the name adds at the larger amount, points
		least, most int     // of 40 studies that say so
	}{"the same at both": {6, 0, 7}, "more at the larger": {20, 36, 40}} {
		said := 0
		for seed := range uint64(40) {
			truth := saltTruth()
			truth["saltiness"].Effects["N"], truth["saltiness"].Effects["M"] = -6+6, 6+tc.atMost
			r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, 300+seed), analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			first, second := r.Findings[0], r.Findings[1]
			if first.Kind != analysis.KindNamedDose || second.Kind != analysis.KindNamedDose {
				t.Fatalf("%s, %s", first.Kind, second.Kind)
			}
			one, other := warned(first, analysis.WarnShiftByLevel), warned(second, analysis.WarnShiftByLevel)
			if one != other || warned(r.Findings[2], analysis.WarnShiftByLevel) {
				t.Errorf("%s: said of one alone, or of the line", name)
			}
			if one {
				said++
			}
		}
		if said < tc.least || said > tc.most {
			t.Errorf("%s: said in %d of 40 studies", name, said)
		}
	}
}

// TestCookWithin: the amount to cook with is the one in the dish less what the name is worth,
// and lies within the series or not by that alone; an end that nobody tasted is told.
func TestCookWithin(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	seen := map[bool]int{}
	for _, adds := range []float64{-14, -9, -3, 3, 9, 14} {
		truth := saltTruth()
		truth["saltiness"].Effects["N"] = adds
		r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, 8), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f := r.Findings[0]
		l := f.Dose.Laid
		if math.Abs(l.Cook-(8-f.Value)) > 1e-12 || l.CookInside != (l.Cook >= 6 && l.Cook <= 10) {
			t.Errorf("worth %v: cook with %v, within %v", f.Value, l.Cook, l.CookInside)
		}
		ends := l.Inside && (8+f.CI.Lo < 6 || 8+f.CI.Hi > 10)
		if warned(f, analysis.WarnEndOutside) != ends {
			t.Errorf("worth %v (%v): %v", f.Value, f.CI, f.Warnings)
		}
		seen[l.CookInside]++
	}
	if seen[true] == 0 || seen[false] == 0 {
		t.Errorf("the amounts to cook with lie within the series: %v", seen)
	}
}

// TestHolds: a set holds what its shape says.
func TestHolds(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	truth := saltTruth()
	flat := truth["saltiness"]
	flat.Effects = map[study.SampleID]float64{"N": 10}
	truth["saltiness"] = flat
	shapes := map[string]int{}
	for seed := range uint64(30) {
		r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, seed), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f := r.Findings[0]
		set := f.Dose.Laid.Fieller
		shapes[set.Shape.String()]++
		if !set.Holds(f.Value) || set.Holds(0) != !(f.Test.P < s.Plan.Alpha) {
			t.Errorf("seed %d: %+v holds %v: %v, and 0: %v; p is %v", seed, set, f.Value, set.Holds(f.Value),
				set.Holds(0), f.Test.P)
		}
	}
	if len(shapes) < 2 {
		t.Errorf("only %v", shapes)
	}
}
