package size

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// The critical count is the one that a search of every count finds.
func TestCriticalCountIsTheSmallest(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for range 3000 {
		n, p := random.IntN(400), math.Pow(random.Float64(), 3)
		alpha := []float64{1e-9, 0.001, 0.05, 0.5, 0.999}[random.IntN(5)]
		want := sort.Search(n+1, func(c int) bool { return dist.BinomialSurvival(c-1, n, p) <= alpha })
		if got := criticalCount(n, p, alpha); got != want {
			t.Fatalf("n %d, p %g, alpha %g: %d, want %d", n, p, alpha, got, want)
		}
	}
}

// Where thousands of answers are needed, those searched hold the first and the stable number:
// a search of every number from 5 to twice as many finds the same.
func TestManyAnswersAreFoundNearTheirNumber(t *testing.T) {
	for _, d := range []BinomialDesign{
		{P0: 0.5, P1: 0.52, Alternative: stats.Greater},
		{P0: 1.0 / 3, P1: 0.35, Alpha: 0.01, Alternative: stats.TwoSided},
		{P0: 0.45, P1: 0.43, Alternative: stats.Less},
		{P0: 0.02, P1: 0.016, Alternative: stats.Less},
	} {
		got, err := Binomial(0.8, 0, d)
		if err != nil || got.First.N <= manyAnswers*3/4 {
			t.Fatalf("%+v: %v, %+v", d, err, got)
		}
		want, err := Binomial(0.8, 2*got.First.N, d)
		if err != nil || got.First != want.First || got.Stable != want.Stable {
			t.Errorf("%+v: %v\n first %+v, stable %+v\n want %+v, %+v", d, err, got.First, got.Stable, want.First,
				want.Stable)
		}
	}
}

// A difference of a thousandth takes about a million answers, and no minute to say so.
func BenchmarkManyAnswers(b *testing.B) {
	for b.Loop() {
		if s, err := Binomial(0.8, 0, BinomialDesign{P0: 0.4421, P1: 0.4408, Alternative: stats.Less}); err != nil {
			b.Fatal(err, s)
		}
	}
}
