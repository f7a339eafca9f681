package size

import (
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestPowerRisesWithNAndEffect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 200).Draw(t, "n")
		d := TDesign{Independent: rapid.Bool().Draw(t, "independent"),
			Effect: rapid.Float64Range(0, 2).Draw(t, "effect"),
			Alternative: rapid.SampledFrom([]stats.Alternative{stats.TwoSided, stats.Greater}).Draw(t,
				"side"), Alpha: rapid.SampledFrom([]float64{0.01, 0.05, 0.2}).Draw(t, "alpha")}
		a, err := PowerT(n, d)
		base := statstest.Okay(t, a, err)
		b, err := PowerT(n+1, d)
		if more := statstest.Okay(t, b, err); more.Power < base.Power-1e-12 {
			t.Fatalf("power falls from %v to %v with one more", base.Power, more.Power)
		}
		d.Effect += 0.1
		c, err := PowerT(n, d)
		if bigger := statstest.Okay(t, c, err); bigger.Power < base.Power-1e-12 || base.Power < d.Alpha-1e-9 {
			t.Fatalf("power %v, with a larger effect %v", base.Power, bigger.Power)
		}
		if less, more := within(n, 4, d.Effect, 1, 0.05), within(n+1, 4, d.Effect, 1, 0.05); more < less-1e-12 {
			t.Fatalf("within: power falls from %v to %v", less, more)
		}
	})
}

func TestSampleSizeIsTheFirstThatReaches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := TDesign{Independent: rapid.Bool().Draw(t, "independent"),
			Effect: rapid.Float64Range(0.1, 3).Draw(t, "effect")}
		power := rapid.Float64Range(0.1, 0.99).Draw(t, "power")
		r, err := T(power, d)
		s := statstest.Okay(t, r, err)
		at, err := PowerT(s.N, d)
		if got := statstest.Okay(t, at, err); got.Power < power {
			t.Fatalf("n = %d has power %v < %v", s.N, got.Power, power)
		}
		if s.N > 2 {
			before, err := PowerT(s.N-1, d)
			if got := statstest.Okay(t, before, err); got.Power >= power {
				t.Fatalf("n = %d already has power %v", s.N-1, got.Power)
			}
		}
		found, err := DetectableEffectT(s.N, power, d)
		if smallest := statstest.Okay(t, found, err); power > 0.06 && smallest > d.Effect+1e-9 {
			t.Fatalf("n = %d detects only %v, not %v", s.N, smallest, d.Effect)
		}
	})
}
