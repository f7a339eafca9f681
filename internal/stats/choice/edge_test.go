package choice

import (
	"errors"
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestProportionsEdges(t *testing.T) {
	if _, err := McNemar([2][2]int{{1, -1}, {0, 0}}, 0); !errors.Is(err, stats.ErrCounts) {
		t.Errorf("negative count: got %v, want ErrCounts", err)
	}
	if _, err := CochranQ([][]bool{{true, false}, {true}}); !errors.Is(err, stats.ErrShape) {
		t.Errorf("ragged answers: got %v, want ErrShape", err)
	}
	if _, err := BinomialTest(3, 2, 0.5, BinomialTestOptions{}); !errors.Is(err, stats.ErrCounts) {
		t.Errorf("3 of 2: got %v, want ErrCounts", err)
	}
	if _, err := BinomialTest(1, 2, math.NaN(), BinomialTestOptions{}); !errors.Is(err, ErrProbability) {
		t.Errorf("p0 not a number: got %v, want ErrProbability", err)
	}
	m, err := McNemar([2][2]int{{4, 0}, {0, 3}}, 0)
	if err != nil || !math.IsNaN(m.ExactP) || !math.IsNaN(m.OddsRatio) || m.Difference != 0 ||
		!statstest.HasWarning(m.Warnings, stats.WarnNoDiscordant) {
		t.Errorf("no discordant pair: got %+v, %v", m, err)
	}
	one, err := McNemar([2][2]int{{4, 5}, {0, 3}}, 0)
	if err != nil || !math.IsInf(one.OddsRatio, 1) || !math.IsInf(one.OddsCI.Hi, 1) ||
		!statstest.HasWarning(one.Warnings, stats.WarnZeroCell) {
		t.Errorf("one direction: got %+v, %v", one, err)
	}
	none, err := BinomialTest(0, 0, 0.5, BinomialTestOptions{})
	if err != nil || !math.IsNaN(none.P) || !none.Wilson.Absent() ||
		!statstest.HasWarning(none.Warnings, stats.WarnTooFew) {
		t.Errorf("0 of 0: got %+v, %v", none, err)
	}
}
