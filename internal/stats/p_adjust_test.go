package stats_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestAdjustedPValuesKeepTheirOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 0, 12).Draw(t, "p")
		bonferroni, holm, hochberg, hommel := stats.Bonferroni(p), stats.Holm(p), stats.Hochberg(p), stats.Hommel(p)
		bh, by := stats.BenjaminiHochberg(p), stats.BenjaminiYekutieli(p)
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
	got := stats.Holm([]float64{0.01, math.NaN(), 0.03})
	if !statstest.Agree(got[0], 0.02, 1e-15) || !math.IsNaN(got[1]) || !statstest.Agree(got[2], 0.03, 1e-15) {
		t.Errorf("Holm with an absent test: %v", got)
	}
}
