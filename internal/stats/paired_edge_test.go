package stats

import (
	"errors"
	"math"
	"testing"
)

func TestPairedEdges(t *testing.T) {
	inf := math.Inf(1)
	malformed := []struct {
		name string
		x, y []float64
		want error
	}{
		{"no pairs", nil, nil, ErrEmpty},
		{"lengths differ", []float64{1, 2}, []float64{1}, ErrUnequalLengths},
		{"not a number", []float64{1, math.NaN()}, []float64{1, 2}, ErrNotFinite},
		{"infinite", []float64{1, 2}, []float64{1, inf}, ErrNotFinite},
		{"difference overflows", []float64{math.MaxFloat64, 1}, []float64{-math.MaxFloat64, 1}, ErrNotFinite},
	}
	for _, tc := range malformed {
		t.Run(tc.name, func(t *testing.T) {
			_, errT := PairedT(tc.x, tc.y, PairedTOptions{})
			_, errW := SignedRank(tc.x, tc.y, SignedRankOptions{})
			_, errS := SignTest(tc.x, tc.y, SignTestOptions{})
			_, errD := CohenDz(tc.x, tc.y, 0)
			for method, err := range map[string]error{"PairedT": errT, "SignedRank": errW, "SignTest": errS, "CohenDz": errD} {
				if !errors.Is(err, tc.want) {
					t.Errorf("%s: got error %v, want %v", method, err, tc.want)
				}
			}
		})
	}
	if _, err := PairedT([]float64{1, 2}, []float64{2, 4}, PairedTOptions{Level: 1}); !errors.Is(err, ErrLevel) {
		t.Errorf("level 1: got %v, want ErrLevel", err)
	}
}

func TestPairedAbsences(t *testing.T) {
	cases := []struct {
		name, code string
		x, y       []float64
	}{
		{"all differences zero", WarnConstant, []float64{5, 6, 7}, []float64{5, 6, 7}},
		{"all differences equal", WarnConstant, []float64{1.3, 2.3, 3.3}, []float64{1, 2, 3}},
		{"one pair", WarnTooFew, []float64{3}, []float64{4}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			r, err := PairedT(tc.x, tc.y, PairedTOptions{})
			if err != nil || !math.IsNaN(r.T) || !math.IsNaN(r.P) || !r.CI.Absent() || !hasWarning(r.Warnings, tc.code) {
				t.Errorf("PairedT: got %+v, %v; want absences with warning %q", r, err, tc.code)
			}
			e, err := CohenDz(tc.x, tc.y, 0)
			if err != nil || !math.IsNaN(e.Value) || !e.CI.Absent() || !hasWarning(e.Warnings, tc.code) {
				t.Errorf("CohenDz: got %+v, %v; want absences with warning %q", e, err, tc.code)
			}
		})
	}
	same := []float64{4, 4, 5}
	w, err := SignedRank(same, same, SignedRankOptions{})
	if err != nil || !math.IsNaN(w.P) || w.Zeros != 3 || !hasWarning(w.Warnings, WarnAllSame) {
		t.Errorf("SignedRank of equal pairs: got %+v, %v", w, err)
	}
	s, err := SignTest(same, same, SignTestOptions{})
	if err != nil || !math.IsNaN(s.P) || s.Same != 3 || s.Median != 0 || !hasWarning(s.Warnings, WarnAllSame) {
		t.Errorf("SignTest of equal pairs: got %+v, %v", s, err)
	}
}

func TestDirectionWarnings(t *testing.T) {
	x, y := []float64{5, 6, 7, 8, 9, 9, 9, 9, 9}, []float64{4, 4, 4, 8, 9, 9, 9, 9, 9}
	w, err := SignedRank(x, y, SignedRankOptions{})
	fatal(t, err)
	s, err := SignTest(x, y, SignTestOptions{})
	fatal(t, err)
	f, err := SignFlip(x, y, SignFlipOptions{})
	fatal(t, err)
	for name, warnings := range map[string][]Warning{"SignedRank": w.Warnings, "SignTest": s.Warnings, "SignFlip": f.Warnings} {
		if !hasWarning(warnings, WarnCannotReject) || !hasWarning(warnings, WarnZeros) {
			t.Errorf("%s: 3 of 9 pairs differ, got %v", name, warnings)
		}
	}
	// Six pairs in one direction are just enough: p = 2/2⁶.
	w, err = SignedRank([]float64{1, 2, 3, 4, 5, 6}, make([]float64, 6), SignedRankOptions{})
	if err != nil || w.P != 0.03125 || len(w.Warnings) != 0 {
		t.Errorf("six pairs: got %+v, %v; want p = 0.03125 without a warning", w, err)
	}
}

func hasWarning(ws []Warning, code string) bool {
	for _, w := range ws {
		if w.Code == code && w.Text != "" {
			return true
		}
	}
	return false
}
