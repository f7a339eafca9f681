package size

import (
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestDetectableEffects(t *testing.T) {
	share, err := DetectableShare(66, 0.95, BinomialDesign{P0: 1.0 / 3, Alternative: stats.Greater})
	statstest.Fatal(t, err)
	if p, err := PowerBinomial(66, BinomialDesign{P0: 1.0 / 3, P1: share, Alternative: stats.Greater}); err != nil ||
		!statstest.Agree(p.Power, 0.95, 1e-9) {
		t.Errorf("share %v has power %+v, %v; want 0.95", share, p, err)
	}
	below, err := DetectableShare(40, 0.8, BinomialDesign{P0: 0.5, Alternative: stats.Less})
	if err != nil || !(below > 0 && below < 0.5) {
		t.Errorf("below ½: got %v, %v", below, err)
	}
	if none, err := DetectableShare(3, 0.9, BinomialDesign{P0: 0.5, Alternative: stats.Greater}); err != nil ||
		!math.IsNaN(none) {
		t.Errorf("three answers: got %v, %v; want none", none, err)
	}
}
