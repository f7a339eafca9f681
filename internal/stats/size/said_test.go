package size_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/choice"
	"cloche/internal/stats/size"
)

// R 4.2.2: the sum of outer(dbinom(0:n1, n1, h), dbinom(0:n2, n2, f)) over the counts at
// which phyper(x1 - 1, n1, n2, x1 + x2, lower.tail = FALSE) is at most 0.05.
func TestPowerOfWhatIsSaid(t *testing.T) {
	for _, tc := range []struct {
		n1, n2    int
		h, f, out float64
	}{
		{20, 20, 0.69146246127401312, 0.30853753872598688, 0.671475395581},
		{33, 32, 0.77337264762313174, 0.22662735237686826, 0.997325147871},
		{100, 100, 0.7, 0.58, 0.485362484518},
		{6, 5, 0.9, 0.2, 0.540164505600},
	} {
		got, err := size.PowerSaid(tc.n1, tc.n2, size.SaidDesign{Hit: tc.h, FalseAlarm: tc.f, Alpha: 0.05})
		if err != nil || math.Abs(got-tc.out) > 1e-10 {
			t.Errorf("power of %d and %d at %g, %g is %.12f (%v), by R %.12f", tc.n1, tc.n2, tc.h, tc.f, got, err,
				tc.out)
		}
	}
}

// The approximation within people is held against 4,000 simulated panels, each tested by
// the exact test that the analysis uses.
func TestPowerWithinPeopleAgainstSimulation(t *testing.T) {
	d := size.SaidDesign{Hit: 0.7, FalseAlarm: 0.45, Alpha: 0.05}
	for _, tc := range []struct{ people, turns int }{{20, 4}, {40, 2}, {30, 6}} {
		n := tc.turns / 2
		want, err := size.PowerSaidWithin(tc.people, []size.SaidMix{{True: n, Other: n, Share: 1}}, d)
		if err != nil {
			t.Fatal(err)
		}
		random, found := rand.New(rand.NewPCG(uint64(tc.people), 3)), 0
		const panels = 4000
		for range panels {
			strata := make([]choice.TwoCounts, tc.people)
			for i := range strata {
				strata[i] = choice.TwoCounts{N1: n, N2: n}
				for range n {
					if random.Float64() < d.Hit {
						strata[i].X1++
					}
					if random.Float64() < d.FalseAlarm {
						strata[i].X2++
					}
				}
			}
			if p, err := choice.MoreInFirst(strata); err == nil && p <= d.Alpha {
				found++
			}
		}
		if got := float64(found) / panels; math.Abs(got-want) > 0.05 {
			t.Errorf("%d people, %d turns each: simulated power %.3f, reckoned %.3f", tc.people, tc.turns, got, want)
		}
	}
}
