package meta

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/simulated"
)

// Thirteen vaccine trials as log risk ratios, data of Colditz et al. (1994);
// τ² by the documentation of a general meta-analysis package (from memory).
func TestCombineStudiesBCG(t *testing.T) {
	t.Parallel()
	yi := []float64{-0.8893113339202054, -1.5853886572014306, -1.3480731482996933, -1.4415511900213054,
		-0.21754732221129558,
		-0.786115585818864, -1.6208982235983918, 0.011952333523840508, -0.4694176487381494, -1.3713448034727844,
		-0.3393588283383906, 0.44591340057137874, -0.017313948216879815}
	vi := []float64{0.32558476500396133, 0.19458112139814385, 0.4153679653679654, 0.020010031902247573,
		0.05121017216963086,
		0.0069056184559087574, 0.22301724757231517, 0.0039615792978177295, 0.056434210463248966, 0.07302479361302891,
		0.01241221397155972, 0.5325058452001528, 0.0714046596839863}
	r, err := Combine(studyEffects(yi, vi), 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string][3]float64{"DL": {r.DL.Tau2, 0.3088, 5e-5}, "REML": {r.REML.Tau2, 0.3132, 5e-5},
		"REML mean": {r.REML.Estimate, -0.7145, 5e-5}} {
		if math.Abs(c[0]-c[1]) > c[2] {
			t.Errorf("%s: %v, want %v", name, c[0], c[1])
		}
	}
}

func studyEffects(yi, vi []float64) []Study {
	out := make([]Study, len(yi))
	for i := range yi {
		out[i] = Study{yi[i], vi[i]}
	}
	return out
}

func TestCombineStudiesEdges(t *testing.T) {
	t.Parallel()
	one, err := Combine([]Study{{0.4, 0.04}}, 0)
	if err != nil || one.Fixed.Estimate != 0.4 || math.Abs(one.Fixed.SE-0.2) > 1e-15 || !math.IsNaN(one.DL.Tau2) ||
		len(one.Warnings) == 0 {
		t.Errorf("one study: %+v %v", one, err)
	}
	two, err := Combine([]Study{{0.4, 0.04}, {0.1, 0.02}}, 0)
	if err != nil || !two.DL.PredictionT.Absent() || two.DL.PredictionNormal.Absent() || len(two.Warnings) == 0 {
		t.Errorf("two studies: %+v %v", two, err)
	}
	same, err := Combine([]Study{{0.3, 0.04}, {0.3, 0.02}, {0.3, 0.1}}, 0)
	if err != nil || same.DL.Tau2 != 0 || same.REML.Tau2 != 0 || !math.IsNaN(same.DL.HartungKnapp.P) ||
		len(same.Warnings) == 0 {
		t.Errorf("equal studies: %+v %v", same, err)
	}
	for name, s := range map[string][]Study{
		"none": nil, "no variance": {{1, 0}, {2, 1}}, "negative variance": {{1, -1}, {2, 1}},
		"not a number":       {{math.NaN(), 1}, {2, 1}},
		"unbounded variance": {{1, math.Inf(1)}, {2, 1}},
	} {
		if _, err := Combine(s, 0); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := Combine([]Study{{1, 0}}, 0); !errors.Is(err, ErrVariance) {
		t.Errorf("no variance: %v", err)
	}
}

// The restricted likelihood has no higher point; Paule–Mandel meets its
// equation; order, shift and scale do not matter.
func TestCombineStudiesProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 15).Draw(t, "k")
		var s, moved []Study
		for range k {
			e := Study{rapid.Float64Range(-2, 2).Draw(t, "y"), rapid.Float64Range(0.01, 1).Draw(t, "v")}
			s = append(s, e)
			moved = append([]Study{{2*e.Estimate + 1, 4 * e.Variance}}, moved...)
		}
		r, err := Combine(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		set := studySet{s, 0.95, 1.96}
		top := set.remlLogLik(r.REML.Tau2)
		for f := 0.0; f < 20; f += 0.05 {
			if set.remlLogLik(f) > top+1e-9 {
				t.Fatalf("restricted likelihood higher at %g than at %g", f, r.REML.Tau2)
			}
		}
		if r.PauleMandel > 0 && math.Abs(set.spread(r.PauleMandel)-float64(k-1)) > 1e-6 {
			t.Errorf("Paule–Mandel: Q %g, want %d", set.spread(r.PauleMandel), k-1)
		}
		m, err := Combine(moved, 0)
		if err != nil {
			t.Fatal(err)
		}
		for name, c := range map[string][2]float64{"DL": {m.DL.Tau2, 4 * r.DL.Tau2},
			"REML": {m.REML.Tau2, 4 * r.REML.Tau2},
			"PM":   {m.PauleMandel, 4 * r.PauleMandel}, "mean": {m.DL.Estimate, 2*r.DL.Estimate + 1}, "I²": {m.DL.I2,
				r.DL.I2}} {
			if math.Abs(c[0]-c[1]) > 1e-6*(1+math.Abs(c[1])) {
				t.Errorf("%s: %v, want %v", name, c[0], c[1])
			}
		}
	})
}

// Hartung–Knapp intervals and their test keep their level under heterogeneity;
// 20,000 simulated sets of eight studies in the full run.
func TestCombineStudiesCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(11, 12))
	const k = 8
	sets := simulated.Studies(20_000)
	var covered, rejected, normal, predicted float64
	for range sets {
		s := make([]Study, k)
		for i := range s {
			v := 0.02 + 0.1*rng.Float64()
			s[i] = Study{math.Sqrt(0.08+v) * rng.NormFloat64(), v}
		}
		r, err := Combine(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		hk := r.REML.HartungKnapp
		if hk.CI.Lo <= 0 && 0 <= hk.CI.Hi {
			covered++
		}
		if hk.P <= 0.01 {
			rejected++
		}
		if r.REML.P <= 0.05 {
			normal++
		}
		if next := math.Sqrt(0.08) * rng.NormFloat64(); r.REML.PredictionT.Lo <= next && next <= r.REML.PredictionT.Hi {
			predicted++
		}
	}
	n := float64(sets)
	t.Logf("Hartung–Knapp: coverage %.4f of 0.95, rejection %.4f at 0.01; normal test rejects %.4f at 0.05; "+
		"prediction interval holds %.4f of 0.95",
		covered/n, rejected/n, normal/n, predicted/n)
	if math.Abs(covered/n-0.95) > simulated.Margin(0.05, sets)+0.004 ||
		rejected/n > 0.01+simulated.Margin(0.01, sets)+0.001 {
		t.Errorf("Hartung–Knapp: coverage %.4f, rejection %.4f", covered/n, rejected/n)
	}
}
