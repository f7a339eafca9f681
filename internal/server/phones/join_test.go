package phones_test

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestFullAndUnopenedTastingsAreFriendly(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(strings.Replace(servertest.Custard, "assessors: 12", "assessors: 2", 1), panel.Open)
	for i := range 2 {
		if p := f.Visitor().Post("/join/"+string(join)+"/consent", "nonce",
			fmt.Sprintf("nonce-of-a-guest-%d", i)); !strings.HasPrefix(p.Path, "/t/") {
			t.Fatalf("guest %d ends at %s", i, p.Path)
		}
	}
	third := f.Visitor()
	for name, p := range map[string]servertest.Page{
		"reading":    third.Get("/join/" + string(join)),
		"consenting": third.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest-3"),
	} {
		if got := p.HTML().Find("h1").Text(); got != "Every place is taken" {
			t.Errorf("%s when full: %q", name, got)
		}
		if !strings.Contains(p.Body, "place left") {
			t.Errorf("%s when full says nothing more", name)
		}
	}
}

func TestSomeoneElseOnTheSamePhone(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	one := v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-the-first-guest").Path
	back := v.Get("/join/" + string(join)).HTML()
	if back.Find(`a[href="`+one+`"]`).Length() != 1 {
		t.Error("the first guest finds no way back to the ballot")
	}
	anew := back.Find(`a[href*="anew"]`).AttrOr("href", "")
	p := v.Get(anew)
	page := p.HTML()
	word := f.Staff(id, panel.RoleFloor).Get("/floor").HTML().Find("#word strong").Text()
	two := v.Post("/join/"+string(join)+"/consent", "nonce", page.Find("input[name=nonce]").AttrOr("value", ""),
		"anew", page.Find("input[name=anew]").AttrOr("value", ""), "word", word).Path
	if two == one || !strings.HasPrefix(two, "/t/") {
		t.Errorf("the second guest got %s, the first %s: want two ballots", two, one)
	}
}

func TestDecliningKeepsNothingButTheCount(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	nonce := v.Get("/join/"+string(join)).HTML().Find("input[name=nonce]").AttrOr("value", "")
	for range 2 {
		p := v.Post("/join/"+string(join)+"/decline", "nonce", nonce)
		if p.HTML().Find("h1").Text() != "Thank you for saying so" {
			t.Errorf("declining ends at %s", p.Path)
		}
	}
	live, err := f.Svc.Live(t.Context(), panel.Session{Role: panel.RoleLead}, id)
	f.Must(err)
	if live.Declined != 1 || live.All.Joined() != 0 {
		t.Errorf("board %+v, want one who declined and nobody joined", live)
	}
}

func TestClosedInTheMiddle(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	ballot := v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-slow-guest").Path
	action := v.Post(ballot+"/start").HTML().Find("form").AttrOr("action", "")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	p := v.Post(action, "a1", "10", "a2", "3")
	if got := p.HTML().Find("h1").Text(); got != "The tasting is over" {
		t.Errorf("answers that come after close end at %q", got)
	}
	lead := f.Lead().Get("/studies/" + string(id))
	if !strings.Contains(lead.Body, "There are no ratings") {
		t.Error("a study without ratings does not say that there are none")
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

// TestWhoSaysNoMaySayWhy: with one tap, once, without a script; a reason is counted and nothing else,
// is not asked twice, and is answered with care where something cannot be eaten.
func TestWhoSaysNoMaySayWhy(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	at := "/join/" + string(join)
	for i, why := range []string{"", "cannot-eat", "no-time", "cannot-eat", "nonsense"} {
		v, nonce := f.Visitor(), fmt.Sprintf("a-guest-who-says-no-%d", i)
		p := v.Post(at+"/decline", "nonce", nonce)
		form := p.HTML().Find(`form[action="` + at + `/decline"]`)
		held := form.Find("input[name=nonce]").AttrOr("value", "")
		if form.Find("button").Length() != len(panel.WhysNot) || held != nonce {
			t.Fatalf("the page asks with %d buttons", form.Find("button").Length())
		}
		if why == "" {
			continue
		}
		p = v.Post(at+"/decline", "nonce", nonce, "why", why)
		care := strings.Contains(p.HTML().Find("main").Text(), "If you have an allergy")
		asks := p.HTML().Find("form[action$=decline]").Length() > 0
		if care != (why == "cannot-eat") || asks != (why == "nonsense") {
			t.Errorf("%s: care %t, asked again %t", why, care, asks)
		}
		v.Post(at+"/decline", "nonce", nonce, "why", "other") // the first one stays
	}
	if p := f.Visitor().Get(at + "/declined"); p.HTML().Find("form[action$=decline]").Length() > 0 {
		t.Error("who said nothing is asked why")
	}
	f.Tasted(join, "nonce-of-a-guest-who-stays", "20", "70")
	f.Tasted(join, "nonce-of-another-guest-there", "30", "60")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	table := f.InPackage(id, "flow.csv")
	for _, want := range []string{`true,1,"said no when asked to agree, and did not say why"`,
		`true,2,"said no when asked to agree, and that they could not or do not eat something in it"`,
		`true,1,"said no when asked to agree, and that they had no time"`,
		`true,1,"said no when asked to agree, and that they had another reason"`} {
		if !strings.Contains(table, want) {
			t.Errorf("the flow lacks %q:\n%s", want, table)
		}
	}
	if log := f.InPackage(id, "log.csv"); strings.Contains(log, "eat") {
		t.Errorf("the log has a reason:\n%s", log)
	}
}
