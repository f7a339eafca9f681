package server_test

import (
	"strconv"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPagesAgree reads the counts off every page that shows them, with somebody in
// several states.
func TestPagesAgree(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	floor, kitchen, lead := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen), f.Lead()
	f.Tasted(join, "a-guest-who-has-finished", "40", "60")
	_, err := f.Svc.Consent(t.Context(), join, "a-guest-who-reads-first", panel.PhoneConsent{})
	f.Must(err)
	for _, nonce := range []string{"a-guest-who-is-eating", "a-guest-who-waits-one", "a-guest-who-waits-two"} {
		f.Began(join, nonce)
	}
	floor.Post(floor.Get("/floor").HTML().Find("form[action$='/served']").AttrOr("action", ""))

	want := map[string]string{"joined": "5", "tasting": "1", "finished": "1", "waiting for a plate": "2"}
	sentence := "Of 5 joined: 1 starting, 2 waiting for a plate, 1 tasting, 1 finished."
	read := func(p servertest.Page, list, where string) {
		t.Helper()
		doc := p.HTML()
		for i, dt := range doc.Find(list + " dt").EachIter() {
			what := strings.FieldsFunc(dt.Text(), func(r rune) bool { return r == ',' || r == ':' })[0]
			if n, counted := want[what]; counted && doc.Find(list+" dd").Eq(i).Text() != n {
				t.Errorf("%s: %s %s, want %s", where, what, doc.Find(list+" dd").Eq(i).Text(), n)
			}
		}
		if text := doc.Find("main").Text(); !strings.Contains(text, sentence) {
			t.Errorf("%s does not say %q: %s", where, sentence, text)
		}
	}
	read(lead.Get("/studies/"+string(id)), ".counts", "board")
	read(lead.Get("/studies/"+string(id)+"/screen"), ".counts", "television")
	read(kitchen.Get("/kitchen"), ".tally", "kitchen")
	every := floor.Get("/floor?show=all")
	read(every, ".none", "floor")
	for i, n := range []int{2, 1, 5} {
		if got := every.HTML().Find(".tabs strong").Eq(i).Text(); got != strconv.Itoa(n) {
			t.Errorf("tab %d of the floor counts %s, want %d", i+1, got, n)
		}
	}
	// Who goes before any plate leaves the place free; who goes after one does not.
	for i, taken := range []string{"left", "free"} {
		link := every.HTML().Find(".seat.starting a, .seat.tasting a").Eq(1-i).AttrOr("href", "")
		floor.Post(link + "/left")
		doc := lead.Get("/studies/" + string(id)).HTML()
		got := doc.Find("svg.places").First().Find("g." +
			map[string]string{"left": "gone", "free": "free"}[taken]).Length()
		if want := map[string]int{"left": 1, "free": 8}[taken]; got != want {
			t.Errorf("%d rings are %s after a guest left, want %d", got, taken, want)
		}
		floor.Post(link + "/back")
	}
	rings := map[string]int{}
	for _, g := range lead.Get("/studies/" + string(id)).HTML().Find("svg.places").First().Find("g").EachIter() {
		rings[g.AttrOr("class", "")]++
	}
	if rings["finished"] != 1 || rings["tasting"] != 1 || rings["joined"] != 3 || rings["free"] != 7 ||
		rings["gone"] != 0 {
		t.Errorf("rings %v, want 1 finished, 1 tasting, 3 joined and 7 free", rings)
	}
}
