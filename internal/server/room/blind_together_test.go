package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorBreaksTheBlindWithAnother: floor alone sees nothing of a plate; once another of
// the floor or the kitchen agrees, whoever asked sees the dish, and the log names both.
func TestFloorBreaksTheBlindWithAnother(t *testing.T) {
	for _, other := range []panel.Role{panel.RoleFloor, panel.RoleKitchen} {
		t.Run(other.String(), func(t *testing.T) {
			f := servertest.New(t)
			id, join := f.InState(servertest.Custard, panel.Open)
			b, err := f.Svc.Ballot(t.Context(), f.Began(join, "a-guest-at-the-window"))
			f.Must(err)
			asks := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)}
			if p := asks.Post("/floor/blind", "code", string(b.Turn.Code)); p.HTML().Find(".problems").Length() == 0 {
				t.Error("no reason was asked for")
			}
			p := asks.Post("/floor/blind", "code", string(b.Turn.Code), "why", "A guest feels unwell")
			at := p.Path
			asks.Get("/floor")
			if p := asks.Post(at); p.Path != at {
				t.Errorf("before anybody agreed: %s", p.Path)
			}
			if p := asks.Post(at + "/agree"); p.Status != 409 {
				t.Errorf("agreed with themselves: %d", p.Status)
			}
			asks.Reads(servertest.Canaries...)
			v := &servertest.Watched{Visitor: f.Staff(id, other)}
			under := map[panel.Role]string{panel.RoleFloor: "/floor", panel.RoleKitchen: "/kitchen"}[other]
			page := v.Get(under)
			if text := page.HTML().Find(".told").Text(); !strings.Contains(text, "What is "+string(b.Turn.Code)+"?") {
				t.Fatalf("the other reads: %s", text)
			}
			v.Post(servertest.ActionEnding(page, "/agree"))
			if other == panel.RoleFloor {
				if p := v.Post(at); p.Status != 404 {
					t.Errorf("the other sees it too: %d", p.Status)
				}
				v.Reads(servertest.Canaries...)
			}
			text := asks.Visitor.Post(at).HTML().Find("main").Text()
			if !strings.Contains(text, servertest.CanaryDishTitle) {
				t.Errorf("whoever asked sees: %s", text)
			}
			found := false
			for _, e := range f.Events(id) {
				found = found || e.What == "blind broken" && e.Who == "floor 1 with "+map[panel.Role]string{
					panel.RoleFloor: "floor 2", panel.RoleKitchen: "kitchen 1"}[other]
			}
			if !found {
				t.Errorf("the log does not name both: %+v", f.Events(id))
			}
		})
	}
}
