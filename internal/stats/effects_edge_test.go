package stats

import (
	"errors"
	"math"
	"testing"
)

func TestBayesFactorReference(t *testing.T) {
	sleep1 := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	sleep2 := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	r, err := PairedT(sleep1, sleep2, PairedTOptions{})
	fatal(t, err)
	paired := func(t float64, n int, scale float64) float64 {
		b, err := BayesFactorPaired(t, n, scale)
		if err != nil {
			return math.NaN()
		}
		return b.BF10
	}
	two, err := BayesFactorTwoSample(2.5, 20, 20, 0)
	fatal(t, err)
	cases := []struct {
		name, source string
		got, want    float64
	}{
		{"sleep, scale √2/2", "R 4.2, integrate() of Rouder et al. 2009 eq. 1; 17.25888 also in a published manual, from memory", paired(r.T, 10, 0), 17.25888026777},
		{"sleep, scale 1", "R 4.2, the same", paired(r.T, 10, 1), 18.41520976033},
		{"two samples, t 2.5", "R 4.2, the same", two.BF10, 3.33785490194},
		{"sign of t does not matter", "symmetry of the prior", paired(-r.T, 10, 0), 17.25888026777},
	}
	for _, tc := range cases {
		if !agree(tc.got, tc.want, 1e-9) {
			t.Errorf("%s: got %v, want %v (%s)", tc.name, tc.got, tc.want, tc.source)
		}
	}
	for name, err := range map[string]error{
		"one pair":       second(BayesFactorPaired(1, 1, 0)),
		"infinite t":     second(BayesFactorPaired(math.Inf(1), 5, 0)),
		"negative scale": second(BayesFactorPaired(1, 5, -1)),
		"empty sample":   second(BayesFactorTwoSample(1, 0, 5, 0)),
	} {
		if !errors.Is(err, ErrBayesInput) {
			t.Errorf("%s: got %v, want ErrBayesInput", name, err)
		}
	}
	huge, err := BayesFactorPaired(1e6, 1000, 0)
	if err != nil || !math.IsInf(huge.BF10, 1) || math.IsInf(huge.LogBF, 0) || math.IsNaN(huge.LogBF) {
		t.Errorf("t of a million: got %+v, %v; want an infinite factor with a finite logarithm", huge, err)
	}
}

func second[T any](_ T, err error) error { return err }

func TestEffectsOfAConstantShift(t *testing.T) {
	// Everybody rates x one point above y: d_z is undefined, d_av is not.
	e, err := PairedEffects([]float64{2, 3, 5}, []float64{1, 2, 4}, 0)
	fatal(t, err)
	sd := math.Sqrt(7.0 / 3)
	if !math.IsNaN(e.Dz.Value) || !math.IsNaN(e.Gz.Value) || !math.IsNaN(e.Drm) || !math.IsNaN(e.CommonLanguageNormal) ||
		!agree(e.Dav, 1/sd, 1e-12) || e.Superiority != 1 || e.RankBiserial.Value != 1 || !e.RankBiserial.CI.Absent() {
		t.Errorf("got %+v; want only the effects by the samples' own spread", e)
	}
	if !hasWarning(e.Dz.Warnings, WarnConstant) || !hasWarning(e.RankBiserial.Warnings, WarnOneSidedData) || !hasWarning(e.Warnings, WarnConstant) {
		t.Errorf("warnings %v, d_z %v, rank-biserial %v", e.Warnings, e.Dz.Warnings, e.RankBiserial.Warnings)
	}
}

func TestEffectsOfConstantSamples(t *testing.T) {
	e, err := TwoSampleEffects([]float64{5, 5, 5}, []float64{3, 3}, 0)
	fatal(t, err)
	if !math.IsNaN(e.Ds.Value) || !math.IsNaN(e.GlassDelta.Value) || e.Superiority != 1 || e.CliffsDelta.Value != 1 || !e.CliffsDelta.CI.Absent() {
		t.Errorf("got %+v; want only the effects by ranks", e)
	}
	m, err := MannWhitney([]float64{4, 4}, []float64{4, 4, 4}, MannWhitneyOptions{})
	if err != nil || !math.IsNaN(m.P) || !math.IsNaN(m.Z) || m.U != 3 || !hasWarning(m.Warnings, WarnConstant) {
		t.Errorf("Mann–Whitney of equal ratings: got %+v, %v", m, err)
	}
	w, err := WelchT([]float64{4, 4}, []float64{5, 5}, TwoSampleOptions{})
	if err != nil || !math.IsNaN(w.T) || w.Diff != -1 || !hasWarning(w.Warnings, WarnConstant) {
		t.Errorf("Welch of constant samples: got %+v, %v", w, err)
	}
	one, err := WelchT([]float64{4}, []float64{5, 6}, TwoSampleOptions{})
	if err != nil || !math.IsNaN(one.T) || !hasWarning(one.Warnings, WarnTooFew) {
		t.Errorf("Welch of one against two: got %+v, %v", one, err)
	}
	pooled, err := PooledT([]float64{4}, []float64{5, 6}, TwoSampleOptions{})
	if err != nil || pooled.DF != 1 || math.IsNaN(pooled.P) {
		t.Errorf("pooled t of one against two: got %+v, %v", pooled, err)
	}
}

func TestPercentOfScale(t *testing.T) {
	e := PercentOfScale(Effect{Value: 0.8, CI: Interval{-0.4, 2, 0.95}}, 1, 9)
	if !agree(e.Value, 10, 1e-12) || !agree(e.CI.Lo, -5, 1e-12) || !agree(e.CI.Hi, 25, 1e-12) {
		t.Errorf("0.8 (−0.4 to 2) on 1 to 9: got %+v, want 10 (−5 to 25)", e)
	}
	if none := PercentOfScale(Effect{Value: 1}, 5, 5); !math.IsNaN(none.Value) || len(none.Warnings) == 0 {
		t.Errorf("scale without length: got %+v", none)
	}
}

func TestSkewness(t *testing.T) {
	// Joanes & Gill 1998: G1 of 1 2 3 10 by hand, m2 = 12.5, m3 = 45.
	want := 45 / math.Pow(12.5, 1.5) * math.Sqrt(12) / 2
	if got := Skewness([]float64{1, 2, 3, 10}); !agree(got, want, 1e-12) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, x := range [][]float64{nil, {1, 2}, {3, 3, 3}} {
		if !math.IsNaN(Skewness(x)) {
			t.Errorf("skewness of %v is defined", x)
		}
	}
}

func TestEquivalenceEdges(t *testing.T) {
	x, y := []float64{5, 6, 7}, []float64{5, 6, 7}
	r, err := TOSTPaired(x, y, TOSTOptions{Lower: -1, Upper: 1})
	if err != nil || !math.IsNaN(r.P) || r.Equivalent || !hasWarning(r.Warnings, WarnConstant) {
		t.Errorf("equal pairs: got %+v, %v; want no conclusion", r, err)
	}
	if _, err := TOSTPaired(x, y, TOSTOptions{Lower: 1, Upper: -1}); !errors.Is(err, ErrBounds) {
		t.Errorf("bounds swapped: got %v, want ErrBounds", err)
	}
	if _, err := TOSTPaired(x, y, TOSTOptions{Lower: -1, Upper: 1, Alpha: 0.5}); !errors.Is(err, ErrLevel) {
		t.Errorf("alpha ½: got %v, want ErrLevel", err)
	}
}

func TestIntervalsTooSmallForTheirLevel(t *testing.T) {
	h, err := HodgesLehmannPaired([]float64{5, 6}, []float64{4, 4}, 0)
	if err != nil || h.K != 1 || h.Achieved != 0.5 || !hasWarning(h.Warnings, WarnLevelNotMet) {
		t.Errorf("two pairs: got %+v, %v; want 50 %% confidence with a warning", h, err)
	}
	s, err := SignTest([]float64{5}, []float64{4}, SignTestOptions{})
	if err != nil || s.MedianCI.Level != 0 || !hasWarning(s.Warnings, WarnLevelNotMet) || !hasWarning(s.Warnings, WarnCannotReject) {
		t.Errorf("one pair: got %+v, %v", s, err)
	}
}

func TestDetectableEffects(t *testing.T) {
	share, err := DetectableShare(66, 0.95, BinomialDesign{P0: 1.0 / 3, Alternative: Greater})
	fatal(t, err)
	if p, err := PowerBinomial(66, BinomialDesign{P0: 1.0 / 3, P1: share, Alternative: Greater}); err != nil || !agree(p.Power, 0.95, 1e-9) {
		t.Errorf("share %v has power %+v, %v; want 0.95", share, p, err)
	}
	below, err := DetectableShare(40, 0.8, BinomialDesign{P0: 0.5, Alternative: Less})
	if err != nil || !(below > 0 && below < 0.5) {
		t.Errorf("below ½: got %v, %v", below, err)
	}
	if none, err := DetectableShare(3, 0.9, BinomialDesign{P0: 0.5, Alternative: Greater}); err != nil || !math.IsNaN(none) {
		t.Errorf("three answers: got %v, %v; want none", none, err)
	}
	effect, err := DetectableWithin(20, 0.8, WithinDesign{Samples: 4})
	fatal(t, err)
	if p, err := PowerWithin(20, WithinDesign{Samples: 4, Effect: effect}); err != nil || !agree(p, 0.8, 1e-9) {
		t.Errorf("effect %v has power %v, %v; want 0.8", effect, p, err)
	}
}
