package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTheTabletWithoutScripts: floor's code opens one guest's ballot on a device of nobody's; it is
// kept through reloads, and leads nowhere once it was given back, whatever the device remembers.
func TestTheTabletWithoutScripts(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-has-no-phone")
	f.Began(join, "another-without-a-phone-1")
	floor, tablet := f.Staff(id, panel.RoleFloor), f.Visitor()
	links := f.FloorLinks(floor)
	code := func(i int) string {
		t.Helper()
		return floor.Get(links[i][0] + "/tablet").HTML().Find(".tablet-code").Text()
	}
	if p := floor.Get(links[0][0]); p.HTML().Find(`a[href$="/tablet"]`).Length() != 1 {
		t.Error("the page of a seat does not lead to the tablet")
	}
	first := tablet.Post("/tablet", "code", code(0)[:3]+" "+code(0)[3:])
	if first.Status != 403 { // two codes: half of each is none
		t.Errorf("half of two codes: %d at %s", first.Status, first.Path)
	}
	f.Clock.Pass(2 * panel.HandTabletLasts)
	first = tablet.Get("/join/" + string(join) + "?in=fr") // what a guest before chose
	first = tablet.Post("/tablet", "code", code(0))
	own := first.Path
	if !strings.HasPrefix(own, "/t/") || !strings.Contains(first.HTML().Find(".plate .code").Text(),
		f.Code(id, 0)) {
		t.Fatalf("the code leads to %s: %s", own, first.HTML().Find("h1").Text())
	}
	for what, found := range map[string]int{
		"a link to another phone": first.HTML().Find(`a[href$="/other-phone"]`).Length(),
		"no way to give it back":  1 - first.HTML().Find(`a[href$="/give-back"]`).Length(),
	} {
		if found != 0 {
			t.Errorf("the ballot on the tablet has %s", what)
		}
	}
	if p := tablet.Get("/tablet"); p.Path != own {
		t.Errorf("the tablet's page leads to %s while a guest has it", p.Path)
	}
	for path, want := range map[string]string{own + "/other-phone": own, own + "/ahead": own, own + "/offline": own} {
		if p := tablet.Get(path); p.Path != want {
			t.Errorf("%s leads to %s", path, p.Path)
		}
	}
	a := f.StaffAccess(id, panel.RoleKitchen)
	if p := tablet.Post("/staff/"+string(a.Link), "code", string(a.Code)); p.Status != 409 ||
		!strings.Contains(p.HTML().Find(".problems").Text(), "the house’s tablet") {
		t.Errorf("the tablet joins as kitchen: %d", p.Status)
	}
	if p := floor.Post("/tablet", "code", code(1)); p.Status != 409 || p.HTML().Find(".problems").Length() == 0 {
		t.Errorf("the floor's own device takes a ballot: %d", p.Status)
	}
	back := tablet.Post(servertest.ActionEnding(tablet.Get(own+"/give-back"), "/give-back"))
	if back.Path != "/tablet" || !strings.Contains(back.HTML().Find("h1").Text(), "Ready for the next guest") {
		t.Errorf("given back, the tablet shows %s", back.Path)
	}
	for _, path := range []string{own, own + "/change", own + "/withdraw", own + "/late"} {
		if p := tablet.Get(path); p.Path != "/tablet" {
			t.Errorf("%s leads to %s after that", path, p.Path)
		}
	}
	if p := f.Visitor().Get(own); p.Status != 404 {
		t.Errorf("elsewhere the link answers %d", p.Status)
	}
	second := tablet.Post("/tablet", "code", code(1)).Path
	if p := tablet.Get(own); p.Path != second {
		t.Errorf("going back far leads to %s, want whose ballot is on it now", p.Path)
	}
	if p := tablet.Post(own+"/withdraw", "sure", "yes"); p.Path != second {
		t.Errorf("an old form leads to %s", p.Path)
	}
	floor.Post(servertest.ActionEnding(floor.Get(links[1][0]+"/tablet"), "/tablet/back"))
	if p := tablet.Get(second); p.Path != "/tablet" {
		t.Errorf("taken back, the ballot leads to %s", p.Path)
	}
	if p := tablet.Get(second + "/events"); !strings.HasPrefix(p.Body, "event: turn\n") {
		t.Errorf("a page that listens only after that hears %q", p.Body)
	}
	third := tablet.Post("/tablet", "code", code(1)).Path
	f.LeadSession()
	tablet.Post("/sign-in", "password", servertest.LeadPassword)
	if p := f.Visitor().Get(third); p.Status != 404 {
		t.Errorf("the lead signed in on the tablet, and the guest’s ballot still answers %d", p.Status)
	}
}
