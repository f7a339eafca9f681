package ttest

import (
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

// darwin are Fisher's (1935) fifteen differences in height of maize.
var darwin = []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}

func meanOfX(x, _ []float64) float64 { return stats.Mean(x) }

func TestBootstrapOfDarwinsMaize(t *testing.T) {
	r, err := BootstrapPaired(darwin, nil, meanOfX, BootstrapOptions{Draws: 100_000})
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name, source    string
		got, want, slip float64
	}{
		{"percentile low", "R 4.2, 400,000 resamples, quantile type 6", r.Percentile.Lo, 1.4, 0.25},
		{"percentile high", "the same", r.Percentile.Hi, 38.133, 0.2},
		{"BCa low", "R 4.2, Efron 1987 written out", r.BCa.Lo, -1.6, 0.3},
		{"BCa high", "the same", r.BCa.Hi, 36.333, 0.2},
		{"acceleration", "R 4.2, Σ(x−x̄)³/(6(Σ(x−x̄)²)^1.5)", r.Acceleration, -0.04269288, 1e-8},
		{"standard error", "plug-in SD/√n with divisor n", r.SE, stats.SD(darwin) / math.Sqrt(15) * math.Sqrt(14.0/15), 0.06},
		{"estimate", "mean", r.Estimate, 314.0 / 15, 1e-12},
	}
	for _, tc := range cases {
		if math.Abs(tc.got-tc.want) > tc.slip {
			t.Errorf("%s: got %v, want %v ± %v (%s)", tc.name, tc.got, tc.want, tc.slip, tc.source)
		}
	}
}

func TestBootstrapIsTheSameOnAnyMachine(t *testing.T) {
	run := func(processors int) BootstrapResult {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		r, err := BootstrapPaired(darwin, darwin[:15], func(x, y []float64) float64 { return stats.Mean(x) * stats.SD(y) }, BootstrapOptions{Seed: 9})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	if diff := cmp.Diff(run(1), run(4)); diff != "" {
		t.Errorf("one and four processors differ: %s", diff)
	}
}

func TestBootstrapEdges(t *testing.T) {
	constant := []float64{4, 4, 4, 4}
	if _, err := BootstrapPaired(constant, constant, DzOf, BootstrapOptions{}); !errors.Is(err, ErrStatistic) {
		t.Errorf("undefined statistic: got %v, want ErrStatistic", err)
	}
	if _, err := BootstrapPaired(darwin, nil, meanOfX, BootstrapOptions{Draws: 10}); !errors.Is(err, ErrDraws) {
		t.Errorf("ten draws: got %v, want ErrDraws", err)
	}
	// Two pairs: half of the resamples are constant, so that d_z is undefined.
	r, err := BootstrapPaired([]float64{1, 3}, []float64{0, 0}, DzOf, BootstrapOptions{})
	if err != nil || !r.BCa.Absent() || !r.Percentile.Absent() || r.Failed < 4000 || !statstest.HasWarning(r.Warnings, stats.WarnTooFew) {
		t.Errorf("two pairs: got %+v, %v; want absent intervals", r, err)
	}
	flat, err := BootstrapPaired(constant, nil, meanOfX, BootstrapOptions{})
	if err != nil || flat.Percentile.Lo != 4 || flat.Percentile.Hi != 4 {
		t.Errorf("constant data: got %+v, %v; want the point 4", flat, err)
	}
}

func TestBootstrapCoverage(t *testing.T) {
	studies := simulated.Studies(1500)
	r := rand.New(rand.NewPCG(5, 6))
	var percentile, bca, two float64
	x, y := make([]float64, 30), make([]float64, 25)
	for range studies {
		statstest.Normals(r, x, 1, 1)
		statstest.Normals(r, y, 0, 1)
		b, err := BootstrapPaired(x, nil, meanOfX, BootstrapOptions{Draws: 999, Seed: r.Uint64()})
		if err != nil {
			t.Fatal(err)
		}
		percentile += numeric.Indicator(b.Percentile.Lo <= 1 && 1 <= b.Percentile.Hi) / float64(studies)
		bca += numeric.Indicator(b.BCa.Lo <= 1 && 1 <= b.BCa.Hi) / float64(studies)
		b, err = BootstrapTwoSample(x, y, func(x, y []float64) float64 { return stats.Mean(x) - stats.Mean(y) }, BootstrapOptions{Draws: 999, Seed: r.Uint64()})
		if err != nil {
			t.Fatal(err)
		}
		two += numeric.Indicator(b.BCa.Lo <= 1 && 1 <= b.BCa.Hi) / float64(studies)
	}
	t.Logf("95 %% intervals cover: percentile %.3f, BCa %.3f, two samples %.3f", percentile, bca, two)
	for _, rate := range []float64{percentile, bca, two} {
		if rate < 0.92 || rate > 0.965 {
			t.Errorf("a 95 %% interval covers %v", rate)
		}
	}
}

func BenchmarkBootstrapBCa(b *testing.B) {
	s := statstest.RatingsOf(1, 60, 6, 5.5)
	statistics := map[string]func(x, y []float64) float64{
		"mean difference": func(x, y []float64) float64 {
			sum := 0.0
			for i := range x {
				sum += x[i] - y[i]
			}
			return sum / float64(len(x))
		},
		"d_z": DzOf,
	}
	for name, statistic := range statistics {
		b.Run(name+"/n=60/draws=10000", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := BootstrapPaired(s[0], s[1], statistic, BootstrapOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
