package lottery

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats"
)

// The interval of a p from some draws holds the p of all of them, 19 times in 20, and the p
// shown lies in it but for the plan itself, which it counts.
func TestIntervalOfAPHoldsThatOfAllDraws(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	differences := []float64{3, -1, 4, 2, -2, 5, 1, 0.5, -3, 6, 2.5, -0.5}
	sets := make([][]int, len(differences))
	for i := range sets {
		sets[i] = []int{i}
	}
	all, err := Swapped{Differences: differences, Sets: sets, Draws: 1 << 12}.Test()
	if err != nil || !all.Exact {
		t.Fatal(all, err)
	}
	const rounds, draws = 400, 600
	for _, side := range []stats.Alternative{stats.TwoSided, stats.Greater, stats.Less} {
		want := [...]float64{stats.TwoSided: all.TwoSided, stats.Greater: all.Greater, stats.Less: all.Less}[side]
		if ci := all.PInterval(side, 0.95); ci.Lo != want || ci.Hi != want || !all.Decided(side, want) {
			t.Errorf("all draws counted: %v, want %g", ci, want)
		}
		held := 0
		for range rounds {
			some, err := Swapped{Differences: differences, Sets: sets, Draws: draws, Seed: random.Uint64()}.Test()
			if err != nil || some.Exact {
				t.Fatal(some, err)
			}
			ci := some.PInterval(side, 0.95)
			if ci.Lo <= want && want <= ci.Hi {
				held++
			}
			if got := some.Decided(side, want); got && want > 0 && want < 1 {
				wide := some.PInterval(side, 0.999)
				if wide.Lo < want && wide.Hi > want {
					t.Errorf("decided at %g within %v", want, wide)
				}
			}
		}
		if share := float64(held) / rounds; share < 0.93 {
			t.Errorf("side %v: held %.3f of the time", side, share)
		}
	}
	if _, err := MonteCarloP(5, 4, 0.95); err == nil {
		t.Error("more reach it than were drawn")
	}
	if n := DrawsFor(0.05, 0.005); math.Abs(float64(n)-7299) > 0 { // the shared reference entry
		t.Errorf("%d draws", n)
	}
}
