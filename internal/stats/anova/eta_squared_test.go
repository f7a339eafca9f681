package anova

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/statstest"
)

// Means fixed at 0, 0.5, 1 with unit variance and 8 values each: λ is
// 8·(0.25 + 0 + 0.25) = 4 and η² in the sense of the interval 4/(4+24).
func TestEtaSquaredIntervalCovers(t *testing.T) {
	const truth = 4.0 / 28
	rng, misses, n := statstest.NewTestRand(31), 0.0, simulated.Studies(2000)
	for range n {
		misses += 1 - statstest.Missed(oneWayInterval(t, rng), truth)
	}
	rate := misses / float64(n)
	t.Logf("misses %.4f of %d at 95 %%", rate, n)
	if math.Abs(rate-0.05) > simulated.Margin(0.05, n) {
		t.Errorf("misses %.4f at 95 %%", rate)
	}
}

func oneWayInterval(t *testing.T, rng *rand.Rand) stats.Interval {
	t.Helper()
	groups := independentGroups(rng, []float64{1, 1, 1}, []int{8, 8, 8})
	for g := range groups {
		for i := range groups[g] {
			groups[g][i] += 0.5 * float64(g)
		}
	}
	r := statstest.Must(OneWay(groups))
	return statstest.Must(effect.EtaSquaredInterval(r.F, r.DF1, r.DF2, 0.95))
}
