package server

import (
	"fmt"
	"strings"

	"cloche/internal/panel"
)

// joinedWords says where everybody stands who has joined. The numbers add up to
// the first, and are the same on the board, in the kitchen and on the floor.
func joinedWords(l panel.Tally) string {
	if l.Joined() == 0 {
		return "No one has joined yet."
	}
	var parts []string
	for _, x := range []struct {
		n     int
		words string
	}{
		{l.Starting, "starting"}, {l.Reading, "reading names"}, {l.Waiting, "waiting for a plate"}, {l.Tasting, "tasting"},
		{l.Rinsing, "rinsing"}, {l.Elsewhere, "at another sitting"}, {l.Finished, "finished"},
		{l.Left, "left early"}, {l.Withdrawn, "took the answers out"}, {l.Stopped, "stopped by the close"},
	} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.words))
		}
	}
	return fmt.Sprintf("Of %d joined: %s.", l.Joined(), strings.Join(parts, ", "))
}
