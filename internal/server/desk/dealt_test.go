package desk_test

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// The card of a table says what the staff know: the guest is asked the rest.
func TestTheCardOfATableSaysTheGroup(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Grouped, panel.Open)
	lead := f.Lead()
	links := lead.Get("/studies/" + string(id) + "/sittings/1/card").HTML().Find("nav a[href^='?']")
	if links.Length() != 2 || links.Eq(1).Text() != "bar" {
		t.Fatalf("%d cards, the second for %q; want two, the second for bar", links.Length(), links.Eq(1).Text())
	}
	card := lead.Get("/studies/" + string(id) + "/sittings/1/card" + links.Eq(1).AttrOr("href", ""))
	servertest.NoCanary(t, "the card", card)
	link := card.HTML().Find(".card .link").Text()
	v := f.Visitor()
	doc := v.Get(strings.TrimPrefix(link, f.Web.URL)).HTML()
	if doc.Find("fieldset").Length() != 1 || doc.Find("input[type=hidden][name=g2][value='2']").Length() != 1 {
		t.Fatalf("the card %s asks %d questions: %s", link, doc.Find("fieldset").Length(), doc.Find("main").Text())
	}
	form := doc.Find("form[action$=consent]")
	p := v.Post(form.AttrOr("action", ""), "nonce", form.Find("[name=nonce]").AttrOr("value", ""), "g1", "2", "g2", "2")
	if !strings.HasPrefix(p.Path, "/t/") {
		t.Fatalf("not seated: %s %d", p.Path, p.Status)
	}
	if log := lead.Get("/studies/" + string(id) + "/log").Body; !strings.Contains(log, "arrival 1: no, bar") {
		t.Error("the log does not say who was dealt something")
	}
}

// The desk tells nothing of what is dealt before the close, and all of it after.
func TestDeskTellsWhatWasDealtAfterTheClose(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Grouped, panel.Open)
	ctx, lead := t.Context(), f.Lead()
	for i := range 8 {
		token, err := f.Svc.Consent(ctx, join, fmt.Sprintf("a-guest-who-arrives-%d", i),
			panel.PhoneConsent{Levels: map[string]int{"g1": i%2 + 1, "g2": 1}})
		f.Must(err)
		f.Must(f.Svc.Start(ctx, token))
		b, err := f.Svc.Ballot(ctx, token)
		f.Must(err)
		_, err = f.Svc.Submit(ctx, token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
			Given: map[string]string{"a1": fmt.Sprint(10 * i), "a2": "6"}})
		f.Must(err)
	}
	hidden := []string{servertest.CanarySampleA, servertest.CanarySampleB}
	for _, path := range []string{"/log", "/board", "/balance"} {
		p := lead.Get("/studies/" + string(id) + path)
		for _, word := range hidden {
			if strings.Contains(p.All(), word) {
				t.Errorf("%s holds %q before the close", path, word)
			}
		}
	}
	board := lead.Get("/studies/" + string(id)).HTML().Find("#board table, .board table").First()
	if got := strings.Join(strings.Fields(board.Find("tbody").Text()), " "); got !=
		"first visit, hall440 first visit, bar000 no, hall440 no, bar000" {
		t.Errorf("the board counts by group: %q", got)
	}
	if got := lead.Get("/studies/" + string(id) + "/balance").Body; !strings.Contains(got, "dealt when they arrive") {
		t.Error("the balance does not say that samples are dealt on arrival")
	}
	f.Must(f.Svc.Close(ctx, servertest.ByLead, id))
	report := lead.Get("/studies/" + string(id)).Body
	if !strings.Contains(report, "Of “first visit, hall”, 4 took a place and were dealt") {
		t.Error("the report does not say how many of a stratum arrived")
	}
	if !strings.Contains(report, "compared within 2 groups of guests") {
		t.Error("the report does not compare the groups within their strata")
	}
	if got := lead.Get("/studies/" + string(id) + "/balance").Body; !strings.Contains(got, "first visit, hall") {
		t.Error("the balance after the close has no strata")
	}
	dealt := strings.Split(strings.TrimSpace(f.InPackage(id, "dealt.csv")), "\n")
	if len(dealt) != 9 || !strings.HasPrefix(dealt[2], `2,2,3,"no, hall",`) {
		t.Errorf("dealt.csv has %d lines, the third %q", len(dealt), dealt[min(2, len(dealt)-1)])
	}
	ratings := strings.Split(f.InPackage(id, "ratings.csv"), "\n")
	if !strings.HasSuffix(strings.TrimSpace(ratings[0]), ",stratum") ||
		!strings.Contains(ratings[1], `"first visit, hall"`) {
		t.Errorf("ratings.csv: %q, %q", ratings[0], ratings[1])
	}
	if key := strings.Split(strings.TrimSpace(f.InPackage(id, "key.csv")), "\n"); len(key) != 9 {
		t.Errorf("the key has %d lines, want one for each who arrived", len(key))
	}
}
