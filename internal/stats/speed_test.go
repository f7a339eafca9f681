package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// ratingsOf draws n ratings on a 9-point scale around each mean, with an
// assessor's own level.
func ratingsOf(seed uint64, n int, means ...float64) [][]float64 {
	r := rand.New(rand.NewPCG(seed, 7))
	samples := make([][]float64, len(means))
	for j := range samples {
		samples[j] = make([]float64, n)
	}
	for i := range n {
		level := r.NormFloat64()
		for j, m := range means {
			samples[j][i] = min(9, max(1, math.Round(m+level+1.4*r.NormFloat64())))
		}
	}
	return samples
}

func normalsOf(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 11))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

func BenchmarkSimulatePowerT(b *testing.B) {
	b.Run("n=24/replicates=10000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := SimulatePower(SimulationDesign{N: 24, Effect: 0.5}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkBootstrapBCa(b *testing.B) {
	s := ratingsOf(1, 60, 6, 5.5)
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

func BenchmarkSignedRankExact(b *testing.B) {
	for _, n := range []int{24, 60, 200, 1000} {
		s := ratingsOf(2, n, 6, 5.5)
		b.Run(fmt.Sprintf("heavy ties/n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := SignedRank(s[0], s[1], SignedRankOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, n := range []int{60, 1000} {
		x, y := normalsOf(3, n), normalsOf(4, n)
		b.Run(fmt.Sprintf("no ties/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := SignedRank(x, y, SignedRankOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkMannWhitneyExact(b *testing.B) {
	for _, n := range []int{12, 30, 60, 80} {
		s := ratingsOf(8, n, 6, 5.5)
		b.Run(fmt.Sprintf("heavy ties/n=%d+%d", n, n), func(b *testing.B) {
			for b.Loop() {
				if r, err := MannWhitney(s[0], s[1], MannWhitneyOptions{}); err != nil || !r.Exact {
					b.Fatal(r, err)
				}
			}
		})
	}
	x, y := normalsOf(9, 300), normalsOf(10, 300)
	b.Run("no ties/n=300+300", func(b *testing.B) {
		for b.Loop() {
			if r, err := MannWhitney(x, y, MannWhitneyOptions{}); err != nil || !r.Exact {
				b.Fatal(r, err)
			}
		}
	})
}

func BenchmarkHodgesLehmannPaired(b *testing.B) {
	for _, n := range []int{24, 200, 1000} {
		s := ratingsOf(8, n, 6, 5.5)
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := HodgesLehmannPaired(s[0], s[1], 0); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSignFlip(b *testing.B) {
	s := ratingsOf(5, 500, 6, 5.5)
	b.Run("exact/9-point scale/n=500", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := SignFlip(s[0], s[1], SignFlipOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	x, y := normalsOf(6, 60), normalsOf(7, 60)
	b.Run("random/n=60/flips=100000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if r, err := SignFlip(x, y, SignFlipOptions{Draws: 100_000}); err != nil || r.Exact {
				b.Fatal(r, err)
			}
		}
	})
}

func BenchmarkNoncentralT(b *testing.B) {
	for _, df := range []float64{9, 59, 199} {
		b.Run(fmt.Sprintf("interval/df=%v", df), func(b *testing.B) {
			for b.Loop() {
				noncentralTInterval(2.3, df, 0.95)
			}
		})
	}
}

// BenchmarkWholeAnalysis compares all pairs of 6 samples rated by 200
// assessors on 10 attributes: paired t, exact signed rank, d_z with its
// noncentral-t interval, Holm within each attribute.
func BenchmarkWholeAnalysis(b *testing.B) {
	attributes := make([][][]float64, 10)
	for a := range attributes {
		attributes[a] = ratingsOf(uint64(20+a), 200, 5, 5.2, 5.4, 5.6, 5.8, 6)
	}
	b.Run("assessors=200/samples=6/attributes=10", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			inParallel(len(attributes), func(a int) {
				var p []float64
				s := attributes[a]
				for i := range s {
					for j := i + 1; j < len(s); j++ {
						t, err := PairedT(s[i], s[j], PairedTOptions{})
						if err != nil {
							b.Error(err)
						}
						if _, err := SignedRank(s[i], s[j], SignedRankOptions{}); err != nil {
							b.Error(err)
						}
						if _, err := CohenDz(s[i], s[j], 0.95); err != nil {
							b.Error(err)
						}
						p = append(p, t.P)
					}
				}
				Holm(p)
			})
		}
	})
}
