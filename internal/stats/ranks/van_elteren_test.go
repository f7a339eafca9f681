package ranks

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

// inStrata draws two samples in strata of different sizes and levels.
func inStrata(random *rand.Rand, sizes [][2]int, shift float64, steps float64) Stratified {
	var s Stratified
	for h, size := range sizes {
		name, level := string(rune('a'+h)), 5*random.NormFloat64()
		value := func() float64 {
			v := level + random.NormFloat64()
			if steps > 0 {
				v = math.Round(v*steps) / steps
			}
			return v
		}
		for range size[0] {
			s.X, s.XStratum = append(s.X, shift+value()), append(s.XStratum, name)
		}
		for range size[1] {
			s.Y, s.YStratum = append(s.Y, value()), append(s.YStratum, name)
		}
	}
	return s
}

// With one stratum it is the rank-sum test, ties or not.
func TestOneStratumIsTheRankSumTest(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, steps := range []float64{0, 1} {
		s := inStrata(random, [][2]int{{9, 7}}, 0.8, steps)
		for _, side := range []stats.Alternative{stats.TwoSided, stats.Greater, stats.Less} {
			got := statstest.Must(s.Test(side))
			want := statstest.Must(MannWhitney(s.X, s.Y, MannWhitneyOptions{Alternative: side}))
			if !got.Exact || math.Abs(got.P-want.P) > 1e-9 || math.Abs(got.Z-want.Z) > 1e-12 {
				t.Errorf("steps %v, side %v: p %v, z %v; the rank-sum test has %v and %v", steps, side, got.P, got.Z,
					want.P,
					want.Z)
			}
		}
		shift := statstest.Must(s.Shift(0.95))
		plain := statstest.Must(HodgesLehmann(s.X, s.Y, 0.95))
		if math.Abs(shift.Estimate-plain.Estimate) > 1e-9 {
			t.Errorf("shift %v, of Hodges and Lehmann %v", shift.Estimate, plain.Estimate)
		}
	}
}

// The exact p is that of drawing within strata, one by one.
func TestVanElterenByEnumeration(t *testing.T) {
	s := inStrata(rand.New(rand.NewPCG(3, 4)), [][2]int{{3, 3}, {2, 4}}, 1, 2)
	statistic := func(pick [][]int) float64 {
		sum := 0.0
		for h, chosen := range pick {
			values := slices.Concat(s.strata()[h].X, s.strata()[h].Y)
			ranks, _ := Doubled(values)
			for _, i := range chosen {
				sum += float64(ranks[i]) / 2 / float64(len(values)+1)
			}
		}
		return sum
	}
	seen, far, all, mean := statistic([][]int{{0, 1, 2}, {0, 1}}), 0, 0, 1.5+1.0
	for _, first := range choose(6, 3) {
		for _, second := range choose(6, 2) {
			all++
			if math.Abs(statistic([][]int{first, second})-mean) >= math.Abs(seen-mean)-1e-9 {
				far++
			}
		}
	}
	got := statstest.Must(s.Test(stats.TwoSided))
	if want := float64(far) / float64(all); !got.Exact || math.Abs(got.P-want) > 1e-12 {
		t.Errorf("p %v, %d of %d draws are as far: %v", got.P, far, all, want)
	}
}

// choose lists all ways to take k of n.
func choose(n, k int) (all [][]int) {
	var grow func(from int, taken []int)
	grow = func(from int, taken []int) {
		if len(taken) == k {
			all = append(all, slices.Clone(taken))
			return
		}
		for i := from; i < n; i++ {
			grow(i+1, append(taken, i))
		}
	}
	grow(0, nil)
	return all
}

// Levels of strata, the order of values and the names of strata have no effect; swapped
// samples turn the sign.
func TestVanElterenInvariance(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	s := inStrata(random, [][2]int{{5, 6}, {8, 4}, {1, 3}, {2, 0}}, 0.5, 4)
	want, shift := statstest.Must(s.Test(stats.Greater)), statstest.Must(s.Shift(0.9))
	moved := Stratified{Y: slices.Clone(s.Y), YStratum: slices.Clone(s.YStratum)}
	for _, i := range random.Perm(len(s.X)) {
		moved.X, moved.XStratum = append(moved.X, s.X[i]), append(moved.XStratum, "z"+s.XStratum[i])
	}
	for i := range moved.Y {
		moved.YStratum[i] = "z" + moved.YStratum[i]
	}
	for i := range moved.X {
		moved.X[i] += 16 * float64(moved.XStratum[i][1])
	}
	for i := range moved.Y {
		moved.Y[i] += 16 * float64(moved.YStratum[i][1])
	}
	got, again := statstest.Must(moved.Test(stats.Greater)), statstest.Must(moved.Shift(0.9))
	swapped := statstest.Must(Stratified{s.Y, s.X, s.YStratum, s.XStratum}.Test(stats.Less))
	if math.Abs(got.P-want.P) > 1e-9 || math.Abs(got.Z-want.Z) > 1e-9 ||
		math.Abs(again.Estimate-shift.Estimate) > 1e-9 ||
		math.Abs(swapped.P-want.P) > 1e-9 || math.Abs(swapped.Z+want.Z) > 1e-9 || want.Compared != 3 {
		t.Errorf("%+v, moved %+v, swapped %+v; shifts %+v and %+v", want, got, swapped, shift, again)
	}
}

func TestVanElterenWithoutAnything(t *testing.T) {
	apart := Stratified{[]float64{1, 2}, []float64{3}, []string{"a", "a"}, []string{"b"}}
	got, shift := statstest.Must(apart.Test(stats.TwoSided)), statstest.Must(apart.Shift(0))
	if !math.IsNaN(got.P) || got.Compared != 0 || len(got.Warnings) == 0 || !math.IsNaN(shift.Estimate) ||
		!shift.CI.Absent() || len(shift.Warnings) == 0 {
		t.Errorf("strata apart: %+v, %+v", got, shift)
	}
	same := Stratified{[]float64{4, 4}, []float64{4, 4}, []string{"a", "b"}, []string{"a", "b"}}
	if got := statstest.Must(same.Test(stats.TwoSided)); !math.IsNaN(got.P) || len(got.Warnings) == 0 {
		t.Errorf("all the same: %+v", got)
	}
	if _, err := (Stratified{[]float64{1}, []float64{2}, nil, []string{"a"}}).Test(stats.TwoSided); err == nil {
		t.Error("a value without a stratum was taken")
	}
}

func TestCalibrationOfVanElteren(t *testing.T) {
	exact, many := [][2]int{{6, 6}, {5, 7}}, [][2]int{{16, 16}, {19, 18}, {14, 15}}
	p := func(sizes [][2]int) func(*rand.Rand) float64 {
		return func(rng *rand.Rand) float64 { return statstest.Must(inStrata(rng, sizes, 0, 2).Test(stats.TwoSided)).P }
	}
	for _, c := range []statstest.Calibration{
		{Name: "exact, ties", Studies: statstest.SimulatedStudies / 4, Slack: 0.1, AtMost: true, P: p(exact)},
		{Name: "normal approximation, ties", Studies: statstest.SimulatedStudies / 4, Slack: 0.15, AtMost: true,
			P: p(many)},
	} {
		t.Run(c.Name, c.Run)
	}
	t.Run("shift", statstest.Coverage{Studies: statstest.SimulatedStudies / 4, Slack: 0.15,
		Miss: func(rng *rand.Rand) float64 {
			return statstest.Missed(statstest.Must(inStrata(rng, many, 0.7, 0).Shift(0.95)).CI, 0.7)
		}}.Run)
}
