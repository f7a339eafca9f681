package dose

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats"
)

// Six assessors whose misses end at .5, 1, 1, 2, .25 and 4 in a doubling
// series: geometric mean 1.4142. The rule is that of ASTM E679 (memory), the
// data are invented.
func TestBestEstimateThreshold(t *testing.T) {
	t.Parallel()
	series := []float64{0.25, 0.5, 1, 2, 4, 8}
	lastMiss := []int{1, 2, 2, 3, 0, 4}
	var correct [][]bool
	for _, last := range lastMiss {
		row := make([]bool, len(series))
		for j := range row {
			row[j] = j > last
		}
		correct = append(correct, row)
	}
	correct[0][0] = true // a lucky hit before the last miss changes nothing
	r, err := BestEstimateThreshold(series, correct, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Threshold-math.Sqrt2) > 1e-12 || len(r.Warnings) != 0 {
		t.Errorf("threshold %v, want √2; warnings %v", r.Threshold, r.Warnings)
	}
	if want := math.Sqrt(0.5); math.Abs(r.Individual[0]-want) > 1e-12 {
		t.Errorf("first assessor %v, want %v", r.Individual[0], want)
	}
	if !(r.CI.Lo < r.Threshold && r.Threshold < r.CI.Hi) {
		t.Errorf("interval %v", r.CI)
	}
}

func TestBestEstimateThresholdEnds(t *testing.T) {
	t.Parallel()
	series := []float64{1, 3, 9}
	r, err := BestEstimateThreshold(series, [][]bool{{true, true, true}, {false, true, false}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	low, high := math.Sqrt(1./3), math.Sqrt(9*27)
	if math.Abs(r.Individual[0]-low) > 1e-12 || math.Abs(r.Individual[1]-high) > 1e-9 || len(r.Warnings) != 2 {
		t.Errorf("%+v, want %v and %v with two warnings", r, low, high)
	}
	one, err := BestEstimateThreshold(series, [][]bool{{false, true, true}}, 0)
	if err != nil || !one.CI.Absent() || len(one.Warnings) == 0 {
		t.Errorf("one assessor: %+v %v", one, err)
	}
	for name, tc := range map[string]struct {
		c []float64
		a [][]bool
	}{
		"falling": {[]float64{2, 1}, [][]bool{{true, true}}}, "zero": {[]float64{0, 1}, [][]bool{{true, true}}},
		"short answers": {[]float64{1, 2}, [][]bool{{true}}}, "one step": {[]float64{1}, [][]bool{{true}}},
		"nobody": {[]float64{1, 2}, nil}, "not a number": {[]float64{1, math.NaN()}, [][]bool{{true, true}}},
	} {
		if _, err := BestEstimateThreshold(tc.c, tc.a, 0); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
}

// Exact rates on the curve give its parameters back.
func TestPsychometricCurveOfExactRates(t *testing.T) {
	t.Parallel()
	const guess, a, b, n = 1. / 3, -1.5, 4.0, 1_000_000
	var points []CurvePoint
	for _, c := range []float64{0.5, 1, 2, 4, 8} {
		p := guess + (1-guess)/(1+math.Exp(-(a+b*math.Log10(c))))
		points = append(points, CurvePoint{c, int(math.Round(n * p)), n})
	}
	r, err := PsychometricCurve(points, guess, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Intercept-a) > 1e-4 || math.Abs(r.Slope-b) > 1e-4 || math.Abs(r.Threshold-math.Pow(10, -a/b)) > 1e-4 {
		t.Errorf("%+v", r)
	}
	if r.Deviance > 1e-3 || r.DF != 3 || r.P < 0.99 {
		t.Errorf("lack of fit %v on %v df, p %v", r.Deviance, r.DF, r.P)
	}
}

// Fieller's limits are the thresholds that a normal test does not reject.
func TestPsychometricCurveFieller(t *testing.T) {
	t.Parallel()
	points := []CurvePoint{{1, 4, 12}, {2, 6, 12}, {4, 8, 12}, {8, 11, 12}, {16, 12, 12}}
	r, err := PsychometricCurve(points, 1./3, 0)
	if err != nil {
		t.Fatal(err)
	}
	var x []float64
	for _, p := range points {
		x = append(x, math.Log10(p.Concentration))
	}
	_, info := curveFit{points, x, 1. / 3}.information(r.Intercept, r.Slope)
	det := info[0]*info[2] - info[1]*info[1]
	for _, limit := range []float64{math.Log10(r.ThresholdCI.Lo), math.Log10(r.ThresholdCI.Hi)} {
		eta := r.Intercept + r.Slope*limit
		variance := (info[2] - 2*limit*info[1] + limit*limit*info[0]) / det
		if z := math.Abs(eta) / math.Sqrt(variance); math.Abs(z-1.959964) > 1e-5 {
			t.Errorf("z = %v at %v", z, limit)
		}
	}
	score, _ := curveFit{points, x, 1. / 3}.information(r.Intercept, r.Slope)
	if math.Abs(score[0]) > 1e-6 || math.Abs(score[1]) > 1e-6 {
		t.Errorf("score %v at the fit", score)
	}
}

func TestPsychometricCurveWithoutAMaximum(t *testing.T) {
	t.Parallel()
	for name, points := range map[string][]CurvePoint{
		"a jump":      {{1, 0, 10}, {2, 0, 10}, {4, 10, 10}, {8, 10, 10}},
		"all right":   {{1, 10, 10}, {2, 10, 10}},
		"all wrong":   {{1, 0, 10}, {2, 0, 10}},
		"falling":     {{1, 9, 10}, {2, 5, 10}, {4, 1, 10}},
		"only chance": {{1, 3, 10}, {2, 3, 10}, {4, 3, 10}},
	} {
		r, err := PsychometricCurve(points, 1./3, 0)
		if err != nil || len(r.Warnings) == 0 {
			t.Errorf("%s: %+v %v", name, r, err)
		}
		if !math.IsNaN(r.Slope) && !r.ThresholdCI.Absent() {
			t.Errorf("%s: a threshold of %v", name, r.ThresholdCI)
		}
	}
	for name, points := range map[string][]CurvePoint{"none": nil, "one": {{1, 1, 2}}, "zero": {{0, 1, 2}, {1, 1, 2}},
		"too many": {{1, 3, 2}, {2, 1, 2}}, "nobody": {{1, 0, 0}, {2, 1, 2}}} {
		if _, err := PsychometricCurve(points, 0, 0); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := PsychometricCurve([]CurvePoint{{1, 0, 0}, {2, 1, 2}}, 0, 0); !errors.Is(err, stats.ErrCounts) {
		t.Errorf("nobody: %v", err)
	}
}

// The threshold's interval covers at about its level; 10,000 simulated series in the full run.
func TestPsychometricCurveCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(19, 20))
	series := simulated.Studies(10_000)
	var covered, used float64
	for range series {
		points := make([]CurvePoint, 6)
		for i := range points {
			c := math.Pow(2, float64(i-2))
			p := 1./3 + (2./3)/(1+math.Exp(-5*math.Log10(c/1.5)))
			points[i] = CurvePoint{c, 0, 60}
			for range 60 {
				if rng.Float64() < p {
					points[i].Correct++
				}
			}
		}
		r, err := PsychometricCurve(points, 1./3, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !r.ThresholdCI.Absent() {
			used++
			if r.ThresholdCI.Lo <= 1.5 && 1.5 <= r.ThresholdCI.Hi {
				covered++
			}
		}
	}
	t.Logf("coverage of 95 %%: %.4f of %.0f series with an interval", covered/used, used)
	if math.Abs(covered/used-0.95) > simulated.Margin(0.05, series)+0.0033 || used < 0.98*float64(series) {
		t.Errorf("coverage %.4f of %.0f", covered/used, used)
	}
}
