package stats_test

import (
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestSkewness(t *testing.T) {
	// Joanes & Gill 1998: G1 of 1 2 3 10 by hand, m2 = 12.5, m3 = 45.
	want := 45 / math.Pow(12.5, 1.5) * math.Sqrt(12) / 2
	if got := stats.Skewness([]float64{1, 2, 3, 10}); !statstest.Agree(got, want, 1e-12) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, x := range [][]float64{nil, {1, 2}, {3, 3, 3}} {
		if !math.IsNaN(stats.Skewness(x)) {
			t.Errorf("skewness of %v is defined", x)
		}
	}
}
