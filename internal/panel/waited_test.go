package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestRinseGoesOnWhereThePhoneWas: the rinse began when the answers were given, not
// when they arrived; and never before that by more than it lasts.
func TestRinseGoesOnWhereThePhoneWas(t *testing.T) {
	for _, tc := range []struct {
		name         string
		waited, left time.Duration
		stage        panel.Stage
	}{
		{"sent at once", 0, 30 * time.Second, panel.StageRinse},
		{"kept for a part of it", 20 * time.Second, 10 * time.Second, panel.StageRinse},
		{"kept to its end", 30 * time.Second, 0, panel.StageServing},
		{"kept for longer", time.Hour, 0, panel.StageServing},
		{"a clock that was set back", -time.Hour, 30 * time.Second, panel.StageRinse},
	} {
		t.Run(tc.name, func(t *testing.T) {
			n := newNight(t, three)
			token := n.guest("a guest who waited")
			first := of[panel.Ballot](n)(n.svc.Ballot(t.Context(), token))
			n.submit(token, panel.Submission{ID: "one", TurnID: first.Turn.ID, Waited: tc.waited}, "50")
			b := of[panel.Ballot](n)(n.svc.Ballot(t.Context(), token))
			if b.Stage != tc.stage || b.Rinse != tc.left {
				t.Errorf("stage %v with %v left, want %v with %v", b.Stage, b.Rinse, tc.stage, tc.left)
			}
		})
	}
}
