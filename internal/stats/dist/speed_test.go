package dist

import (
	"fmt"
	"testing"
)

func BenchmarkNoncentralT(b *testing.B) {
	for _, df := range []float64{9, 59, 199} {
		b.Run(fmt.Sprintf("interval/df=%v", df), func(b *testing.B) {
			for b.Loop() {
				NoncentralTInterval(2.3, df, 0.95)
			}
		})
	}
}
