package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestAClockSetBackHoldsNobody: a machine that finds out after the first serving
// that its clock was an hour fast.
func TestAClockSetBackHoldsNobody(t *testing.T) {
	n := newNight(t, custard)
	token := n.guest("one")
	n.taste(token)
	if b := ballot(t, n.svc, token); b.Stage != panel.StageRinse || b.Rinse != 30*time.Second {
		t.Fatalf("after a serving: %v, %s", b.Stage, b.Rinse)
	}
	n.clock.pass(-5 * time.Second) // a small step: the pause is as long as ever, no longer
	if b := ballot(t, n.svc, token); b.Stage != panel.StageRinse || b.Rinse != 30*time.Second {
		t.Errorf("five seconds back: %v, %s", b.Stage, b.Rinse)
	}
	n.clock.pass(-time.Hour)
	if b := ballot(t, n.svc, token); b.Stage != panel.StageServing {
		t.Errorf("an hour back: %v, %s", b.Stage, b.Rinse)
	}
}

// TestNobodyAnswersInGosSpelling: numbers that only a program would write.
func TestNobodyAnswersInGosSpelling(t *testing.T) {
	n := newNight(t, custard)
	token := n.guest("one")
	id := ballot(t, n.svc, token).Turn.ID
	for _, text := range []string{"0x1p4", "0x10", "Inf", "NaN"} {
		_, err := n.svc.Submit(t.Context(), token, panel.Submission{ID: text, TurnID: id,
			Given: map[string]string{"a1": text, "a2": "5"}})
		if err == nil {
			t.Errorf("%s is taken for an answer", text)
		}
	}
}
