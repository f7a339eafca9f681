package design

import (
	"fmt"
	"testing"
	"time"

	"cloche/internal/study"
)

// forThousands is a complete design that large panels can be served: six
// samples, and as many sittings as the blinding codes of one sitting demand.
func forThousands(n int) *study.Study {
	s := tasting(6, n)
	s.Serving.Codes, s.Serving.SpareCodes = study.CodePerServing, 10
	fit := (len(allowedCodes()) - s.Serving.SpareCodes) / len(s.Samples)
	s.Panel.Seats = fit
	s.Panel.Sittings = (n + fit - 1) / fit
	return s
}

func BenchmarkDraw(b *testing.B) {
	for _, n := range []int{40, 240, 1000, 10_000, 100_000} {
		b.Run(fmt.Sprintf("all/t=6/n=%d", n), func(b *testing.B) {
			s := forThousands(n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Draw(s, Options{Seed: 1}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRedraw(b *testing.B) {
	for _, size := range [][2]int{{40, 2}, {60, 4}, {120, 6}, {1000, 6}} {
		b.Run(fmt.Sprintf("all/t=%d/n=%d", size[1], size[0]), func(b *testing.B) {
			benchmarkRedraw(b, tasting(size[1], size[0]))
		})
	}
	some := tasting(13, 65)
	some.Serving.Design, some.Serving.PerAssessor = study.Some, 4
	b.Run("some/t=13/k=4/n=65", func(b *testing.B) { benchmarkRedraw(b, some) })
	one := tasting(4, 60)
	one.Serving.Design = study.One
	b.Run("one/t=4/n=60", func(b *testing.B) { benchmarkRedraw(b, one) })
	b.Run("triangle/n=60", func(b *testing.B) { benchmarkRedraw(b, difference(study.Triangle, 60, 1)) })
}

func benchmarkRedraw(b *testing.B, s *study.Study) {
	p, err := Draw(s, Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	d, err := Redraw(s, p, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		d.Next()
	}
}

func BenchmarkBalanced(b *testing.B) {
	for _, size := range [][2]int{{6, 3}, {7, 3}, {9, 4}, {10, 4}, {13, 5}, {12, 5}, {13, 8}, {16, 6}, {21, 5}} {
		b.Run(fmt.Sprintf("t=%d/k=%d", size[0], size[1]), func(b *testing.B) {
			for b.Loop() {
				d, err := Balanced(size[0], size[1], maxBlocks)
				if err != nil {
					b.Fatal(err)
				}
				d.Arrange()
			}
		})
	}
}

func BenchmarkCanonical(b *testing.B) {
	p, err := Draw(forThousands(10_000), Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("t=6/n=10000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			p.Hash()
		}
	})
}

// BenchmarkBalancedEvery builds every balanced design that is promised (t ≤ 13,
// k ≤ 8, b ≤ 200) and reports the slowest.
func BenchmarkBalancedEvery(b *testing.B) {
	b.Run("t=3..13/k=2..8", func(b *testing.B) {
		var slowest time.Duration
		designs := 0
		for b.Loop() {
			designs = 0
			for t := 3; t <= 13; t++ {
				for k := 2; k < min(t, 9); k++ {
					start := time.Now()
					if _, err := Balanced(t, k, 200); err == nil {
						designs++
					}
					slowest = max(slowest, time.Since(start))
				}
			}
		}
		b.ReportMetric(float64(slowest.Microseconds())/1000, "ms/slowest")
		b.ReportMetric(float64(designs), "designs")
	})
}

func BenchmarkWeigh(b *testing.B) {
	for _, n := range []int{40, 1000, 10_000} {
		b.Run(fmt.Sprintf("t=6/n=%d", n), func(b *testing.B) {
			s := forThousands(n)
			p, err := Draw(s, Options{Seed: 1})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.CountBalance(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
