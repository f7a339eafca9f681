package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
)

func TestEtaSquaredIntervalProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0, 40).Draw(t, "F")
		df1, df2 := float64(rapid.IntRange(1, 8).Draw(t, "df1")), float64(rapid.IntRange(3, 200).Draw(t, "df2"))
		level := rapid.SampledFrom([]float64{0.8, 0.9, 0.95}).Draw(t, "level")
		i, err := EtaSquaredInterval(f, df1, df2, level)
		if err != nil {
			t.Fatal(err)
		}
		if !(0 <= i.Lo && i.Lo <= i.Hi && i.Hi < 1) {
			t.Fatalf("interval %+v", i)
		}
		// The lower end leaves zero exactly when the test rejects.
		if p := FSurvival(f, df1, df2); math.Abs(p-(1-level)/2) > 1e-6 && (i.Lo > 0) != (p < (1-level)/2) {
			t.Fatalf("p %v, lower end %v", p, i.Lo)
		}
		// One df: F = t², and λ is the noncentrality of t, squared, as long as
		// t's other tail does not count.
		if lo, _ := noncentralTInterval(math.Sqrt(f), df2, level); df1 == 1 && lo > 2 {
			if want := lo * lo / (lo*lo + df2 + 2); !near(i.Lo, want, 1e-3) {
				t.Fatalf("lower end %v, from t %v", i.Lo, want)
			}
		}
	})
}

// Means fixed at 0, 0.5, 1 with unit variance and 8 values each: λ is
// 8·(0.25 + 0 + 0.25) = 4 and η² in the sense of the interval 4/(4+24).
func TestEtaSquaredIntervalCovers(t *testing.T) {
	const truth = 4.0 / 28
	rng, misses, n := newTestRand(31), 0.0, simulated.Studies(2000)
	for range n {
		misses += 1 - missed(oneWayInterval(t, rng), truth)
	}
	rate := misses / float64(n)
	t.Logf("misses %.4f of %d at 95 %%", rate, n)
	if math.Abs(rate-0.05) > simulated.Margin(0.05, n) {
		t.Errorf("misses %.4f at 95 %%", rate)
	}
}

func oneWayInterval(t *testing.T, rng *rand.Rand) Interval {
	t.Helper()
	groups := independentGroups(rng, []float64{1, 1, 1}, []int{8, 8, 8})
	for g := range groups {
		for i := range groups[g] {
			groups[g][i] += 0.5 * float64(g)
		}
	}
	r := must(OneWayAnova(groups))
	return must(EtaSquaredInterval(r.F, r.DF1, r.DF2, 0.95))
}

func TestEtaSquaredIntervalRefuses(t *testing.T) {
	for _, c := range [][4]float64{{-1, 2, 3, 0.9}, {math.NaN(), 2, 3, 0.9}, {1, 0, 3, 0.9}, {1, 2, math.Inf(1), 0.9}, {1, 2, 3, 1}} {
		if _, err := EtaSquaredInterval(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("%v was accepted", c)
		}
	}
}
