package meta

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats"
)

// Studies that agree more than chance lets them: Hartung and Knapp's own interval is 4.82 to
// 5.38, with the factor held at 1 it is 1.74 to 8.47 (metafor's "adhoc", testdata/reference/next.json,
// meta_few.agreeing).
func TestAgreeingStudiesKeepTheirInterval(t *testing.T) {
	t.Parallel()
	r, err := Combine(studyEffects([]float64{5.1, 5.3, 4.9, 5.2}, []float64{4, 4.84, 3.61, 6.25}), 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "factor", r.REML.Held.Factor, 0.00698022239124773, 1e-6)
	near(t, "published", r.REML.HartungKnapp.CI.Lo, 4.820881955680207, 1e-8)
	near(t, "held, lower", r.REML.Held.CI.Lo, 1.7356023569188808, 1e-8)
	near(t, "held, upper", r.REML.Held.CI.Hi, 8.46869623142196, 1e-8)
	if r.Tau2CI.Lo != 0 || r.Tau2CI.Hi != 0 {
		t.Errorf("interval of τ² %v, want 0 to 0", r.Tau2CI)
	}
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if math.Abs(got-want) > rel*math.Max(1, math.Abs(want)) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestFewRefuses(t *testing.T) {
	t.Parallel()
	two := studyEffects([]float64{1, 2}, []float64{1, 1})
	for name, c := range map[string]struct {
		studies []Study
		scale   float64
		want    error
	}{"none": {nil, 1, stats.ErrEmpty}, "one": {two[:1], 1, stats.ErrEmpty}, "no scale": {two, 0, ErrTauScale},
		"endless scale": {two, math.Inf(1), ErrTauScale},
		"no variance":   {[]Study{{1, 0}, {2, 1}}, 1, ErrVariance}} {
		if _, err := Few(c.studies, c.scale, 0); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// Studies whose standard errors lie orders of magnitude apart, or far below or above the
// prior: the intervals hold the mean, move with the unit and the origin, and the share above
// zero is a share.
func TestFewOverTheRange(t *testing.T) {
	t.Parallel()
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 81))
		studies := make([]Study, 2+r.IntN(5))
		for i := range studies {
			studies[i] = Study{20 * r.NormFloat64(), math.Pow(10, 6*r.Float64()-3)}
		}
		scale := math.Pow(10, 3*r.Float64()-1)
		a, err := Few(studies, scale, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !(a.CI.Lo < a.Mean && a.Mean < a.CI.Hi) || !(a.Prediction.Lo <= a.CI.Lo && a.CI.Hi <= a.Prediction.Hi) ||
			!(a.AboveZero >= 0 && a.AboveZero <= 1) || !(a.TauMean > 0 && a.SD > 0) {
			t.Errorf("seed %d: %+v", seed, a)
		}
		moved := make([]Study, len(studies))
		for i, s := range studies {
			moved[len(studies)-1-i] = Study{7 + 3*s.Estimate, 9 * s.Variance}
		}
		b, err := Few(moved, 3*scale, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", b.Mean, 7+3*a.Mean, 1e-7)
		near(t, "upper", b.CI.Hi, 7+3*a.CI.Hi, 1e-7)
		near(t, "first", b.Shrunken[len(studies)-1], 7+3*a.Shrunken[0], 1e-7)
	}
}

// The interval covers when the truth is drawn from the prior: that is what a posterior is.
func TestFewCovers(t *testing.T) {
	t.Parallel()
	const runs, scale = 400, 5.
	covered, next := 0, 0
	for seed := range uint64(runs) {
		r := rand.New(rand.NewPCG(seed, 82))
		tau, mean := scale*math.Abs(r.NormFloat64()), 100*r.NormFloat64()
		studies := make([]Study, 3)
		for i := range studies {
			v := 1 + 20*r.Float64()
			studies[i] = Study{mean + tau*r.NormFloat64() + math.Sqrt(v)*r.NormFloat64(), v}
		}
		f, err := Few(studies, scale, 0)
		if err != nil {
			t.Fatal(err)
		}
		if f.CI.Lo <= mean && mean <= f.CI.Hi {
			covered++
		}
		if theirs := mean + tau*r.NormFloat64(); f.Prediction.Lo <= theirs && theirs <= f.Prediction.Hi {
			next++
		}
	}
	for what, n := range map[string]int{"mean": covered, "next": next} {
		if rate := float64(n) / runs; math.Abs(rate-0.95) > 0.044 { // four standard errors
			t.Errorf("%s: covered in %v of the runs, want 0.95", what, rate)
		}
	}
}

func TestSpreadsEdges(t *testing.T) {
	t.Parallel()
	one, err := Spreads([]StudySpread{{20, 30}})
	if err != nil || one.PooledSD != 20 || one.Next(0.8) != 20 || !math.IsNaN(one.P) {
		t.Errorf("one study: %+v %v", one, err)
	}
	for name, s := range map[string][]StudySpread{"none": nil, "all alike": {{0, 5}}, "one person": {{3, 0}},
		"not a number": {{math.NaN(), 5}}} {
		if _, err := Spreads(s); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	far, err := Spreads([]StudySpread{{1e-3, 10}, {1e3, 10}, {1, 1}})
	if err != nil || !(far.PriorDF > 0) || !(far.Next(0.8) > far.Next(0.5)) {
		t.Errorf("far apart: %+v %v", far, err)
	}
}

func BenchmarkFew(b *testing.B) {
	for b.Loop() {
		if _, err := Few(studyEffects([]float64{6.2, 9.8, 2.9}, []float64{8.41, 11.56, 6.76}), 5, 0); err != nil {
			b.Fatal(err)
		}
	}
}
