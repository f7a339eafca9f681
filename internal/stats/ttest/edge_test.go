package ttest

import (
	"errors"
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
)

func TestEquivalenceEdges(t *testing.T) {
	x, y := []float64{5, 6, 7}, []float64{5, 6, 7}
	r, err := TOST(x, y, TOSTOptions{Lower: -1, Upper: 1})
	if err != nil || !math.IsNaN(r.P) || r.Equivalent || !statstest.HasWarning(r.Warnings, stats.WarnConstant) {
		t.Errorf("equal pairs: got %+v, %v; want no conclusion", r, err)
	}
	if _, err := TOST(x, y, TOSTOptions{Lower: 1, Upper: -1}); !errors.Is(err, ErrBounds) {
		t.Errorf("bounds swapped: got %v, want ErrBounds", err)
	}
	if _, err := TOST(x, y, TOSTOptions{Lower: -1, Upper: 1, Alpha: 0.5}); !errors.Is(err, stats.ErrLevel) {
		t.Errorf("alpha ½: got %v, want ErrLevel", err)
	}
}

func TestDirectionWarnings(t *testing.T) {
	x, y := []float64{5, 6, 7, 8, 9, 9, 9, 9, 9}, []float64{4, 4, 4, 8, 9, 9, 9, 9, 9}
	w, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
	statstest.Fatal(t, err)
	s, err := ranks.SignTest(x, y, ranks.SignTestOptions{})
	statstest.Fatal(t, err)
	f, err := SignFlip(x, y, SignFlipOptions{})
	statstest.Fatal(t, err)
	for name, warnings := range map[string][]stats.Warning{"SignedRank": w.Warnings, "SignTest": s.Warnings,
		"SignFlip": f.Warnings} {
		if !statstest.HasWarning(warnings, stats.WarnCannotReject) || !statstest.HasWarning(warnings, stats.WarnZeros) {
			t.Errorf("%s: 3 of 9 pairs differ, got %v", name, warnings)
		}
	}
	// Six pairs in one direction are just enough: p = 2/2⁶.
	w, err = ranks.SignedRank([]float64{1, 2, 3, 4, 5, 6}, make([]float64, 6), ranks.SignedRankOptions{})
	if err != nil || w.P != 0.03125 || len(w.Warnings) != 0 {
		t.Errorf("six pairs: got %+v, %v; want p = 0.03125 without a warning", w, err)
	}
}
