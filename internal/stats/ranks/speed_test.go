package ranks

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/statstest"
)

func BenchmarkSignedRankExact(b *testing.B) {
	for _, n := range []int{24, 60, 200, 1000} {
		s := statstest.RatingsOf(2, n, 6, 5.5)
		b.Run(fmt.Sprintf("heavy ties/n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := SignedRank(s[0], s[1], SignedRankOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, n := range []int{40, 200, 1000} { // a line of 0 to 100
		random := rand.New(rand.NewPCG(1, 2))
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(random.IntN(101)), float64(random.IntN(101))
		}
		b.Run(fmt.Sprintf("some ties/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := SignedRank(x, y, SignedRankOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, n := range []int{60, 200, 1000} {
		x, y := statstest.NormalsOf(3, n), statstest.NormalsOf(4, n)
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
		s := statstest.RatingsOf(8, n, 6, 5.5)
		b.Run(fmt.Sprintf("heavy ties/n=%d+%d", n, n), func(b *testing.B) {
			for b.Loop() {
				if r, err := MannWhitney(s[0], s[1], MannWhitneyOptions{}); err != nil || !r.Exact {
					b.Fatal(r, err)
				}
			}
		})
	}
	x, y := statstest.NormalsOf(9, 300), statstest.NormalsOf(10, 300)
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
		s := statstest.RatingsOf(8, n, 6, 5.5)
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := HodgesLehmannPaired(s[0], s[1], 0); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
