package ttest

import (
	"testing"

	"cloche/internal/stats/statstest"
)

func BenchmarkSignFlip(b *testing.B) {
	s := statstest.RatingsOf(5, 500, 6, 5.5)
	b.Run("exact/9-point scale/n=500", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := SignFlip(s[0], s[1], SignFlipOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	x, y := statstest.NormalsOf(6, 60), statstest.NormalsOf(7, 60)
	b.Run("random/n=60/flips=100000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if r, err := SignFlip(x, y, SignFlipOptions{Draws: 100_000}); err != nil || r.Exact {
				b.Fatal(r, err)
			}
		}
	})
}
