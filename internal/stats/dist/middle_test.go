package dist

import (
	"math"
	"testing"
)

// Inverted where counting takes longer, the middle of the distribution is what counting gives.
func TestMiddleOfMannWhitneyIsCounted(t *testing.T) {
	for _, size := range [][2]int{{160, 400}, {250, 251}, {700, 200}} {
		m, n := size[0], size[1]
		if small := min(m, n); float64(small)*float64(m*n/2) <= mannWhitneyQuick {
			t.Fatalf("%d and %d values are counted anyway", m, n)
		}
		counted, middle := cumulate(mannWhitneyPMF(m, n, m*n/2)), NewMannWhitneyMiddle(m, n)
		for _, share := range []float64{0.2, 0.35, 0.42, 0.45, 0.5} {
			u := int(share * float64(m*n))
			if got := middle(u); math.Abs(got-counted[u]) > 1e-12 {
				t.Errorf("P(U ≤ %d) of %d and %d values: %.15g, counted %.15g", u, m, n, got, counted[u])
			}
		}
	}
}
