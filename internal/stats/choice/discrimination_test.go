package choice

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Decision tables: the fewest correct answers at α = 0.20, 0.10, 0.05, 0.01 and
// 0.001; 0 where not even n of n is enough.
func TestMinCorrectTables(t *testing.T) {
	t.Parallel()
	const third = "exact binomial, computed in R; layout and α = 0.05 column of ISO 4120 table A.1 (memory)"
	const half = "printed: GOST ISO 10399-2015 table A.1 and GOST R 53161-2008 (ISO 5495) table A.1"
	alphas := []float64{0.20, 0.10, 0.05, 0.01, 0.001}
	for _, tc := range []struct {
		n      int
		p0     float64
		want   [5]int
		source string
	}{
		{6, 1. / 3, [5]int{4, 5, 5, 6, 0}, third},
		{12, 1. / 3, [5]int{6, 7, 8, 9, 10}, third},
		{18, 1. / 3, [5]int{9, 10, 10, 12, 13}, third},
		{24, 1. / 3, [5]int{11, 12, 13, 15, 16}, third},
		{30, 1. / 3, [5]int{13, 14, 15, 17, 19}, third},
		{36, 1. / 3, [5]int{15, 17, 18, 20, 22}, third},
		{48, 1. / 3, [5]int{20, 21, 22, 25, 27}, third},
		{60, 1. / 3, [5]int{24, 26, 27, 30, 33}, third},
		{66, 1. / 3, [5]int{26, 28, 29, 32, 35}, third},
		{72, 1. / 3, [5]int{28, 30, 32, 34, 38}, third},
		{6, 0.5, [5]int{5, 6, 6, 0, 0}, half},
		{10, 0.5, [5]int{7, 8, 9, 10, 10}, half},
		{12, 0.5, [5]int{8, 9, 10, 11, 12}, half},
		{24, 0.5, [5]int{15, 16, 17, 19, 20}, half},
		{30, 0.5, [5]int{18, 20, 20, 22, 24}, half},
		{36, 0.5, [5]int{22, 23, 24, 26, 28}, half},
		{48, 0.5, [5]int{28, 29, 31, 33, 36}, half},
		{60, 0.5, [5]int{34, 36, 37, 40, 43}, half},
		{72, 0.5, [5]int{41, 42, 44, 47, 50}, half},
		{88, 0.5, [5]int{49, 51, 53, 56, 59}, half},
	} {
		for j, alpha := range alphas {
			got, reachable, err := MinCorrect(tc.n, tc.p0, alpha)
			if err != nil || got != tc.want[j] || reachable != (tc.want[j] > 0) {
				t.Errorf("n %d, chance %.3f, α %g: %d %v %v, want %d (%s)", tc.n, tc.p0, alpha, got, reachable, err,
					tc.want[j], tc.source)
			}
		}
	}
}

func TestMinCorrectTwoSidedPaired(t *testing.T) {
	t.Parallel()
	// Exact binomial computed in R: two-sided at 0.05 is one-sided at 0.025.
	for n, want := range map[int]int{10: 9, 20: 15, 30: 21, 40: 27, 60: 39, 100: 61} {
		if got, _, err := MinCorrect(n, 0.5, 0.025); got != want || err != nil {
			t.Errorf("n %d: %d %v, want %d", n, got, err, want)
		}
	}
}

func TestMaxCorrectSimilar(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		n      int
		p0     float64
		want   [4]int // pd 20, 30, 40, 50 %
		source string
	}{
		{30, 1. / 3, [4]int{9, 11, 13, 15}, "exact binomial, computed in R"},
		{60, 1. / 3, [4]int{21, 25, 29, 33}, "exact binomial, computed in R"},
		{66, 1. / 3, [4]int{23, 28, 32, 37}, "exact binomial, computed in R"},
		{72, 1. / 3, [4]int{26, 30, 35, 40}, "exact binomial, computed in R"},
		{96, 1. / 3, [4]int{36, 42, 49, 55}, "exact binomial, computed in R"},
		{132, 0.5, [4]int{69, 76, 83, 90}, "printed: GOST R 53161-2008 (ISO 5495) table A.3"},
	} {
		for j, pd := range []float64{0.2, 0.3, 0.4, 0.5} {
			got, ok, err := MaxCorrectSimilar(tc.n, tc.p0, pd, 0.05)
			if err != nil || !ok || got != tc.want[j] {
				t.Errorf("n %d, pd %g: %d %v %v, want %d (%s)", tc.n, pd, got, ok, err, tc.want[j], tc.source)
			}
		}
	}
}

// Worked examples of ISO 5495 Amd 1 (2016), B.5: printed results beside the
// values recomputed in R.
func TestISO5495Amd1Examples(t *testing.T) {
	t.Parallel()
	near := func(name string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	crisper, err := Discrimination(21, 30, TwoAFC, DiscriminationOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near("crisper biscuit: p", crisper.PDifference, 0.0213870, 5e-8)
	near("crisper biscuit: share of discriminators (printed 0.40)", crisper.Discriminators, 0.40, 1e-12)
	s := 2 * math.Sqrt(crisper.PC*(1-crisper.PC)/30)
	near("crisper biscuit: standard error (printed 0.167)", s, 0.167332, 5e-7)
	near("crisper biscuit: one-sided lower limit (printed "+
		"0.125)", crisper.Discriminators-dist.NormalQuantile(0.95)*s, 0.124763, 5e-7)

	saltier, err := Discrimination(32, 44, TwoAFC, DiscriminationOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near("saltier: two-sided p", 2*saltier.PDifference, 0.00365777, 5e-9)
	near("saltier: share of discriminators (printed 0.45)", saltier.Discriminators, 0.454545, 5e-7)
	s = 2 * math.Sqrt(saltier.PC*(1-saltier.PC)/44)
	near("saltier: standard error (printed 0.134)", s, 0.134282, 5e-7)
	// The recomputation used the quantile 1.96 as the standard rounds it.
	near("saltier: lower limit (printed 0.19)", saltier.Discriminators-1.96*s, 0.191354, 1e-6)
	near("saltier: upper limit (printed 0.71, from a rounded share)", saltier.Discriminators+1.96*s, 0.717737, 1e-6)
	near("saltier: exact lower Pc", saltier.PCCI.Lo, 0.572104, 5e-7)
	near("saltier: exact upper Pc", saltier.PCCI.Hi, 0.850423, 5e-7)
}

func TestDiscriminationDPrime(t *testing.T) {
	t.Parallel()
	const source = "inverse psychometric functions, computed in R"
	for _, tc := range []struct {
		p          Protocol
		correct, n int
		want       float64
	}{{Triangle, 13, 24, 1.68070}, {TwoAFC, 21, 30, 0.741614}, {DuoTrio, 23, 36, 1.35450},
		{ThreeAFC, 13, 24, 0.692133}} {
		r, err := Discrimination(tc.correct, tc.n, tc.p, DiscriminationOptions{})
		if err != nil || math.Abs(r.DPrime-tc.want) > 1e-5 {
			t.Errorf("%v %d of %d: %v %v, want %v (%s)", tc.p, tc.correct, tc.n, r.DPrime, err, tc.want, source)
		}
	}
	for p, want := range map[Protocol]float64{Triangle: 9.998, DuoTrio: 11.160, TwoAFC: 3.776, ThreeAFC: 2.773} {
		pc := p.PC(1)
		if got := pc * (1 - pc) / (p.slope(1) * p.slope(1)); math.Abs(got-want) > 5e-4 {
			t.Errorf("%v: variance of d′ × n %v, want %v (delta method, computed in R)", p, got, want)
		}
	}
}

func TestDiscriminationEdges(t *testing.T) {
	t.Parallel()
	all, err := Discrimination(12, 12, Triangle, DiscriminationOptions{})
	if err != nil || !math.IsInf(all.DPrime, 1) || !math.IsNaN(all.DPrimeSE) || len(all.Warnings) == 0 ||
		all.PCCI.Hi != 1 {
		t.Errorf("all correct: %+v %v", all, err)
	}
	none, err := Discrimination(0, 12, Triangle, DiscriminationOptions{})
	if err != nil || none.DPrime != 0 || none.PDifference != 1 || none.PCCI.Lo != 0 || len(none.Warnings) == 0 {
		t.Errorf("none correct: %+v %v", none, err)
	}
	for name, call := range map[string]func() error{
		"no answers": func() error {
			_, err := Discrimination(0, 0, Triangle, DiscriminationOptions{})
			return err
		},
		"more than asked": func() error {
			_, err := Discrimination(13, 12, Triangle, DiscriminationOptions{})
			return err
		},
		"negative": func() error {
			_, err := Discrimination(-1, 12, Triangle, DiscriminationOptions{})
			return err
		},
		"level one": func() error {
			_, err := Discrimination(1, 12, Triangle, DiscriminationOptions{Level: 1})
			return err
		},
		"share one": func() error {
			_, err := Discrimination(1, 12, Triangle, DiscriminationOptions{SimilarityPd: 1})
			return err
		},
		"protocol unknown": func() error {
			_, err := Discrimination(1, 12, Protocol(7), DiscriminationOptions{})
			return err
		},
		"share not a float": func() error {
			_, err := Discrimination(1, 12, Triangle, DiscriminationOptions{SimilarityPd: math.NaN()})
			return err
		},
	} {
		if call() == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := Discrimination(0, 0, Triangle, DiscriminationOptions{}); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no answers: %v, want ErrEmpty", err)
	}
}

// Difference and similarity decide by the same tables.
func TestDiscriminationAgreesWithTables(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(protocols).Draw(t, "protocol")
		n := rapid.IntRange(5, 400).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		r, err := Discrimination(x, n, p, DiscriminationOptions{SimilarityPd: 0.3})
		if err != nil {
			t.Fatal(err)
		}
		least, ok, _ := MinCorrect(n, p.Chance(), 0.05)
		if (r.PDifference <= 0.05) != (ok && x >= least) {
			t.Errorf("%d of %d: p %g, fewest %d", x, n, r.PDifference, least)
		}
		most, ok, _ := MaxCorrectSimilar(n, p.Chance(), 0.3, 0.05)
		if (r.PSimilarity <= 0.05) != (ok && x <= most) {
			t.Errorf("%d of %d: similarity %g, most %d", x, n, r.PSimilarity, most)
		}
		inside := r.DPrimeCI.Lo <= r.DPrime && r.DPrime <= r.DPrimeCI.Hi &&
			r.DiscriminatorsCI.Lo <= r.Discriminators && r.Discriminators <= r.DiscriminatorsCI.Hi
		if !inside {
			t.Errorf("an interval leaves out its estimate: %+v", r)
		}
	})
}

// Coverage and size computed exactly over every outcome, not simulated: the
// intervals keep their level and the test its size at every true distance.
func TestDiscriminationCalibration(t *testing.T) {
	t.Parallel()
	for _, p := range protocols {
		for _, n := range []int{12, 36, 100} {
			var results []DiscriminationResult
			for x := range n + 1 {
				r, err := Discrimination(x, n, p, DiscriminationOptions{})
				if err != nil {
					t.Fatal(err)
				}
				results = append(results, r)
			}
			for _, d := range []float64{0, 0.3, 0.8, 1.5, 2.5} {
				pc, covered, rejected := p.PC(d), 0.0, 0.0
				for x, r := range results {
					mass := dist.BinomialPMF(x, n, pc)
					if r.DPrimeCI.Lo <= d && d <= r.DPrimeCI.Hi {
						covered += mass
					}
					if r.PDifference <= 0.05 {
						rejected += mass
					}
				}
				name := fmt.Sprintf("%v n %d d′ %g", p, n, d)
				if covered < 0.95-1e-9 {
					t.Errorf("%s: coverage %.4f", name, covered)
				}
				if d == 0 && rejected > 0.05+1e-9 {
					t.Errorf("%s: size %.4f", name, rejected)
				}
			}
		}
	}
}
