package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func changed(x []float64, shift, scale float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = shift + scale*v
	}
	return out
}

func inUnit(t *rapid.T, name string, ps ...float64) {
	t.Helper()
	for _, p := range ps {
		if !math.IsNaN(p) && !(p >= 0 && p <= 1) {
			t.Fatalf("%s: p = %v", name, p)
		}
	}
}

func holds(t *rapid.T, name string, i Interval, estimate float64) {
	t.Helper()
	slack := 1e-9 * (1 + math.Abs(estimate))
	if !i.Absent() && !(i.Lo <= estimate+slack && estimate <= i.Hi+slack) {
		t.Fatalf("%s: interval %+v leaves out the estimate %v", name, i, estimate)
	}
}

func okay[T any](t *rapid.T, r T, err error) T {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestPairedSwapShiftScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 2, 25)
		shift := float64(rapid.IntRange(-20, 20).Draw(t, "shift"))
		scale := rapid.SampledFrom([]float64{0.001, 0.1, 0.5, 4, 1000}).Draw(t, "scale")
		x2, y2 := changed(x, shift, scale), changed(y, shift, scale)

		r1, err := PairedT(x, y, PairedTOptions{})
		a := okay(t, r1, err)
		r2, err := PairedT(y, x, PairedTOptions{})
		swapped := okay(t, r2, err)
		r3, err := PairedT(x2, y2, PairedTOptions{})
		moved := okay(t, r3, err)
		if !agree(a.T, -swapped.T, 1e-9) || !agree(a.P, swapped.P, 1e-9) || !agree(a.P, moved.P, 1e-7) || !agree(a.CI.Lo*scale, moved.CI.Lo, 1e-7) && math.Abs(a.CI.Lo*scale-moved.CI.Lo) > 1e-7*scale {
			t.Fatalf("t: %+v, swapped %+v, moved %+v", a, swapped, moved)
		}
		inUnit(t, "t", a.P)
		holds(t, "t", a.CI, a.Diff)

		w1, err := SignedRank(x, y, SignedRankOptions{Alternative: Greater})
		w := okay(t, w1, err)
		w2, err := SignedRank(y, x, SignedRankOptions{Alternative: Less})
		ws := okay(t, w2, err)
		w3, err := SignedRank(x2, y2, SignedRankOptions{Alternative: Greater})
		wm := okay(t, w3, err)
		if !agree(w.P, ws.P, 1e-12) || !agree(w.P, wm.P, 1e-12) || w.WPlus != ws.WMinus || w.WPlus != wm.WPlus {
			t.Fatalf("signed rank: %+v, swapped %+v, moved %+v", w, ws, wm)
		}
		inUnit(t, "signed rank", w.P, w.ExactLess, w.ExactTwoSided, w.NormalTwoSided, w.NormalTwoSidedCorrected, w.NormalGreaterCorrected, w.NormalLessCorrected)
	})
}

func TestPairedEffectsContainEstimates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 1, 25)
		level := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 0.999}).Draw(t, "level")
		r, err := PairedEffects(x, y, level)
		e := okay(t, r, err)
		r2, err := PairedEffects(y, x, level)
		s := okay(t, r2, err)
		for name, pair := range map[string][2]Effect{"difference": {e.Difference, s.Difference}, "d_z": {e.Dz, s.Dz}, "g_z": {e.Gz, s.Gz}, "rank-biserial": {e.RankBiserial, s.RankBiserial}} {
			if !(len(x) == 2 && name == "g_z") { // J is 0 on one degree of freedom
				holds(t, name, pair[0].CI, pair[0].Value)
			}
			if !agree(pair[0].Value, -pair[1].Value, 1e-9) || !pair[0].CI.Absent() && math.Abs(pair[0].CI.Lo+pair[1].CI.Hi) > 1e-7*(1+math.Abs(pair[0].CI.Lo)) {
				t.Fatalf("%s: %+v, swapped %+v", name, pair[0], pair[1])
			}
		}
		if math.Abs(e.Superiority+s.Superiority-1) > 1e-12 {
			t.Fatalf("superiority %v and %v", e.Superiority, s.Superiority)
		}
		h1, err := HodgesLehmannPaired(x, y, level)
		h := okay(t, h1, err)
		holds(t, "Hodges–Lehmann", h.CI, h.Estimate)
		s1, err := SignTest(x, y, SignTestOptions{Level: level})
		sign := okay(t, s1, err)
		holds(t, "median", sign.MedianCI, sign.Median)
		holds(t, "proportion", sign.ProportionCI, sign.ProportionUp)
		inUnit(t, "sign", sign.P, sign.Greater, sign.Less)
	})
}

func TestTwoSampleSwapShiftScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rating := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(2, 18).Draw(t, "half points")) / 2 })
		x := rapid.SliceOfN(rating, 1, 14).Draw(t, "x")
		y := rapid.SliceOfN(rating, 1, 14).Draw(t, "y")
		x2, y2 := changed(x, 3, 0.1), changed(y, 3, 0.1)
		w1, err := WelchT(x, y, TwoSampleOptions{Alternative: Greater})
		w := okay(t, w1, err)
		w2, err := WelchT(y2, x2, TwoSampleOptions{Alternative: Less})
		if ws := okay(t, w2, err); !agree(w.P, ws.P, 1e-7) {
			t.Fatalf("Welch: %+v, swapped %+v", w, ws)
		}
		holds(t, "Welch", w.CI, w.Diff)
		m1, err := MannWhitney(x, y, MannWhitneyOptions{})
		m := okay(t, m1, err)
		m2, err := MannWhitney(y2, x2, MannWhitneyOptions{})
		if ms := okay(t, m2, err); !agree(m.P, ms.P, 1e-12) || m.U != ms.UOther {
			t.Fatalf("Mann–Whitney: %+v, swapped %+v", m, ms)
		}
		inUnit(t, "Mann–Whitney", m.P, m.ExactDoubled, m.ExactGreater, m.ExactLess, m.NormalTwoSidedCorrected)
		h1, err := HodgesLehmann(x, y, 0)
		h := okay(t, h1, err)
		holds(t, "Hodges–Lehmann", h.CI, h.Estimate)
		e1, err := TwoSampleEffects(x, y, 0)
		e := okay(t, e1, err)
		for name, effect := range map[string]Effect{"d_s": e.Ds, "Glass": e.GlassDelta, "Cliff": e.CliffsDelta} {
			holds(t, name, effect.CI, effect.Value)
		}
	})
}

func TestProportionsKeepTheirRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 300).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		p0 := rapid.Float64Range(0.01, 0.99).Draw(t, "p0")
		r1, err := BinomialTest(x, n, p0, BinomialTestOptions{})
		r := okay(t, r1, err)
		inUnit(t, "binomial", r.TwoSided, r.Greater, r.Less, r.MidPGreater)
		holds(t, "Clopper–Pearson", r.ClopperPearson, r.Proportion)
		holds(t, "Wilson", r.Wilson, r.Proportion)
		mirrored, err := BinomialTest(n-x, n, 1-p0, BinomialTestOptions{})
		if m := okay(t, mirrored, err); !agree(r.Greater, m.Less, 1e-9) || !agree(r.TwoSided, m.TwoSided, 1e-6) {
			t.Fatalf("binomial %+v, mirrored %+v", r, m)
		}
		if x > 0 { // the limit is where the tail is (1−level)/2
			if tail := BinomialSurvival(x-1, n, r.ClopperPearson.Lo); !agree(tail, 0.025, 1e-9) {
				t.Fatalf("tail at the lower limit: %v", tail)
			}
		}
		count := rapid.IntRange(0, 30)
		table := [2][2]int{{count.Draw(t, "a"), count.Draw(t, "b")}, {count.Draw(t, "c"), 1 + count.Draw(t, "d")}}
		m1, err := McNemar(table, 0)
		m := okay(t, m1, err)
		inUnit(t, "McNemar", m.P, m.PCorrected, m.ExactP, m.MidP)
		holds(t, "Wald", m.WaldCI, m.Difference)
		holds(t, "Newcombe", m.ScoreCI, m.Difference)
		holds(t, "odds", m.OddsCI, m.OddsRatio)
		table[0][0]++
		t1, err := TwoProportions(table, 0)
		two := okay(t, t1, err)
		inUnit(t, "two proportions", two.Fisher, two.Greater, two.Less, two.P, two.PYates)
		holds(t, "difference", two.CI, two.Difference)
	})
}

func TestAdjustedPValuesKeepTheirOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 0, 12).Draw(t, "p")
		bonferroni, holm, hochberg, hommel := Bonferroni(p), Holm(p), Hochberg(p), Hommel(p)
		bh, by := BenjaminiHochberg(p), BenjaminiYekutieli(p)
		for i := range p {
			rising := []float64{p[i], bh[i], hommel[i], hochberg[i], holm[i], bonferroni[i], 1}
			for k := 1; k < len(rising); k++ {
				if rising[k-1] > rising[k]+1e-12 {
					t.Fatalf("p %v at %d: p, BH, Hommel, Hochberg, Holm, Bonferroni = %v", p, i, rising)
				}
			}
			if bh[i] > by[i]+1e-12 || by[i] > 1 {
				t.Fatalf("BY %v below BH %v", by[i], bh[i])
			}
			for j := range p {
				if p[i] < p[j] && holm[i] > holm[j] {
					t.Fatalf("Holm turns the order of %v and %v", p[i], p[j])
				}
			}
		}
	})
}

func TestAbsentTestsDoNotCount(t *testing.T) {
	got := Holm([]float64{0.01, math.NaN(), 0.03})
	if !agree(got[0], 0.02, 1e-15) || !math.IsNaN(got[1]) || !agree(got[2], 0.03, 1e-15) {
		t.Errorf("Holm with an absent test: %v", got)
	}
}

func TestPowerRisesWithNAndEffect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 200).Draw(t, "n")
		d := TDesign{Independent: rapid.Bool().Draw(t, "independent"), Effect: rapid.Float64Range(0, 2).Draw(t, "effect"),
			Alternative: rapid.SampledFrom([]Alternative{TwoSided, Greater}).Draw(t, "side"), Alpha: rapid.SampledFrom([]float64{0.01, 0.05, 0.2}).Draw(t, "alpha")}
		a, err := PowerT(n, d)
		base := okay(t, a, err)
		b, err := PowerT(n+1, d)
		if more := okay(t, b, err); more.Power < base.Power-1e-12 {
			t.Fatalf("power falls from %v to %v with one more", base.Power, more.Power)
		}
		d.Effect += 0.1
		c, err := PowerT(n, d)
		if bigger := okay(t, c, err); bigger.Power < base.Power-1e-12 || base.Power < d.Alpha-1e-9 {
			t.Fatalf("power %v, with a larger effect %v", base.Power, bigger.Power)
		}
		w := WithinDesign{Samples: 4, Effect: d.Effect}
		p1, err := PowerWithin(n, w)
		lower := okay(t, p1, err)
		p2, err := PowerWithin(n+1, w)
		if upper := okay(t, p2, err); upper < lower-1e-12 {
			t.Fatalf("within: power falls from %v to %v", lower, upper)
		}
	})
}

func TestSampleSizeIsTheFirstThatReaches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := TDesign{Independent: rapid.Bool().Draw(t, "independent"), Effect: rapid.Float64Range(0.1, 3).Draw(t, "effect")}
		power := rapid.Float64Range(0.1, 0.99).Draw(t, "power")
		r, err := SampleSizeT(power, d)
		s := okay(t, r, err)
		at, err := PowerT(s.N, d)
		if got := okay(t, at, err); got.Power < power {
			t.Fatalf("n = %d has power %v < %v", s.N, got.Power, power)
		}
		if s.N > 2 {
			before, err := PowerT(s.N-1, d)
			if got := okay(t, before, err); got.Power >= power {
				t.Fatalf("n = %d already has power %v", s.N-1, got.Power)
			}
		}
		found, err := DetectableEffectT(s.N, power, d)
		if smallest := okay(t, found, err); power > 0.06 && smallest > d.Effect+1e-9 {
			t.Fatalf("n = %d detects only %v, not %v", s.N, smallest, d.Effect)
		}
	})
}
