package size

import (
	"math"
	"testing"
)

// TestSDUpperLimit: R 4.2.2, sqrt(df / qchisq(0.2, df)).
func TestSDUpperLimit(t *testing.T) {
	for df, want := range map[int]float64{
		1: 3.94715387554275, 2: 2.11693649355018, 5: 1.46097243623357,
		19: 1.17697270576113, 39: 1.11374933715718, 200: 1.04540877560639,
	} {
		if got := SDUpperLimit(10, df, 0.8); math.Abs(got-10*want) > 1e-8*want {
			t.Errorf("%d df: %.12g, want %.12g", df, got, 10*want)
		}
	}
	for _, bad := range []float64{SDUpperLimit(-1, 5, 0.8), SDUpperLimit(1, 0, 0.8), SDUpperLimit(1, 5, 1),
		SDUpperLimit(math.NaN(), 5, 0.8)} {
		if !math.IsNaN(bad) {
			t.Errorf("a limit of nothing is %g", bad)
		}
	}
}
