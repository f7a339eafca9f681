package server_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// What a lead is told to show or to print for somebody else holds nothing that they
// may not know: every byte, the title of the window and file names included.
func TestWhatIsShownKeepsTheBlind(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-nonce-of-a-guest")
	lead, kitchen := f.Lead(), f.Staff(id, panel.RoleKitchen)
	television, room := lead.Get("/studies/"+string(id)+"/screen").Path, f.Visitor()
	sitting := "/studies/" + string(id) + "/sittings/1/"
	hidden := []string{servertest.NameA, servertest.NameB, servertest.CanaryTitle, servertest.CanaryHypothesis,
		servertest.CanaryDish,
		servertest.CanaryDishTitle, servertest.CanarySampleA, servertest.CanarySampleB, servertest.CanaryNameID}
	// The kitchen plates the dish, and its prints are for the kitchen alone.
	forKitchen := []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.CanarySampleA,
		servertest.CanarySampleB, servertest.CanaryNameID, servertest.NameA, servertest.NameB}
	for _, tc := range []struct {
		who    *servertest.Visitor
		path   string
		hidden []string
	}{
		{lead, sitting + "card", hidden},
		{lead, sitting + "staff", hidden},
		{lead, sitting + "staff/floor", hidden},
		{lead, sitting + "staff/kitchen", hidden},
		{room, television, hidden},
		{room, television + "/board", hidden},
		{room, television + "/events", hidden},
		{lead, "/studies/" + string(id) + "/board", hidden},
		{lead, "/studies/" + string(id) + "/events", hidden},
		{kitchen, "/kitchen/labels", hidden}, // they stand on the plates
		{kitchen, "/kitchen/labels?wave=1", hidden},
		{kitchen, "/kitchen/plating", forKitchen},
		{kitchen, "/kitchen", forKitchen},
	} {
		p := tc.who.Get(tc.path)
		servertest.MustStatus(t, p, ok)
		for _, word := range tc.hidden {
			if strings.Contains(p.All(), word) {
				t.Errorf("%s holds %q", tc.path, word)
			}
		}
	}
}

// A page for one role holds neither link nor code of the other.
func TestEachRoleIsShownItsOwnLink(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Lead()
	links := map[panel.Role]panel.StaffAccess{}
	for _, r := range []panel.Role{panel.RoleKitchen, panel.RoleFloor} {
		links[r] = f.StaffAccess(id, r)
	}
	hub := v.Get("/studies/" + string(id) + "/sittings/1/staff")
	for r, own := range links {
		p := v.Get("/studies/" + string(id) + "/sittings/1/staff/" + r.String())
		for of, a := range links {
			if has := strings.Contains(p.Body, string(a.Link)) &&
				strings.Contains(p.Body, string(a.Code)); has != (of == r) {
				t.Errorf("the page for %s holds the link of %s: %v", r, of, has)
			}
			if of != r && (strings.Contains(p.Body, string(a.Link)) || strings.Contains(p.Body, string(a.Code))) {
				t.Errorf("the page for %s holds a part of the link of %s", r, of)
			}
		}
		if strings.Contains(hub.Body, string(own.Code)) {
			t.Errorf("the page of both holds the code of %s", r)
		}
	}
	servertest.MustStatus(t, v.Get("/studies/"+string(id)+"/sittings/1/staff/lead"), missing)
}

// Alcohol is told wherever it is told what a tasting or a dish contains, not before
// consent alone.
func TestAlcoholIsToldEverywhere(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Alcohol(), panel.Open)
	token, err := f.Svc.Consent(t.Context(), join, "a-nonce-of-a-guest", panel.PhoneConsent{OldEnough: true})
	f.Must(err)
	f.Must(f.Svc.Start(t.Context(), token))
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	lead, kitchen, floor := f.Lead(), f.Staff(id, panel.RoleKitchen), f.Staff(id, panel.RoleFloor)
	seats := floor.Get("/floor").HTML().Find("a[href^='/floor/seats/']").First().AttrOr("href", "")
	for path, p := range map[string]servertest.Page{
		"consent": f.Visitor().Get("/join/" + string(join)), "a serving": f.Visitor().Get("/t/" + string(token)),
		"a ballot offline": f.Visitor().Get("/t/" + string(token) + "/offline"),
		"a seat":           floor.Get(seats), "a guest": floor.Get("/floor/guest"),
		"floor offline":    floor.Get("/floor/offline"),
		"ballots on paper": floor.Get("/floor/ballots"),
		"kitchen":          kitchen.Get("/kitchen"), "plating": kitchen.Get("/kitchen/plating"),
		"a broken blind": kitchen.Post("/kitchen/blind", "code", string(b.Turn.Code), "why", "A guest feels unwell"),
		"the plan":       lead.Get("/studies/" + string(id) + "/plan"), "the study": lead.Get("/studies/" + string(id)),
	} {
		servertest.MustStatus(t, p, ok)
		if !strings.Contains(p.HTML().Find("main").Text(), "alcohol") {
			t.Errorf("%s does not tell of alcohol", path)
		}
	}
}
