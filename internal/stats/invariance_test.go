package stats_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

func changed(x []float64, shift, scale float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = shift + scale*v
	}
	return out
}

func TestPairedSwapShiftScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := statstest.DrawPairs(t, 2, 25)
		shift := float64(rapid.IntRange(-20, 20).Draw(t, "shift"))
		scale := rapid.SampledFrom([]float64{0.001, 0.1, 0.5, 4, 1000}).Draw(t, "scale")
		x2, y2 := changed(x, shift, scale), changed(y, shift, scale)

		r1, err := ttest.Paired(x, y, ttest.PairedOptions{})
		a := statstest.Okay(t, r1, err)
		r2, err := ttest.Paired(y, x, ttest.PairedOptions{})
		swapped := statstest.Okay(t, r2, err)
		r3, err := ttest.Paired(x2, y2, ttest.PairedOptions{})
		moved := statstest.Okay(t, r3, err)
		if !statstest.Agree(a.T, -swapped.T, 1e-9) || !statstest.Agree(a.P, swapped.P, 1e-9) ||
			!statstest.Agree(a.P, moved.P, 1e-7) || !statstest.Agree(a.CI.Lo*scale, moved.CI.Lo, 1e-7) &&
			math.Abs(a.CI.Lo*scale-moved.CI.Lo) > 1e-7*scale {
			t.Fatalf("t: %+v, swapped %+v, moved %+v", a, swapped, moved)
		}
		statstest.InUnit(t, "t", a.P)
		statstest.Holds(t, "t", a.CI, a.Diff)

		w1, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{Alternative: stats.Greater})
		w := statstest.Okay(t, w1, err)
		w2, err := ranks.SignedRank(y, x, ranks.SignedRankOptions{Alternative: stats.Less})
		ws := statstest.Okay(t, w2, err)
		w3, err := ranks.SignedRank(x2, y2, ranks.SignedRankOptions{Alternative: stats.Greater})
		wm := statstest.Okay(t, w3, err)
		if !statstest.Agree(w.P, ws.P, 1e-12) || !statstest.Agree(w.P, wm.P, 1e-12) || w.WPlus != ws.WMinus ||
			w.WPlus != wm.WPlus {
			t.Fatalf("signed rank: %+v, swapped %+v, moved %+v", w, ws, wm)
		}
		statstest.InUnit(t, "signed rank", w.P, w.ExactLess, w.ExactTwoSided, w.NormalTwoSided,
			w.NormalTwoSidedCorrected, w.NormalGreaterCorrected, w.NormalLessCorrected)
	})
}

func TestPairedEffectsContainEstimates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := statstest.DrawPairs(t, 1, 25)
		level := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 0.999}).Draw(t, "level")
		r, err := effect.Paired(x, y, level)
		e := statstest.Okay(t, r, err)
		r2, err := effect.Paired(y, x, level)
		s := statstest.Okay(t, r2, err)
		for name, pair := range map[string][2]effect.Size{"difference": {e.Difference, s.Difference},
			"d_z": {e.Dz, s.Dz}, "g_z": {e.Gz, s.Gz}, "rank-biserial": {e.RankBiserial, s.RankBiserial}} {
			if !(len(x) == 2 && name == "g_z") { // J is 0 on one degree of freedom
				statstest.Holds(t, name, pair[0].CI, pair[0].Value)
			}
			if !statstest.Agree(pair[0].Value, -pair[1].Value, 1e-9) || !pair[0].CI.Absent() &&
				math.Abs(pair[0].CI.Lo+pair[1].CI.Hi) > 1e-7*(1+math.Abs(pair[0].CI.Lo)) {
				t.Fatalf("%s: %+v, swapped %+v", name, pair[0], pair[1])
			}
		}
		if math.Abs(e.Superiority+s.Superiority-1) > 1e-12 {
			t.Fatalf("superiority %v and %v", e.Superiority, s.Superiority)
		}
		h1, err := ranks.HodgesLehmannPaired(x, y, level)
		h := statstest.Okay(t, h1, err)
		statstest.Holds(t, "Hodges–Lehmann", h.CI, h.Estimate)
		s1, err := ranks.SignTest(x, y, ranks.SignTestOptions{Level: level})
		sign := statstest.Okay(t, s1, err)
		statstest.Holds(t, "median", sign.MedianCI, sign.Median)
		statstest.Holds(t, "proportion", sign.ProportionCI, sign.ProportionUp)
		statstest.InUnit(t, "sign", sign.P, sign.Greater, sign.Less)
	})
}

func TestTwoSampleSwapShiftScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rating := rapid.Custom(func(t *rapid.T) float64 {
			return float64(rapid.IntRange(2, 18).Draw(t, "half points")) / 2
		})
		x := rapid.SliceOfN(rating, 1, 14).Draw(t, "x")
		y := rapid.SliceOfN(rating, 1, 14).Draw(t, "y")
		x2, y2 := changed(x, 3, 0.1), changed(y, 3, 0.1)
		w1, err := ttest.Welch(x, y, ttest.TwoSampleOptions{Alternative: stats.Greater})
		w := statstest.Okay(t, w1, err)
		w2, err := ttest.Welch(y2, x2, ttest.TwoSampleOptions{Alternative: stats.Less})
		if ws := statstest.Okay(t, w2, err); !statstest.Agree(w.P, ws.P, 1e-7) {
			t.Fatalf("Welch: %+v, swapped %+v", w, ws)
		}
		statstest.Holds(t, "Welch", w.CI, w.Diff)
		m1, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{})
		m := statstest.Okay(t, m1, err)
		m2, err := ranks.MannWhitney(y2, x2, ranks.MannWhitneyOptions{})
		if ms := statstest.Okay(t, m2, err); !statstest.Agree(m.P, ms.P, 1e-12) || m.U != ms.UOther {
			t.Fatalf("Mann–Whitney: %+v, swapped %+v", m, ms)
		}
		statstest.InUnit(t, "Mann–Whitney", m.P, m.ExactDoubled, m.ExactGreater, m.ExactLess, m.NormalTwoSidedCorrected)
		h1, err := ranks.HodgesLehmann(x, y, 0)
		h := statstest.Okay(t, h1, err)
		statstest.Holds(t, "Hodges–Lehmann", h.CI, h.Estimate)
		e1, err := effect.TwoSample(x, y, 0)
		e := statstest.Okay(t, e1, err)
		for name, effect := range map[string]effect.Size{"d_s": e.Ds, "Glass": e.GlassDelta, "Cliff": e.CliffsDelta} {
			statstest.Holds(t, name, effect.CI, effect.Value)
		}
	})
}
