package size

import (
	"testing"
)

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
