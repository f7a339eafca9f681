package ttest

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func drawGroup(t *rapid.T, name string) [][2]float64 {
	var g [][2]float64
	for range rapid.IntRange(2, 10).Draw(t, name) {
		g = append(g, [2]float64{float64(rapid.IntRange(0, 14).Draw(t, "first")),
			float64(rapid.IntRange(0, 14).Draw(t, "second"))})
	}
	return g
}

// Renaming the samples turns the treatment round and leaves the period alone;
// an effect put into the ratings comes out of the estimates.
func TestCrossoverProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ab, ba := drawGroup(t, "ab"), drawGroup(t, "ba")
		r, err := Crossover(ab, ba, 0)
		if err != nil {
			t.Fatal(err)
		}
		s, _ := Crossover(ba, ab, 0)
		if !statstest.Near(s.Treatment.Estimate, -r.Treatment.Estimate, 1e-12) ||
			!statstest.Near(s.Period.Estimate, r.Period.Estimate, 1e-12) ||
			!statstest.Near(s.CarryOver.Estimate, -r.CarryOver.Estimate, 1e-12) {
			t.Fatalf("swapped: %+v, was %+v", s, r)
		}
		const a, period = 1.5, -0.25
		moved := func(g [][2]float64, first, second float64) (out [][2]float64) {
			for _, p := range g {
				out = append(out, [2]float64{p[0] + first + period, p[1] + second})
			}
			return out
		}
		m, _ := Crossover(moved(ab, a, 0), moved(ba, 0, a), 0)
		if !statstest.Near(m.Treatment.Estimate-r.Treatment.Estimate, a, 1e-9) ||
			!statstest.Near(m.Period.Estimate-r.Period.Estimate, period, 1e-9) ||
			!statstest.Near(m.CarryOver.Estimate, r.CarryOver.Estimate, 1e-9) {
			t.Fatalf("added treatment %v, period %v: %+v, was %+v", a, period, m, r)
		}
	})
}

func TestCrossoverEdges(t *testing.T) {
	r, err := Crossover([][2]float64{{1.3, 0}, {3.3, 2}}, [][2]float64{{1, 2}, {2, 3}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(r.Treatment.P) || !statstest.HasWarning(r.Warnings, stats.WarnTooFew) ||
		!statstest.Near(r.Treatment.Estimate, 1.15, 1e-12) {
		t.Errorf("differences without spread: %+v", r)
	}
	if _, err := Crossover(nil, [][2]float64{{1, 2}}, 0); err == nil {
		t.Error("an empty group was accepted")
	}
	if _, err := Crossover([][2]float64{{1, 2}}, [][2]float64{{math.NaN(), 2}}, 0); err == nil {
		t.Error("a missing rating was accepted")
	}
}
