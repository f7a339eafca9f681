package effect

import (
	"errors"
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

func TestEffectsOfAConstantShift(t *testing.T) {
	// Everybody rates x one point above y: d_z is undefined, d_av is not.
	e, err := Paired([]float64{2, 3, 5}, []float64{1, 2, 4}, 0)
	statstest.Fatal(t, err)
	sd := math.Sqrt(7.0 / 3)
	if !math.IsNaN(e.Dz.Value) || !math.IsNaN(e.Gz.Value) || !math.IsNaN(e.Drm) ||
		!math.IsNaN(e.CommonLanguageNormal) ||
		!statstest.Agree(e.Dav, 1/sd, 1e-12) || e.Superiority != 1 || e.RankBiserial.Value != 1 ||
		!e.RankBiserial.CI.Absent() {
		t.Errorf("got %+v; want only the effects by the samples' own spread", e)
	}
	if !statstest.HasWarning(e.Dz.Warnings, stats.WarnConstant) ||
		!statstest.HasWarning(e.RankBiserial.Warnings, stats.WarnOneSidedData) ||
		!statstest.HasWarning(e.Warnings, stats.WarnConstant) {
		t.Errorf("warnings %v, d_z %v, rank-biserial %v", e.Warnings, e.Dz.Warnings, e.RankBiserial.Warnings)
	}
}

func TestEffectsOfConstantSamples(t *testing.T) {
	e, err := TwoSample([]float64{5, 5, 5}, []float64{3, 3}, 0)
	statstest.Fatal(t, err)
	if !math.IsNaN(e.Ds.Value) || !math.IsNaN(e.GlassDelta.Value) || e.Superiority != 1 || e.CliffsDelta.Value != 1 ||
		!e.CliffsDelta.CI.Absent() {
		t.Errorf("got %+v; want only the effects by ranks", e)
	}
	m, err := ranks.MannWhitney([]float64{4, 4}, []float64{4, 4, 4}, ranks.MannWhitneyOptions{})
	if err != nil || !math.IsNaN(m.P) || !math.IsNaN(m.Z) || m.U != 3 ||
		!statstest.HasWarning(m.Warnings, stats.WarnConstant) {
		t.Errorf("Mann–Whitney of equal ratings: got %+v, %v", m, err)
	}
	w, err := ttest.Welch([]float64{4, 4}, []float64{5, 5}, ttest.TwoSampleOptions{})
	if err != nil || !math.IsNaN(w.T) || w.Diff != -1 || !statstest.HasWarning(w.Warnings, stats.WarnConstant) {
		t.Errorf("Welch of constant samples: got %+v, %v", w, err)
	}
	one, err := ttest.Welch([]float64{4}, []float64{5, 6}, ttest.TwoSampleOptions{})
	if err != nil || !math.IsNaN(one.T) || !statstest.HasWarning(one.Warnings, stats.WarnTooFew) {
		t.Errorf("Welch of one against two: got %+v, %v", one, err)
	}
	pooled, err := ttest.Pooled([]float64{4}, []float64{5, 6}, ttest.TwoSampleOptions{})
	if err != nil || pooled.DF != 1 || math.IsNaN(pooled.P) {
		t.Errorf("pooled t of one against two: got %+v, %v", pooled, err)
	}
}

func TestPairedEdges(t *testing.T) {
	inf := math.Inf(1)
	malformed := []struct {
		name string
		x, y []float64
		want error
	}{
		{"no pairs", nil, nil, stats.ErrEmpty},
		{"lengths differ", []float64{1, 2}, []float64{1}, stats.ErrUnequalLengths},
		{"not a number", []float64{1, math.NaN()}, []float64{1, 2}, stats.ErrNotFinite},
		{"infinite", []float64{1, 2}, []float64{1, inf}, stats.ErrNotFinite},
		{"difference overflows", []float64{math.MaxFloat64, 1}, []float64{-math.MaxFloat64, 1}, stats.ErrNotFinite},
	}
	for _, tc := range malformed {
		t.Run(tc.name, func(t *testing.T) {
			_, errT := ttest.Paired(tc.x, tc.y, ttest.PairedOptions{})
			_, errW := ranks.SignedRank(tc.x, tc.y, ranks.SignedRankOptions{})
			_, errS := ranks.SignTest(tc.x, tc.y, ranks.SignTestOptions{})
			_, errD := CohenDz(tc.x, tc.y, 0)
			for method, err := range map[string]error{"PairedT": errT, "SignedRank": errW, "SignTest": errS,
				"CohenDz": errD} {
				if !errors.Is(err, tc.want) {
					t.Errorf("%s: got error %v, want %v", method, err, tc.want)
				}
			}
		})
	}
	if _, err := ttest.Paired([]float64{1, 2}, []float64{2, 4}, ttest.PairedOptions{Level: 1}); !errors.Is(err,
		stats.ErrLevel) {
		t.Errorf("level 1: got %v, want ErrLevel", err)
	}
}

func TestPairedAbsences(t *testing.T) {
	cases := []struct {
		name, code string
		x, y       []float64
	}{
		{"all differences zero", stats.WarnConstant, []float64{5, 6, 7}, []float64{5, 6, 7}},
		{"all differences equal", stats.WarnConstant, []float64{1.3, 2.3, 3.3}, []float64{1, 2, 3}},
		{"one pair", stats.WarnTooFew, []float64{3}, []float64{4}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			r, err := ttest.Paired(tc.x, tc.y, ttest.PairedOptions{})
			if err != nil || !math.IsNaN(r.T) || !math.IsNaN(r.P) || !r.CI.Absent() ||
				!statstest.HasWarning(r.Warnings, tc.code) {
				t.Errorf("PairedT: got %+v, %v; want absences with warning %q", r, err, tc.code)
			}
			e, err := CohenDz(tc.x, tc.y, 0)
			if err != nil || !math.IsNaN(e.Value) || !e.CI.Absent() || !statstest.HasWarning(e.Warnings, tc.code) {
				t.Errorf("CohenDz: got %+v, %v; want absences with warning %q", e, err, tc.code)
			}
		})
	}
	same := []float64{4, 4, 5}
	w, err := ranks.SignedRank(same, same, ranks.SignedRankOptions{})
	if err != nil || !math.IsNaN(w.P) || w.Zeros != 3 || !statstest.HasWarning(w.Warnings, stats.WarnAllSame) {
		t.Errorf("SignedRank of equal pairs: got %+v, %v", w, err)
	}
	s, err := ranks.SignTest(same, same, ranks.SignTestOptions{})
	if err != nil || !math.IsNaN(s.P) || s.Same != 3 || s.Median != 0 ||
		!statstest.HasWarning(s.Warnings, stats.WarnAllSame) {
		t.Errorf("SignTest of equal pairs: got %+v, %v", s, err)
	}
}
