package anova

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestTwoWayBalancedTypesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ka, kb, n := rapid.IntRange(2, 4).Draw(t, "A"), rapid.IntRange(2, 4).Draw(t, "B"), rapid.IntRange(2, 4).Draw(t,
			"replicates")
		var y []float64
		var a, b []int
		for i := range ka {
			for j := range kb {
				for range n {
					y, a, b = append(y, float64(rapid.IntRange(1, 50).Draw(t, "y"))), append(a, i), append(b, j)
				}
			}
		}
		r, err := TwoWay(y, a, b)
		if err != nil {
			t.Fatal(err)
		}
		total := r.SSResidual
		for i := range r.TypeII {
			if !statstest.Near(r.TypeII[i].SS, r.TypeIII[i].SS, 1e-8) {
				t.Fatalf("balanced, effect %d: type II %v, type III %v", i, r.TypeII[i].SS, r.TypeIII[i].SS)
			}
			total += r.TypeII[i].SS
		}
		if want := stats.Variance(y) * float64(len(y)-1); !statstest.Near(total, want, 1e-8) {
			t.Fatalf("parts sum to %v, total is %v", total, want)
		}
	})
}

// Unbalanced 2 × 2 worked by hand: cell means 1, 2, 3, 6 with 2, 1, 1, 2
// values; the type III sum of squares of A is the contrast of the unweighted
// means squared over Σ(weight²/n).
func TestTwoWayUnbalancedByHand(t *testing.T) {
	r, err := TwoWay([]float64{0, 2, 2, 3, 5, 7}, []int{0, 0, 0, 1, 1, 1}, []int{0, 0, 1, 0, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	contrast := (3+6)/2.0 - (1+2)/2.0
	want := contrast * contrast / (0.25 * (1.0/2 + 1 + 1 + 1.0/2))
	if !statstest.Near(r.TypeIII[0].SS, want, 1e-12) || !statstest.Near(r.SSResidual, 4, 1e-12) || r.DFResidual != 2 {
		t.Errorf("type III SS of A %v, want %v; residual %v on %v", r.TypeIII[0].SS, want, r.SSResidual, r.DFResidual)
	}
}

func TestTwoWayEdges(t *testing.T) {
	r, err := TwoWay([]float64{1, 2, 3, 4, 6}, []int{0, 0, 1, 1, 0}, []int{0, 1, 0, 0, 1})
	if err != nil {
		t.Fatal(err)
	}
	if !statstest.HasWarning(r.Warnings, WarnEmptyCell) || !math.IsNaN(r.TypeIII[0].SS) || math.IsNaN(r.TypeII[0].F) ||
		r.TypeII[2].DF != 0 {
		t.Errorf("empty cell: %+v", r)
	}
	if r, _ = TwoWay([]float64{1, 2, 3, 9}, []int{0, 0, 1, 1}, []int{0, 1, 0, 1}); !statstest.HasWarning(r.Warnings,
		stats.WarnNoErrorSpread) || !math.IsNaN(r.TypeII[0].F) {
		t.Errorf("one value a cell: %+v", r)
	}
	if _, err := TwoWay([]float64{1, 2}, []int{0, 2}, []int{0, 1}); err == nil {
		t.Error("a gap in the codes was accepted")
	}
}
