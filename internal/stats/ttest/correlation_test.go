package ttest

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
	"cloche/internal/stats/dist"
)

// Four points whose correlation is 3/5 by hand, and the textbook identity
// t = r√(n−2)/√(1−r²).
func TestCorrelationByHand(t *testing.T) {
	t.Parallel()
	r, err := Correlation([]float64{1, 2, 3, 4}, []float64{2, 1, 4, 3}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.R-0.6) > 1e-12 || math.Abs(r.T-0.6*math.Sqrt2/0.8) > 1e-12 || r.DF != 2 {
		t.Errorf("%+v", r)
	}
	half := dist.NormalQuantile(0.975) // standard error 1/√(4−3)
	if math.Abs(r.CI.Lo-math.Tanh(math.Atanh(0.6)-half)) > 1e-12 {
		t.Errorf("interval %v", r.CI)
	}
	ranked, err := RankCorrelation([]float64{1, 20, 300, 4000}, []float64{2, 1, 4, 3}, 0)
	if err != nil || math.Abs(ranked.R-0.6) > 1e-12 {
		t.Errorf("ranks: %+v %v", ranked, err)
	}
}

func TestCorrelationEdges(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct{ x, y []float64 }{
		"constant": {[]float64{1, 1, 1, 1}, []float64{1, 2, 3, 4}}, "one pair": {[]float64{1}, []float64{2}},
		"a line": {[]float64{1, 2, 3, 4}, []float64{2, 4, 6, 8}}, "two pairs": {[]float64{1, 2}, []float64{2, 1}},
	} {
		for _, f := range []func(x, y []float64, level float64) (CorrelationResult, error){Correlation, RankCorrelation} {
			if r, err := f(tc.x, tc.y, 0); err != nil || len(r.Warnings) == 0 || !r.CI.Absent() {
				t.Errorf("%s: %+v %v", name, r, err)
			}
		}
	}
	for name, tc := range map[string]struct{ x, y []float64 }{
		"unequal": {[]float64{1}, []float64{1, 2}}, "empty": {nil, nil}, "missing": {[]float64{1, math.NaN()}, []float64{1, 2}},
	} {
		for _, f := range []func(x, y []float64, level float64) (CorrelationResult, error){Correlation, RankCorrelation} {
			if _, err := f(tc.x, tc.y, 0); err == nil {
				t.Errorf("%s accepted", name)
			}
		}
	}
}

func TestCorrelationProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 25).Draw(t, "n")
		var x, y, down []float64
		for i := range n {
			x = append(x, float64(i)+rapid.Float64Range(0, 0.9).Draw(t, "x"))
			y = append(y, float64(rapid.IntRange(1, 9).Draw(t, "y")))
			down = append(down, -2*y[i]+5)
		}
		for _, f := range []func(x, y []float64, level float64) (CorrelationResult, error){Correlation, RankCorrelation} {
			a, errA := f(x, y, 0)
			b, errB := f(y, x, 0)
			c, errC := f(x, down, 0)
			if errA != nil || errB != nil || errC != nil {
				t.Fatal(errA, errB, errC)
			}
			if math.IsNaN(a.R) {
				continue
			}
			if math.Abs(a.R-b.R) > 1e-12 || math.Abs(a.R+c.R) > 1e-9 {
				t.Errorf("r %v, swapped %v, turned %v", a.R, b.R, c.R)
			}
			if !a.CI.Absent() && !(a.CI.Lo <= a.R && a.R <= a.CI.Hi) {
				t.Errorf("%+v", a)
			}
		}
	})
}

// Fisher's interval covers and the t test keeps its size; 20,000 simulated
// samples in the full run.
func TestCorrelationCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(21, 22))
	const n, rho = 25, 0.5
	samples := simulated.Studies(20_000)
	var covered, rejected, ranked float64
	x, y, z := make([]float64, n), make([]float64, n), make([]float64, n)
	for range samples {
		for i := range x {
			x[i], z[i] = rng.NormFloat64(), rng.NormFloat64()
			y[i] = rho*x[i] + math.Sqrt(1-rho*rho)*rng.NormFloat64()
		}
		if r, _ := Correlation(x, y, 0); r.CI.Lo <= rho && rho <= r.CI.Hi {
			covered += 1 / float64(samples)
		}
		if r, _ := Correlation(x, z, 0); r.P <= 0.05 {
			rejected += 1 / float64(samples)
		}
		if r, _ := RankCorrelation(x, z, 0); r.P <= 0.05 {
			ranked += 1 / float64(samples)
		}
	}
	t.Logf("coverage of 95 %% %.4f; independence rejected %.4f, by ranks %.4f", covered, rejected, ranked)
	margin := simulated.Margin(0.05, samples)
	if math.Abs(covered-0.95) > margin+0.002 || math.Abs(rejected-0.05) > margin || math.Abs(ranked-0.05) > margin+0.002 {
		t.Errorf("coverage %.4f, rejection %.4f and %.4f", covered, rejected, ranked)
	}
}
