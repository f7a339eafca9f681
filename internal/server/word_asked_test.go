package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTheLeadAsksEverybodyForTheWord: who opens the link from the table, or from
// elsewhere, says the word of the evening; the floor's page says it.
func TestTheLeadAsksEverybodyForTheWord(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	lead := f.Lead()
	ask := "/studies/" + string(id) + "/sittings/1/word"
	if p := f.Visitor().Get("/join/" + string(join)); p.HTML().Find("#word").Length() != 0 {
		t.Error("the word is asked before the lead wishes it")
	}
	for range 2 { // a double tap
		lead.Post(ask, "ask", "yes")
	}
	word := f.Staff(id, panel.RoleFloor).Get("/floor").HTML().Find("#word strong").Text()
	if card := lead.Get("/studies/" + string(id) + "/sittings/1/card").HTML().Find(".card strong").Text(); word == "" ||
		card != word {
		t.Fatalf("the floor reads %q, the table %q", word, card)
	}
	guest := f.Visitor()
	if p := guest.Get("/join/" + string(join)); p.HTML().Find("#word").Length() != 1 ||
		p.HTML().Find("[role=alert]").Length() != 0 {
		t.Error("the word is not asked, or as if it had been forgotten")
	}
	if p := guest.Post("/join/"+string(join)+"/consent", "nonce",
		"a-guest-who-says-nothing"); p.Status != http.StatusUnprocessableEntity {
		t.Errorf("without the word: %d", p.Status)
	}
	if p := guest.Post("/join/"+string(join)+"/consent", "nonce", "a-guest-who-says-the-word", "word",
		word); !strings.HasPrefix(p.Path, "/t/") {
		t.Errorf("with the word: %d", p.Status)
	}
	lead.Post(ask, "ask", "no")
	if p := f.Visitor().Post("/join/"+string(join)+"/consent", "nonce",
		"a-guest-who-need-not-say"); !strings.HasPrefix(p.Path,
		"/t/") {
		t.Errorf("once it is asked no more: %d", p.Status)
	}
	if log := lead.Get("/studies/" + string(id) + "/log").Body; strings.Count(log,
		"word of the evening asked of everybody") != 1 || strings.Count(log, "no longer asked") != 1 {
		t.Error("the log does not say once that the word was asked, and that it is asked no more")
	}
}

// TestOneBrowserIsOneSeat: whoever passes the phone on needs the word that the floor
// know; the same form sent twice does not.
func TestOneBrowserIsOneSeat(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	guest := f.Visitor()
	consent := func(nonce, word string) (seated bool) {
		p := guest.Post("/join/"+string(join)+"/consent", "nonce", nonce, "word", word, "anew", "yes")
		return strings.HasPrefix(p.Path, "/t/")
	}
	for range 2 {
		if !consent("the-first-on-this-phone", "") {
			t.Fatal("the first has no seat")
		}
	}
	if p := guest.Get("/join/" + string(join) + "?anew=1"); p.HTML().Find("#word").Length() != 1 {
		t.Error("the word is not asked of the next one on this phone")
	}
	if consent("the-next-on-this-phone", "") {
		t.Error("the next one has a seat without the word")
	}
	if p := guest.Post("/join/"+string(join)+"/consent", "nonce",
		"the-first-in-another-tab"); !strings.HasPrefix(p.Path,
		"/t/") {
		t.Errorf("the first in another tab: %d", p.Status)
	}
	live, err := f.Svc.Live(t.Context(), f.LeadSession(), id)
	if f.Must(err); live.All.Joined() != 1 {
		t.Errorf("%d seats of one browser, want 1", live.All.Joined())
	}
	word := f.Staff(id, panel.RoleFloor).Get("/floor").HTML().Find("#word strong").Text()
	if !consent("the-next-on-this-phone", word) {
		t.Error("the next one, whom the floor told it, has no seat")
	}
}
