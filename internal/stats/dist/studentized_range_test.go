package dist

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestStudentizedRangeTable(t *testing.T) {
	const source = "Harter (1960), Ann. Math. Statist. 31, 1122–1147, Table 3, written from memory"
	cases := []struct {
		p        float64
		k        int
		df, want float64
	}{
		{0.95, 3, 10, 3.877}, {0.95, 4, 24, 3.901}, {0.95, 5, 20, 4.232}, {0.95, 10, 60, 4.646},
		{0.99, 3, 5, 6.976}, {0.99, 4, 20, 5.018}, {0.99, 10, 5, 10.24}, {0.95, 20, math.Inf(1), 5.012},
	}
	for _, c := range cases {
		t.Run(fmt.Sprintf("q(%g; %d, %g)", c.p, c.k, c.df), func(t *testing.T) {
			got := StudentizedRangeQuantile(c.p, c.k, c.df)
			if math.Abs(got-c.want) > 0.0006*math.Max(1, c.want/5) {
				t.Errorf("got %.5f, want %.4g (%s)", got, c.want, source)
			}
		})
	}
}

// The mean of a non-negative variable is the integral of its survival function.
func TestRangeSurvivalMean(t *testing.T) {
	// Tippett (1925), Biometrika 17: expected ranges of normal samples.
	for k, want := range map[int]float64{2: 2 / math.Sqrt(math.Pi), 3: 3 / math.Sqrt(math.Pi), 10: 3.07750546,
		100: 5.01519} {
		sum, h := 0.5, 0.01
		for i := 1; i < 2000; i++ {
			sum += rangeSurvival(float64(i)*h, k)
		}
		if got := sum * h; math.Abs(got-want) > 1e-5*want {
			t.Errorf("k = %d: mean range %.8f, want %.8f", k, got, want)
		}
	}
}

func TestRangeCurveFollowsTheIntegral(t *testing.T) {
	for _, k := range []int{3, 4, 7, 12, 30, 200} {
		c := rangeCurveFor(k)
		for w := 0.013; w < 25; w += 0.37 {
			want := rangeSurvival(w, k)
			if got := c.survival(w); math.Abs(got-want) > 2e-12*want {
				t.Errorf("k = %d, w = %.3f: series %v, integral %v", k, w, got, want)
			}
		}
	}
}

func TestStudentizedRangeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 30).Draw(t, "means")
		df := rapid.SampledFrom([]float64{1, 2, 5.5, 20, 300, math.Inf(1)}).Draw(t, "df")
		p := rapid.Float64Range(0.001, 0.9999).Draw(t, "p")
		q := StudentizedRangeQuantile(p, k, df)
		if back := StudentizedRangeCDF(q, k, df); math.Abs(back-p) > 1e-9 {
			t.Fatalf("CDF(quantile(%v)) = %v", p, back)
		}
		s := StudentizedRangeSurvival(q, k, df)
		if more := StudentizedRangeSurvival(q, k+1, df); more < s {
			t.Fatalf("k+1 means exceed %v less often: %v < %v", q, more, s)
		}
		pairs := float64(k*(k-1)) / 2
		one := TTwoSided(q/math.Sqrt2, df)
		if s < one*(1-1e-9) || s > pairs*one*(1+1e-9) {
			t.Fatalf("tail %v outside [one pair %v, Bonferroni %v]", s, one, pairs*one)
		}
	})
}

func TestStudentizedRangeEdges(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"one mean", StudentizedRangeSurvival(1, 1, 5), nan},
		{"no df", StudentizedRangeSurvival(1, 3, 0), nan},
		{"q is NaN", StudentizedRangeSurvival(nan, 3, 5), nan},
		{"negative q", StudentizedRangeSurvival(-1, 3, 5), 1},
		{"infinite q", StudentizedRangeSurvival(math.Inf(1), 3, 5), 0},
		{"p = 0", StudentizedRangeQuantile(0, 3, 5), 0},
		{"p = 1", StudentizedRangeQuantile(1, 3, 5), math.Inf(1)},
		{"p > 1", StudentizedRangeQuantile(1.1, 3, 5), nan},
	} {
		if c.got != c.want && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

func BenchmarkStudentizedRange(b *testing.B) {
	for _, df := range []float64{4, 24, 240} {
		b.Run(fmt.Sprintf("survival/k=6/df=%g", df), func(b *testing.B) {
			for b.Loop() {
				StudentizedRangeSurvival(3.5, 6, df)
			}
		})
		b.Run(fmt.Sprintf("quantile/k=6/df=%g", df), func(b *testing.B) {
			for b.Loop() {
				StudentizedRangeQuantile(0.95, 6, df)
			}
		})
	}
}
