package statstest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
	"cloche/internal/stats"
)

// Calibration: studies simulated under the null hypothesis. An exact test
// rejects at 5 % and 1 % as often as it says, within four Monte Carlo standard
// errors; an approximate one within the slack stated beside it; a discrete
// exact one at most that often. See [simulated] for how many run and what they find.

const SimulatedStudies = 20000

// Calibration is one test under one null hypothesis.
type Calibration struct {
	Name    string
	Studies int
	Slack   float64 // as a share of the level, beyond Monte Carlo error
	AtMost  bool    // discrete: may reject less often
	P       func(rng *rand.Rand) float64
}

func (c Calibration) Run(t *testing.T) {
	t.Parallel()
	n := simulated.Studies(c.Studies)
	const workers = 2
	var below [workers][2]int
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			rng := NewTestRand(uint64(100 + w))
			for i := w; i < n; i += workers {
				p := c.P(rng)
				for l, level := range []float64{0.05, 0.01} {
					if p <= level {
						below[w][l]++
					}
				}
			}
		})
	}
	wg.Wait()
	for l, level := range []float64{0.05, 0.01} {
		rate := float64(below[0][l]+below[1][l]) / float64(n)
		margin := simulated.Margin(level, n) + c.Slack*level
		t.Logf("rejects %.4f at %.2f (%d studies, margin %.4f)", rate, level, n, margin)
		if rate > level+margin || !c.AtMost && rate < level-margin {
			t.Errorf("rejects %.4f at %.2f, margin %.4f", rate, level, margin)
		}
	}
}

func Must[T any](v T, err error) T {
	if err != nil {
		panic(err) // a simulated study is always well formed
	}
	return v
}

// Missed is a p-value of whether an interval holds what was put in: 0 when it does not,
// 1 when it does, so that the rate at 5 % is the share of misses.
func Missed(i stats.Interval, truth float64) float64 {
	if i.Lo <= truth && truth <= i.Hi {
		return 1
	}
	return 0
}

// Coverage is one interval under a known truth. At 95 % the rate at 1 % is that
// of a sure miss too, so only the first is compared.
type Coverage struct {
	Name    string
	Studies int
	Slack   float64
	Miss    func(rng *rand.Rand) float64 // see [Missed]
}

func (c Coverage) Run(t *testing.T) {
	t.Parallel()
	n := simulated.Studies(c.Studies)
	rng, misses := NewTestRand(77), 0.0
	for range n {
		misses += 1 - c.Miss(rng)
	}
	rate := misses / float64(n)
	margin := simulated.Margin(0.05, n) + c.Slack*0.05
	t.Logf("misses %.4f of %d, margin %.4f", rate, n, margin)
	if math.Abs(rate-0.05) > margin {
		t.Errorf("misses %.4f at 95 %%, margin %.4f", rate, margin)
	}
}

func Normals(r *rand.Rand, x []float64, mean, sd float64) {
	for i := range x {
		x[i] = mean + sd*r.NormFloat64()
	}
}

// DrawPairs draws ratings of the same assessors that tie often.
func DrawPairs(t *rapid.T, least, most int) (x, y []float64) {
	n := rapid.IntRange(least, most).Draw(t, "assessors")
	rating := rapid.Custom(func(t *rapid.T) float64 {
		return float64(rapid.IntRange(2, 18).Draw(t, "half points")) / 2
	})
	return rapid.SliceOfN(rating, n, n).Draw(t, "x"), rapid.SliceOfN(rating, n, n).Draw(t, "y")
}

func Agree(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Abs(want)+1e-15 || math.IsNaN(got) && math.IsNaN(want)
}

// EnumerateSigns calls f with the sum of the parts under each sign pattern and
// returns the share of patterns for which f holds.
func EnumerateSigns(parts []float64, holds func(plus float64) bool) float64 {
	count := 0
	for pattern := range 1 << len(parts) {
		plus := 0.0
		for i, v := range parts {
			if pattern>>i&1 == 1 {
				plus += v
			}
		}
		if holds(plus) {
			count++
		}
	}
	return float64(count) / float64(int(1)<<len(parts))
}

// RatingTable draws a table of ratings on a coarse scale, so that ties abound.
func RatingTable(t *rapid.T, maxN, maxK int) [][]float64 {
	n, k := rapid.IntRange(2, maxN).Draw(t, "assessors"), rapid.IntRange(2, maxK).Draw(t, "samples")
	rows := make([][]float64, n)
	for i := range rows {
		for range k {
			rows[i] = append(rows[i], float64(rapid.IntRange(1, 9).Draw(t, "rating")))
		}
	}
	return rows
}

func MapTable(rows [][]float64, f func(i int, v float64) float64) [][]float64 {
	out := make([][]float64, len(rows))
	for i, row := range rows {
		for _, v := range row {
			out[i] = append(out[i], f(i, v))
		}
	}
	return out
}

// FuzzValues turns bytes into ratings, with NaN and infinities among them.
func FuzzValues(data []byte) []float64 {
	special := []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 5e-324, 1e-300,
		1e300}
	out := make([]float64, len(data))
	for i, b := range data {
		switch {
		case b >= 248:
			out[i] = special[b-248]
		case b >= 200:
			out[i] = float64(b) / 7
		default:
			out[i] = float64(b % 10)
		}
	}
	return out
}

// CheckP fails when a p-value is neither in [0, 1] nor absent with a warning.
func CheckP(t *testing.T, name string, p float64, warnings []stats.Warning) {
	t.Helper()
	if math.IsNaN(p) && len(warnings) == 0 {
		t.Errorf("%s: no p and no warning", name)
	}
	if p < 0 || p > 1+1e-12 {
		t.Errorf("%s: p = %v", name, p)
	}
}

func InUnit(t *rapid.T, name string, ps ...float64) {
	t.Helper()
	for _, p := range ps {
		if !math.IsNaN(p) && !(p >= 0 && p <= 1) {
			t.Fatalf("%s: p = %v", name, p)
		}
	}
}

func Holds(t *rapid.T, name string, i stats.Interval, estimate float64) {
	t.Helper()
	slack := 1e-9 * (1 + math.Abs(estimate))
	if !i.Absent() && !(i.Lo <= estimate+slack && estimate <= i.Hi+slack) {
		t.Fatalf("%s: interval %+v leaves out the estimate %v", name, i, estimate)
	}
}

func Okay[T any](t *rapid.T, r T, err error) T {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Numbered returns the names prefix1 … prefixn.
func Numbered(prefix string, n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = fmt.Sprintf("%s%d", prefix, i+1)
	}
	return names
}

func HasWarning(ws []stats.Warning, code string) bool {
	for _, w := range ws {
		if w.Code == code && w.Text != "" {
			return true
		}
	}
	return false
}

func Near(a, b, tol float64) bool {
	return a == b || math.Abs(a-b) <= tol*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
}

func NewTestRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x636c6f636865)) }

// SimulatedTable draws n assessors with their own level and k samples that
// differ by step from one to the next.
func SimulatedTable(rng *rand.Rand, n, k int, step float64) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		level := rng.NormFloat64()
		for j := range k {
			rows[i] = append(rows[i], level+step*float64(j)+rng.NormFloat64())
		}
	}
	return rows
}

// Fatal ends the test when err is not nil.
func Fatal(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// RatingsOf draws n ratings on a 9-point scale around each mean, with an
// assessor's own level.
func RatingsOf(seed uint64, n int, means ...float64) [][]float64 {
	r := rand.New(rand.NewPCG(seed, 7))
	samples := make([][]float64, len(means))
	for j := range samples {
		samples[j] = make([]float64, n)
	}
	for i := range n {
		level := r.NormFloat64()
		for j, m := range means {
			samples[j][i] = min(9, max(1, math.Round(m+level+1.4*r.NormFloat64())))
		}
	}
	return samples
}

func NormalsOf(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 11))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}
