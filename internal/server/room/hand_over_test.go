package room_test

import (
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestHandOverWithoutScripts: floor shows a code, and who opens it is of the floor; a second
// person is told what to do instead.
func TestHandOverWithoutScripts(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	if path := v.Get("/floor/hand-over").HTML().Find("svg.qr path").AttrOr("d", ""); len(path) < 500 {
		t.Errorf("a code of %d letters", len(path))
	}
	session, err := f.Svc.Session(t.Context(), f.StaffToken(id, panel.RoleFloor))
	f.Must(err)
	token, err := f.Svc.HandOver(t.Context(), session)
	f.Must(err)
	next, late := f.Visitor(), f.Visitor()
	if p := next.Post(servertest.ActionEnding(next.Get("/take-over/"+string(token)),
		string(token))); p.Path != "/floor" {
		t.Errorf("the next one is at %s", p.Path)
	}
	if p := late.Post("/take-over/" + string(token)); p.Status != 409 || p.HTML().Find(".problems").Length() == 0 {
		t.Errorf("a second person: %d", p.Status)
	}
}
