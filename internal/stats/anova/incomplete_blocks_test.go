package anova

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
)

// Complete blocks are the simplest incomplete ones: the analysis must be that
// of RMAnova, and Durbin's test that of Friedman.
func TestIncompleteBlocksOfCompleteBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := statstest.RatingTable(t, 8, 5)
		var y []float64
		var block, sample []int
		for i, row := range rows {
			for j, v := range row {
				y, block, sample = append(y, v), append(block, i), append(sample, j)
			}
		}
		r, err := IncompleteBlocks(y, block, sample)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := Repeated(rows, RepeatedOptions{})
		f, _ := ranks.Friedman(rows)
		if math.IsNaN(a.F) != math.IsNaN(r.F) || !math.IsNaN(a.F) && !statstest.Near(a.F, r.F, 1e-8) {
			t.Fatalf("F %v, complete %v", r.F, a.F)
		}
		if !math.IsNaN(f.ChiSq) && !statstest.Near(f.ChiSq, r.DurbinChiSq, 1e-9) {
			t.Fatalf("Durbin %v, Friedman %v", r.DurbinChiSq, f.ChiSq)
		}
		if r.Efficiency != 1 || !statstest.Near(r.AdjustedMeans[0], a.Means[0], 1e-9) {
			t.Fatalf("efficiency %v, mean %v, want 1 and %v", r.Efficiency, r.AdjustedMeans[0], a.Means[0])
		}
	})
}

// Three samples in pairs, three blocks, worked by hand: within-block
// differences b−a = 2, c−b = 4, c−a = 3 give τ by least squares, and the
// residual has one degree of freedom: (2+4−3)²/6 = 1.5.
func TestIncompleteBlocksByHand(t *testing.T) {
	r, err := IncompleteBlocks([]float64{1, 3, 10, 14, 5, 8}, []int{0, 0, 1, 1, 2, 2}, []int{0, 1, 1, 2, 0, 2})
	if err != nil {
		t.Fatal(err)
	}
	if r.K != 2 || r.R != 2 || r.Lambda != 1 || !statstest.Near(r.Efficiency, 0.75, 1e-15) || r.DF2 != 1 {
		t.Errorf("design %+v", r)
	}
	// Least squares: b−a = (2·2 + (3−4))/3 = 1, c−b = (2·4 + (3−2))/3 = 3.
	if !statstest.Near(r.Pairs[0].Diff, 1, 1e-12) || !statstest.Near(r.Pairs[2].Diff, 3, 1e-12) ||
		!statstest.Near(r.MSError, 1.5, 1e-12) {
		t.Errorf("differences %v, %v; error %v", r.Pairs[0].Diff, r.Pairs[2].Diff, r.MSError)
	}
}

func TestIncompleteBlocksEdges(t *testing.T) {
	if _, err := IncompleteBlocks([]float64{1, 2, 3, 4}, []int{0, 0, 1, 1}, []int{0, 1, 2, 3}); !errors.Is(err,
		ErrDisconnected) {
		t.Errorf("two blocks without a common sample: %v", err)
	}
	r, err := IncompleteBlocks([]float64{1, 2, 3, 5, math.NaN(), 1, 9}, []int{0, 0, 1, 1, 2, 2, 2},
		[]int{0, 1, 1, 2, 0, 1, 2})
	if err != nil {
		t.Fatal(err)
	}
	if !statstest.HasWarning(r.Warnings, stats.WarnMissing) ||
		math.IsNaN(r.Lambda) != statstest.HasWarning(r.Warnings, stats.WarnNotBalanced) {
		t.Errorf("missing rating: %+v", r)
	}
	c, err := IncompleteBlocks([]float64{4, 4, 4, 4, 4, 4}, []int{0, 0, 1, 1, 2, 2}, []int{0, 1, 1, 2, 0, 2})
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(c.P) || !math.IsNaN(c.DurbinP) || !statstest.HasWarning(c.Warnings, stats.WarnNoErrorSpread) ||
		!statstest.HasWarning(c.Warnings, stats.WarnAllTied) {
		t.Errorf("constant ratings: %+v", c)
	}
}
