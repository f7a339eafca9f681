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
