package looks

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/ttest"
)

// drawnLooks are rising fractions, the last one from 0.5 to 1.2.
func drawnLooks(t *rapid.T) []float64 {
	f := make([]float64, rapid.IntRange(1, 5).Draw(t, "looks"))
	sum := 0.0
	for k := range f {
		sum += rapid.Float64Range(0.1, 1).Draw(t, "step")
		f[k] = sum
	}
	last := rapid.Float64Range(0.5, 1.2).Draw(t, "last")
	for k := range f {
		f[k] *= last / sum
	}
	return f
}

// Whatever the looks, the chance to cross at any of them without an effect is alpha, each
// look spends what its function says, and all // ends add up to 1.
func TestBoundsSpendAlpha(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f, alpha := drawnLooks(t), rapid.Float64Range(0.001, 0.2).Draw(t, "alpha")
		spend := OBrienFleming
		if rapid.Bool().Draw(t, "even") {
			spend = Pocock
		}
		bounds, err := Bounds(f, alpha, spend)
		if err != nil {
			t.Fatal(err)
		}
		z, spent := make([]float64, len(f)), 0.0
		for k, b := range bounds {
			z[k] = b.Z
			if b.Spent < spent-1e-15 || math.Abs(b.Spent-spent-b.Exit) > 1e-15 {
				t.Fatalf("look %d spends %g after %g, to stop with %g", k+1, b.Spent, spent, b.Exit)
			}
			spent = b.Spent
		}
		e, err := Exit(f, z, 0)
		if err != nil || math.Abs(e.Power-alpha) > 1e-8 {
			t.Fatalf("fractions %v: false alarms %.10g instead of %g (%v)", f, e.Power, alpha, err)
		}
		total := 0.0
		for _, s := range e.Stop {
			total += s
		}
		if math.Abs(total-1) > 1e-9 {
			t.Fatalf("looks end with %g", total)
		}
	})
}

// p, interval and bound say the same: below alpha, without 0, and beyond the bound; the
// other way round mirrored.
func TestInferenceAgreesWithBounds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f, alpha := drawnLooks(t), rapid.Float64Range(0.005, 0.2).Draw(t, "alpha")
		bounds, err := Bounds(f, alpha, OBrienFleming)
		if err != nil {
			t.Fatal(err)
		}
		at := rapid.Float64Range(-6, 6).Draw(t, "z")
		last := bounds[len(f)-1].Z
		if math.Abs(math.Abs(at)-last) < 1e-6 {
			return
		}
		var z []float64
		for _, b := range bounds[:len(f)-1] {
			z = append(z, b.Z)
		}
		r, err := Infer(Ended{f, z, at}, 1-alpha)
		if err != nil {
			t.Fatal(err)
		}
		beyond := math.Abs(at) > last
		if r.P < alpha != beyond || (r.CI.Lo > 0 || r.CI.Hi < 0) != beyond {
			t.Fatalf("fractions %v, z %g against %g: p %g, interval %v", f, at, last, r.P, r.CI)
		}
		if !(r.CI.Lo < r.Estimate && r.Estimate < r.CI.Hi) {
			t.Fatalf("estimate %g outside %v", r.Estimate, r.CI)
		}
		m, _ := Infer(Ended{f, z, -at}, 1-alpha)
		if math.Abs(m.Estimate+r.Estimate) > 1e-6 || math.Abs(m.CI.Lo+r.CI.Hi) > 1e-6 {
			t.Fatalf("mirrored: %+v and %+v", r, m)
		}
	})
}

func TestWhatCannotBeLookedAt(t *testing.T) {
	for _, f := range [][]float64{nil, {0, 1}, {0.5, 0.5}, {0.5, 0.4}, {math.NaN()}, {math.Inf(1)}} {
		if _, err := Bounds(f, 0.05, Pocock); err == nil {
			t.Errorf("bounds of %v", f)
		}
		if _, err := Exit(f, nil, 0); err == nil {
			t.Errorf("exits of %v", f)
		}
		if _, err := Infer(Ended{Fractions: f}, 0.95); err == nil {
			t.Errorf("inference of %v", f)
		}
	}
	for _, alpha := range []float64{0, 1, math.NaN()} {
		if _, err := Bounds([]float64{1}, alpha, Pocock); err == nil {
			t.Errorf("alpha %g", alpha)
		}
	}
	if _, err := Infer(Ended{[]float64{0.5, 1}, nil, 1}, 0.95); err == nil {
		t.Error("a look without its bound")
	}
}

// The scale between points and Z goes on smoothly through a mean of 0.
func TestPointsPerZNearNothing(t *testing.T) {
	for _, df := range []float64{5, 11, 60} {
		at, beside := PointsPerZ(0, 2, df), PointsPerZ(0.01, 2, df)
		if math.Abs(at/beside-1) > 1e-4 || at < 2 {
			t.Errorf("df %g: %g at 0, %g beside it", df, at, beside)
		}
	}
	if z := ZOf(-2, 10); z > 0 || math.Abs(z+1.79040993223) > 1e-9 { // R: qnorm(pt(-2, 10))
		t.Errorf("z of t = -2: %g", z)
	}
}

// lookedAt plays one study of paired differences with these looks and says where it ended.
func lookedAt(rng *rand.Rand, at []int, planned int, dz float64) (stopped bool, ended Ended, n int,
	t ttest.PairedResult) {
	var d []float64
	var fractions, z []float64
	for k, people := range at {
		for len(d) < people {
			d = append(d, rng.NormFloat64()+dz)
		}
		t, _ = ttest.Paired(d, make([]float64, len(d)), ttest.PairedOptions{})
		fractions = append(fractions, float64(people)/float64(planned))
		use := fractions
		if k < len(at)-1 {
			use = append(append([]float64{}, fractions...), 1)
		}
		bounds, _ := Bounds(use, 0.05, OBrienFleming)
		if math.Abs(t.T) >= bounds[k].TCritical(people) || k == len(at)-1 {
			stopped = math.Abs(t.T) >= bounds[k].TCritical(people)
			return stopped, Ended{fractions, z, ZOf(t.T, t.DF)}, people, t
		}
		z = append(z, bounds[k].Z)
	}
	return stopped, ended, n, t
}

// With a standard deviation that is estimated, false alarms of t stay at alpha, and the
// interval covers. Simulated: within what so many studies can tell, and 0.004 for t as z.
func TestLooksKeepAlphaAndCover(t *testing.T) {
	t.Parallel()
	at := []int{16, 32, 48}
	for i, dz := range []float64{0, 0.4} {
		t.Run(fmt.Sprintf("d_z %g", dz), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(4100, uint64(i)))
			runs := simulated.Studies(2000)
			stops, covered := 0, 0
			for range runs {
				stopped, ended, n, paired := lookedAt(rng, at, 48, dz)
				if stopped {
					stops++
				}
				r, err := Infer(ended, 0.95)
				if err != nil {
					t.Fatal(err)
				}
				per := PointsPerZ(paired.T, paired.SE, paired.DF) * math.Sqrt(float64(n)/48)
				ci := stats.Interval{Lo: r.CI.Lo * per, Hi: r.CI.Hi * per}
				if ci.Lo <= dz && dz <= ci.Hi {
					covered++
				}
			}
			share := float64(covered) / float64(runs)
			slack := 3 * math.Sqrt(0.05*0.95/float64(runs))
			if dz == 0 && float64(stops)/float64(runs) > 0.05+slack+0.004 {
				t.Errorf("%d false alarms in %d", stops, runs)
			}
			if share < 0.95-slack-0.004 {
				t.Errorf("the interval covers %g", share)
			}
		})
	}
}

func BenchmarkInfer(b *testing.B) {
	for b.Loop() {
		bounds, _ := Bounds([]float64{0.25, 0.5, 0.75, 1}, 0.05, OBrienFleming)
		z := []float64{bounds[0].Z, bounds[1].Z, bounds[2].Z}
		if _, err := Infer(Ended{[]float64{0.25, 0.5, 0.75, 1}, z, 2.5}, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
