package ranks

import (
	"testing"

	"cloche/internal/stats/statstest"
)

// Two groups of 2: ranks 1, 2 against 3, 4 give H = 12/(4·5)·(9/2+49/2) − 15.
func TestKruskalWallisByHand(t *testing.T) {
	r, err := KruskalWallis([][]float64{{1, 2}, {3, 4}})
	if err != nil {
		t.Fatal(err)
	}
	if !statstest.Near(r.ChiSq, 2.4, 1e-12) {
		t.Errorf("H = %v, want 2.4", r.ChiSq)
	}
}
