package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestIncidentIsOneTapWithoutScripts: floor notes what went wrong from the page of the seat,
// sees it noted and takes it back; of what was rated last, too.
func TestIncidentIsOneTapWithoutScripts(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-at-the-window")
	v := f.Staff(id, panel.RoleFloor)
	seat := v.Get("/floor").HTML().Find(".seat a").AttrOr("href", "")
	page := func() string { return v.Get(seat).HTML().Find(".wrongs").Text() }
	if n := v.Get(seat).HTML().Find(".wrongs .acts button").Length(); n != len(panel.Incidents()) {
		t.Errorf("%d things can have gone wrong, want %d", n, len(panel.Incidents()))
	}
	p := v.Post(servertest.ActionEnding(v.Get(seat), "/incidents/unwell"))
	if text := p.HTML().Find(".told").Text(); !strings.Contains(text, "emergency services") {
		t.Errorf("of somebody unwell floor is told: %s", text)
	}
	if got := page(); !strings.Contains(got, "Noted: The guest felt unwell") {
		t.Errorf("the seat says: %s", got)
	}
	v.Post(servertest.ActionEnding(v.Get(seat), "/incidents/unwell/taken-back"))
	if got := page(); strings.Contains(got, "Noted") || !strings.Contains(got, "Feels unwell") {
		t.Errorf("taken back, the seat says: %s", got)
	}
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	_, err = f.Svc.Submit(t.Context(), token, panel.Submission{ID: "s", TurnID: b.Turn.ID,
		Given: map[string]string{"a1": "40", "a2": "6"}})
	f.Must(err)
	if got := page(); !strings.Contains(got, string(b.Turn.Code)+" rated last") {
		t.Errorf("after the answers the seat says: %s", got)
	}
}
