package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestOneWayAgreesWithTwoSampleTests(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 12).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 12).Draw(t, "y")
		r, err := OneWayAnova([][]float64{x, y})
		if err != nil {
			t.Fatal(err)
		}
		pooled, _ := PooledT(x, y, TwoSampleOptions{})
		welch, _ := WelchT(x, y, TwoSampleOptions{})
		if !math.IsNaN(r.F) && !near(r.F, pooled.T*pooled.T, 1e-7) {
			t.Fatalf("F %v, t² %v", r.F, pooled.T*pooled.T)
		}
		if !math.IsNaN(r.WelchF) && (!near(r.WelchF, welch.T*welch.T, 1e-7) || !near(r.WelchDF2, welch.DF, 1e-7)) {
			t.Fatalf("Welch F %v on %v, t² %v on %v", r.WelchF, r.WelchDF2, welch.T*welch.T, welch.DF)
		}
		// Two groups: the studentized range is √2·|t|.
		if p := r.Pairs[0]; !math.IsNaN(p.P) && !near(p.PTukey, p.P, 1e-9) {
			t.Fatalf("Tukey p %v, t p %v", p.PTukey, p.P)
		}
	})
}

// Three groups, sums worked by hand: means 2, 4, 6 of three values each with
// unit spacing, SS between 24, SS within 6.
func TestOneWayByHand(t *testing.T) {
	r, err := OneWayAnova([][]float64{{1, 2, 3}, {3, 4, 5}, {5, 6, 7}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"SS between", r.SSBetween, 24}, {"SS within", r.SSWithin, 6}, {"F", r.F, 12}, {"η²", r.Eta2, 0.8}, {"ω²", r.Omega2, 22.0 / 31},
		{"p is (1+F/3)⁻³ on 2 and 6 df", r.P, 1.0 / 125},
	} {
		if !near(c.got, c.want, 1e-12) {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

// Two groups of 2: ranks 1, 2 against 3, 4 give H = 12/(4·5)·(9/2+49/2) − 15.
func TestKruskalWallisByHand(t *testing.T) {
	r, err := KruskalWallis([][]float64{{1, 2}, {3, 4}})
	if err != nil {
		t.Fatal(err)
	}
	if !near(r.ChiSq, 2.4, 1e-12) {
		t.Errorf("H = %v, want 2.4", r.ChiSq)
	}
}

func TestOneWayEdges(t *testing.T) {
	for _, c := range []struct {
		name   string
		groups [][]float64
		code   string
	}{
		{"constant", [][]float64{{2, 2}, {2, 2}}, WarnNoErrorSpread},
		{"no spread within", [][]float64{{2, 2}, {3, 3}}, WarnNoErrorSpread},
		{"one value each", [][]float64{{2}, {3}, {4}}, WarnTooFew},
		{"a single value in one group", [][]float64{{2, 3, 4}, {3}}, WarnTooFew},
	} {
		r, err := OneWayAnova(c.groups)
		if err != nil {
			t.Fatal(err)
		}
		if !hasWarning(r.Warnings, c.code) || !math.IsNaN(r.WelchP) {
			t.Errorf("%s: warnings %v, Welch p %v", c.name, r.Warnings, r.WelchP)
		}
	}
	for name, groups := range map[string][][]float64{"one group": {{1, 2}}, "an empty group": {{1, 2}, {}}, "infinite": {{1, math.Inf(1)}, {2}}} {
		if _, err := OneWayAnova(groups); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func TestTwoWayBalancedTypesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ka, kb, n := rapid.IntRange(2, 4).Draw(t, "A"), rapid.IntRange(2, 4).Draw(t, "B"), rapid.IntRange(2, 4).Draw(t, "replicates")
		var y []float64
		var a, b []int
		for i := range ka {
			for j := range kb {
				for range n {
					y, a, b = append(y, float64(rapid.IntRange(1, 50).Draw(t, "y"))), append(a, i), append(b, j)
				}
			}
		}
		r, err := TwoWayAnova(y, a, b)
		if err != nil {
			t.Fatal(err)
		}
		total := r.SSResidual
		for i := range r.TypeII {
			if !near(r.TypeII[i].SS, r.TypeIII[i].SS, 1e-8) {
				t.Fatalf("balanced, effect %d: type II %v, type III %v", i, r.TypeII[i].SS, r.TypeIII[i].SS)
			}
			total += r.TypeII[i].SS
		}
		if want := Variance(y) * float64(len(y)-1); !near(total, want, 1e-8) {
			t.Fatalf("parts sum to %v, total is %v", total, want)
		}
	})
}

// Unbalanced 2 × 2 worked by hand: cell means 1, 2, 3, 6 with 2, 1, 1, 2
// values; the type III sum of squares of A is the contrast of the unweighted
// means squared over Σ(weight²/n).
func TestTwoWayUnbalancedByHand(t *testing.T) {
	r, err := TwoWayAnova([]float64{0, 2, 2, 3, 5, 7}, []int{0, 0, 0, 1, 1, 1}, []int{0, 0, 1, 0, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	contrast := (3+6)/2.0 - (1+2)/2.0
	want := contrast * contrast / (0.25 * (1.0/2 + 1 + 1 + 1.0/2))
	if !near(r.TypeIII[0].SS, want, 1e-12) || !near(r.SSResidual, 4, 1e-12) || r.DFResidual != 2 {
		t.Errorf("type III SS of A %v, want %v; residual %v on %v", r.TypeIII[0].SS, want, r.SSResidual, r.DFResidual)
	}
}

func TestTwoWayEdges(t *testing.T) {
	r, err := TwoWayAnova([]float64{1, 2, 3, 4, 6}, []int{0, 0, 1, 1, 0}, []int{0, 1, 0, 0, 1})
	if err != nil {
		t.Fatal(err)
	}
	if !hasWarning(r.Warnings, WarnEmptyCell) || !math.IsNaN(r.TypeIII[0].SS) || math.IsNaN(r.TypeII[0].F) || r.TypeII[2].DF != 0 {
		t.Errorf("empty cell: %+v", r)
	}
	if r, _ = TwoWayAnova([]float64{1, 2, 3, 9}, []int{0, 0, 1, 1}, []int{0, 1, 0, 1}); !hasWarning(r.Warnings, WarnNoErrorSpread) || !math.IsNaN(r.TypeII[0].F) {
		t.Errorf("one value a cell: %+v", r)
	}
	if _, err := TwoWayAnova([]float64{1, 2}, []int{0, 2}, []int{0, 1}); err == nil {
		t.Error("a gap in the codes was accepted")
	}
}
