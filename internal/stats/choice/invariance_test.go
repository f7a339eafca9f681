package choice

import (
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/statstest"
)

func TestProportionsKeepTheirRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 300).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		p0 := rapid.Float64Range(0.01, 0.99).Draw(t, "p0")
		r1, err := BinomialTest(x, n, p0, BinomialTestOptions{})
		r := statstest.Okay(t, r1, err)
		statstest.InUnit(t, "binomial", r.TwoSided, r.Greater, r.Less, r.MidPGreater)
		statstest.Holds(t, "Clopper–Pearson", r.ClopperPearson, r.Proportion)
		statstest.Holds(t, "Wilson", r.Wilson, r.Proportion)
		mirrored, err := BinomialTest(n-x, n, 1-p0, BinomialTestOptions{})
		if m := statstest.Okay(t, mirrored, err); !statstest.Agree(r.Greater, m.Less, 1e-9) ||
			!statstest.Agree(r.TwoSided, m.TwoSided, 1e-6) {
			t.Fatalf("binomial %+v, mirrored %+v", r, m)
		}
		if x > 0 { // the limit is where the tail is (1−level)/2
			if tail := dist.BinomialSurvival(x-1, n, r.ClopperPearson.Lo); !statstest.Agree(tail, 0.025, 1e-9) {
				t.Fatalf("tail at the lower limit: %v", tail)
			}
		}
		count := rapid.IntRange(0, 30)
		table := [2][2]int{{count.Draw(t, "a"), count.Draw(t, "b")}, {count.Draw(t, "c"), 1 + count.Draw(t, "d")}}
		m1, err := McNemar(table, 0)
		m := statstest.Okay(t, m1, err)
		statstest.InUnit(t, "McNemar", m.P, m.PCorrected, m.ExactP, m.MidP)
		statstest.Holds(t, "Wald", m.WaldCI, m.Difference)
		statstest.Holds(t, "Newcombe", m.ScoreCI, m.Difference)
		statstest.Holds(t, "odds", m.OddsCI, m.OddsRatio)
	})
}
