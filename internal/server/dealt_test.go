package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// grouped deals one name to each, within first visits, of which guests are asked, and rooms,
// which the staff know.
var grouped = strings.NewReplacer("serving: {rinse: 0 s, seed: 7, show numbers: true}", `serving:
  design: one
  strata:
    - {id: visit, ask: Is this your first visit?, levels: [first visit, "no"]}
    - {id: room, levels: [hall, bar]}
  seed: 7
  show numbers: true`, "paired-t", "welch-t").Replace(servertest.Custard)

// noCanary finds nothing in an answer that its reader may not know.
func noCanary(t *testing.T, what string, p servertest.Page, more ...string) {
	t.Helper()
	for _, word := range append(more, servertest.Canaries...) {
		if strings.Contains(p.All(), word) {
			t.Errorf("%s holds %q", what, word)
		}
	}
}

// A guest without scripts is asked to which group they belong before they get a place.
func TestPhoneAsksForTheGroup(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(grouped, panel.Open)
	v := f.Visitor()
	p := v.Get("/join/" + string(join))
	noCanary(t, "the page before consent", p, servertest.NameA, servertest.NameB)
	doc := p.HTML()
	if got := doc.Find("form[action$=consent] fieldset").Length(); got != 2 {
		t.Fatalf("%d questions, want two: %s", got, doc.Find("main").Text())
	}
	if doc.Find("#group-why").Length() != 1 || doc.Find("input[type=radio][checked]").Length() != 0 {
		t.Error("why it is asked is not said, or an answer is given beforehand")
	}
	nonce := doc.Find("form[action$=consent] [name=nonce]").AttrOr("value", "")
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce, "g2", "2")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	doc = p.HTML()
	if doc.Find(".problems a[href='#g1-1']").Length() != 1 || doc.Find(".problems li").Length() != 1 ||
		doc.Find("#g1-wrong").Length() != 1 || doc.Find("#g2-2[checked]").Length() != 1 {
		t.Errorf("what is missing is not said, or what was typed is gone: %s", doc.Find("main").Text())
	}
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce, "g1", "1", "g2", "2")
	if !strings.HasPrefix(p.Path, "/t/") {
		t.Fatalf("not seated: %s %d", p.Path, p.Status)
	}
	noCanary(t, "the ballot", p, servertest.NameA, servertest.NameB)
	if got := v.Get(p.Path + "/withdraw").HTML().Find("main").Text(); !strings.Contains(got, "stays on record") {
		t.Errorf("taking out says %q, and not what stays", got)
	}
}

// The card of a table says what the staff know: the guest is asked the rest.
func TestTheCardOfATableSaysTheGroup(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(grouped, panel.Open)
	lead := f.Lead()
	links := lead.Get("/studies/" + string(id) + "/sittings/1/card").HTML().Find("nav a[href^='?']")
	if links.Length() != 2 || links.Eq(1).Text() != "bar" {
		t.Fatalf("%d cards, the second for %q; want two, the second for bar", links.Length(), links.Eq(1).Text())
	}
	card := lead.Get("/studies/" + string(id) + "/sittings/1/card" + links.Eq(1).AttrOr("href", ""))
	noCanary(t, "the card", card)
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

// The floor asks a guest without a phone, and says what it knows itself.
func TestFloorSaysTheGroup(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(grouped, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor/guest")
	noCanary(t, "floor's form", p, servertest.NameA, servertest.NameB)
	nonce := p.HTML().Find("[name=nonce]").AttrOr("value", "")
	p = v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "g1", "2")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	doc := p.HTML()
	if got := doc.Find(".problems a[href='#g2']").Text(); got != "Choose what is so: room" ||
		doc.Find("#g1-2[checked]").Length() != 1 || doc.Find("#g2").Length() != 1 {
		t.Errorf("what is missing: %q", got)
	}
	p = v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "g1", "2", "g2", "1")
	if !strings.HasPrefix(p.Path, "/floor/seats/") {
		t.Fatalf("not seated: %s %d", p.Path, p.Status)
	}
	name := servertest.NameA
	if !strings.Contains(p.Body, name) {
		name = servertest.NameB
	}
	if !strings.Contains(p.Body, name) {
		t.Errorf("floor is not told what to call the plate: %s", p.HTML().Find("main").Text())
	}
}

// The desk tells nothing of what is dealt before the close, and all of it after.
func TestDeskTellsWhatWasDealtAfterTheClose(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(grouped, panel.Open)
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

// The kitchen plates what was dealt, and sees no code of a plate whose dish is not decided yet.
func TestKitchenPlatesWhatWasDealt(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.NewReplacer("dish: canarydish, name: canarynameidB", "dish: soup, name: "+
		"canarynameidB",
		"\nnames:", "\n  - {id: soup, title: Celeriac soup, portion: 60 g, serve at: 65 °C, allergens: "+
			"[celery]}\nnames:").
		Replace(grouped), panel.Open)
	v := f.Staff(id, panel.RoleKitchen)
	p := v.Get("/kitchen")
	if p.HTML().Find(".codes .digits").Length() != 0 || !strings.Contains(p.Body, "12 more plates when every place "+
		"is taken") {
		t.Errorf("before anybody came the kitchen sees %s", p.HTML().Find("#live").Text())
	}
	_, err := f.Svc.Consent(t.Context(), join, "a-guest-who-arrives", panel.PhoneConsent{
		Levels: map[string]int{"g1": 1, "g2": 1}})
	f.Must(err)
	for _, path := range []string{"/kitchen", "/kitchen/plating"} {
		p = v.Get(path)
		if !strings.Contains(p.Body, "11 more plates") {
			t.Errorf("%s says %s", path, p.HTML().Find("main").Text())
		}
		for _, word := range []string{servertest.NameA, servertest.NameB, servertest.CanarySampleA,
			servertest.CanarySampleB, "first visit"} {
			if strings.Contains(p.All(), word) {
				t.Errorf("%s holds %q", path, word)
			}
		}
	}
	if got := v.Get("/kitchen").HTML().Find(".wave .codes .digits").Length(); got != 1 {
		t.Errorf("the wave has %d plates, want that of the guest who came", got)
	}
	if got := v.Get("/kitchen/labels").Body; strings.Count(got, "<li") < 12 && strings.Count(got, "label") < 12 {
		t.Error("the labels of all places cannot be printed beforehand")
	}
}
