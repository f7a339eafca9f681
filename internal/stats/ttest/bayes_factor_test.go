package ttest

import (
	"errors"
	"math"
	"testing"

	"cloche/internal/stats/statstest"
)

func TestBayesFactorReference(t *testing.T) {
	sleep1 := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	sleep2 := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	r, err := Paired(sleep1, sleep2, PairedOptions{})
	statstest.Fatal(t, err)
	paired := func(t float64, n int, scale float64) float64 {
		b, err := BayesFactorPaired(t, n, scale)
		if err != nil {
			return math.NaN()
		}
		return b.BF10
	}
	two, err := BayesFactorTwoSample(2.5, 20, 20, 0)
	statstest.Fatal(t, err)
	cases := []struct {
		name, source string
		got, want    float64
	}{
		{"sleep, scale √2/2", "R 4.2, integrate() of Rouder et al. 2009 eq. 1; 17.25888 also in a published " +
			"manual, from memory", paired(r.T, 10, 0), 17.25888026777},
		{"sleep, scale 1", "R 4.2, the same", paired(r.T, 10, 1), 18.41520976033},
		{"two samples, t 2.5", "R 4.2, the same", two.BF10, 3.33785490194},
		{"sign of t does not matter", "symmetry of the prior", paired(-r.T, 10, 0), 17.25888026777},
	}
	for _, tc := range cases {
		if !statstest.Agree(tc.got, tc.want, 1e-9) {
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
