package desk

import (
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// A board tells what happened, each in its number, and nothing of what did not.
func TestABoardTellsOnlyWhatHappened(t *testing.T) {
	for _, c := range []struct {
		refused, dropped, revealed int
		want                       string
	}{
		{0, 0, 0, ""},
		{1, 0, 0, "servings refused: 1"},
		{0, 2, 0, "plates dropped: 2"},
		{3, 1, 1, "servings refused: 3 · plates dropped: 1 · plates shown in an emergency: 1"},
	} {
		x := panel.LiveSitting{Refused: c.refused, Dropped: c.dropped, Revealed: c.revealed}
		if got := eventWords(site.TongueIn("en"), x); got != c.want {
			t.Errorf("refused %d, dropped %d, revealed %d: %q, want %q", c.refused, c.dropped, c.revealed, got, c.want)
		}
	}
}
