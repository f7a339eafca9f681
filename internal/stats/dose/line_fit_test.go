package dose

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Stopping distances of 50 cars (Ezekiel 1930; R, summary(lm(dist ~ speed, cars))).
func TestFitLineOfCars(t *testing.T) {
	t.Parallel()
	x := []float64{4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16,
		16, 17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25}
	y := []float64{2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54,
		32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85}
	f, err := FitLine(x, y, 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string][3]float64{
		"intercept": {f.Intercept, -17.5791, 5e-5}, "its se": {f.InterceptSE, 6.7584, 5e-5},
		"slope":   {f.Slope, 3.9324, 5e-5},
		"its se ": {f.SlopeSE, 0.4155, 5e-5}, "t": {f.T, 9.464, 5e-4}, "p": {f.P, 1.49e-12, 5e-15},
		"residual sd": {f.Sigma, 15.38, 5e-3}, "R²": {f.R2, 0.6511, 5e-5},
	} {
		if math.Abs(c[0]-c[1]) > c[2] {
			t.Errorf("%s: %v, want %v", name, c[0], c[1])
		}
	}
}

func TestFitLineProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 30).Draw(t, "n")
		var x, y, moved []float64
		for i := range n {
			x = append(x, float64(i)+rapid.Float64Range(0, 0.5).Draw(t, "x"))
			y = append(y, rapid.Float64Range(-5, 5).Draw(t, "y"))
			moved = append(moved, 3*y[i]+2*x[i]+1)
		}
		a, errA := FitLine(x, y, 0.9)
		b, errB := FitLine(x, moved, 0.9)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if math.Abs(b.Slope-3*a.Slope-2) > 1e-9 || math.Abs(b.Sigma-3*a.Sigma) > 1e-9 {
			t.Errorf("moved line: slope %v, want %v; spread %v, want %v", b.Slope, 3*a.Slope+2, b.Sigma, 3*a.Sigma)
		}
		if a.Sigma > 0 && (!(a.SlopeCI.Lo <= a.Slope && a.Slope <= a.SlopeCI.Hi) || a.P < 0 || a.P > 1) {
			t.Errorf("%+v", a)
		}
	})
}

func TestLinesRefuse(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		x, y []float64
		want error
	}{
		"unequal":    {[]float64{1, 2}, []float64{1}, stats.ErrUnequalLengths},
		"empty":      {nil, nil, stats.ErrEmpty},
		"constant x": {[]float64{1, 1, 1}, []float64{1, 2, 3}, ErrConstant},
		"not finite": {[]float64{1, math.NaN(), 1}, []float64{1, 2, 3}, stats.ErrNotFinite},
		"unbounded":  {[]float64{1, 2, 3}, []float64{1, math.Inf(1), 3}, stats.ErrNotFinite},
	} {
		if _, err := FitLine(tc.x, tc.y, 0); !errors.Is(err, tc.want) {
			t.Errorf("%s: %v, want %v", name, err, tc.want)
		}
	}
	if _, err := PowerLaw([]float64{1, 2}, []float64{0, 1}, 0); !errors.Is(err, ErrNotPositive) {
		t.Errorf("power law through 0: %v", err)
	}
	if _, err := InversePrediction([]float64{1, 2, 3}, []float64{1, 2, 2}, 2,
		CalibrationOptions{Readings: -1}); err == nil {
		t.Error("−1 readings accepted")
	}
}

// Stevens' law without error comes back, and doubling the sensation takes the
// factor 2^(1/exponent): 1.70 at 1.3, 2.38 at 0.8, 1.64 at 1.4 (computed in R).
func TestPowerLawOfExactData(t *testing.T) {
	t.Parallel()
	for exponent, factor := range map[float64]float64{1.3: 1.70, 0.8: 2.38, 1.4: 1.64} {
		var x, y []float64
		for _, c := range []float64{1, 2, 4, 8, 16} {
			x, y = append(x, c), append(y, 3*math.Pow(c, exponent))
		}
		r, err := PowerLaw(x, y, 0)
		if err != nil || math.Abs(r.Exponent-exponent) > 1e-12 || math.Abs(r.Constant-3) > 1e-12 ||
			math.Abs(r.StimulusRatioForDoubling-factor) > 5e-3 {
			t.Errorf("exponent %g: %+v %v", exponent, r, err)
		}
	}
}

// Fieller's limits are the points where the prediction band meets the reading,
// a second derivation.
func TestFiellerLimitsMeetTheBand(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 20).Draw(t, "n")
		var x, y []float64
		for i := range n {
			x = append(x, float64(i))
			y = append(y, 2*float64(i)+rapid.Float64Range(-2, 2).Draw(t, "error"))
		}
		y0, m := rapid.Float64Range(-5, 45).Draw(t, "y0"), rapid.IntRange(1, 6).Draw(t, "readings")
		r, err := InversePrediction(x, y, y0, CalibrationOptions{Readings: m})
		if err != nil {
			t.Fatal(err)
		}
		if r.CI.Absent() || r.Fit.Sigma < 1e-9 {
			return
		}
		f, q := r.Fit, dist.TQuantile(0.975, float64(n-2))
		for _, at := range []float64{r.CI.Lo, r.CI.Hi} {
			gap := math.Abs(y0 - f.Intercept - f.Slope*at)
			band := q * f.Sigma * math.Sqrt(1/float64(m)+1/float64(n)+(at-f.meanX)*(at-f.meanX)/f.sxx)
			if math.Abs(gap-band) > 1e-6*(1+band) {
				t.Errorf("at %g the reading is %g off the line, the band %g", at, gap, band)
			}
		}
		if !(r.CI.Lo <= r.X0 && r.X0 <= r.CI.Hi) {
			t.Errorf("%g outside %v", r.X0, r.CI)
		}
	})
}

// Intervals of the slope and of the inverse prediction cover at their level;
// 20,000 simulated fits in the full run.
func TestLineCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(13, 14))
	fits := simulated.Studies(20_000)
	x := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	y := make([]float64, len(x))
	var slope, inverse, rejected float64
	for range fits {
		for i, v := range x {
			y[i] = 1 + 0.8*v + 0.5*rng.NormFloat64()
		}
		reading := 1 + 0.8*4.5 + 0.5*rng.NormFloat64()
		r, err := InversePrediction(x, y, reading, CalibrationOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Fit.SlopeCI.Lo <= 0.8 && 0.8 <= r.Fit.SlopeCI.Hi {
			slope += 1 / float64(fits)
		}
		if r.CI.Lo <= 4.5 && 4.5 <= r.CI.Hi {
			inverse += 1 / float64(fits)
		}
		for i := range x {
			y[i] = rng.NormFloat64()
		}
		if null, _ := FitLine(x, y, 0); null.P <= 0.05 {
			rejected += 1 / float64(fits)
		}
	}
	t.Logf("coverage of 95 %%: slope %.4f, Fieller %.4f; a flat line rejected %.4f at 0.05", slope, inverse, rejected)
	for name, got := range map[string]float64{"slope": slope, "Fieller": inverse, "1 − rejection": 1 - rejected} {
		if math.Abs(got-0.95) > simulated.Margin(0.05, fits) {
			t.Errorf("%s: %.4f", name, got)
		}
	}
}
