package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorEntersOrSkipsNames for a guest without a phone.
func TestFloorEntersOrSkipsNames(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Expecting, panel.Open)
	f.Began(join, "a-guest-who-reads-names")
	v, kitchen := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)},
		&servertest.Watched{Visitor: f.Staff(id, panel.RoleKitchen)}
	p := v.Get("/floor/guest")
	p = v.Post("/floor/guest", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""), "allergens", "yes",
		"consent", "yes")
	seat := p.Path
	if got := p.HTML().Find(".acts .next").Text(); got != "Enter what the guest expects" {
		t.Fatalf("a seated guest: %s", p.HTML().Find("main").Text())
	}
	room := v.Get("/floor").HTML()
	if got := room.Find(".seat").Text(); !strings.Contains(got, "name 1 of 2 to read aloud") ||
		room.Find(".seat").Length() != 1 {
		t.Errorf("the list shows %q, want the guest for whom staff read", got)
	}
	if all := v.Get("/floor?show=all").HTML().Find(".seats").Text(); !strings.Contains(all, "reads name 1 of 2") {
		t.Errorf("every seat: %s", all)
	}
	kitchen.Get("/kitchen")
	kitchen.Get("/kitchen/plating")
	kitchen.Get("/kitchen/labels")
	kitchen.Reads(servertest.NameA, servertest.NameB, servertest.CanaryNameID)
	v.Reads(append(servertest.Canaries, servertest.NameA, servertest.NameB)...)

	p = v.Get(p.HTML().Find(".acts .next").AttrOr("href", ""))
	if got := p.HTML().Find("h1").Text(); !strings.Contains(got, "before tasting: name 1 of 2") ||
		p.HTML().Find(".code").Length() != 0 {
		t.Errorf("the form says %q", got)
	}
	form := p.HTML().Find("form")
	p = v.Post(form.AttrOr("action", ""), "nonce", form.Find("input[name=nonce]").AttrOr("value", ""), "a1", "71", "a2",
		"4")
	if p.Path != seat || !strings.Contains(p.HTML().Find("main").Text(), "name 2 of 2 to read aloud") {
		t.Errorf("after the first name: %s", p.HTML().Find("main").Text())
	}
	p = v.Post(servertest.ActionEnding(p, "/refused"))
	if p.HTML().Find(".plate .code").Length() != 1 || !strings.Contains(p.HTML().Find(".told").Text(), "Noted") {
		t.Errorf("after the second was skipped: %s", p.HTML().Find("main").Text())
	}
	v.Reads(servertest.Canaries...)

	lead := &servertest.Watched{Visitor: f.Lead()}
	for _, path := range []string{"", "/board", "/log", "/screen"} {
		lead.Get("/studies/" + string(id) + path)
	}
	if !strings.Contains(lead.Seen.String(), "1 reading names") {
		t.Error("the board does not say that somebody reads names")
	}
}
