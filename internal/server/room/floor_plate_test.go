package room_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPlateTypedLeadsToItsSeat: without a script, the code on a plate that is due leads to
// the seat that waits for it, and to the button that sets it down; of any other plate the
// list says what is so and what to do, and never a name.
func TestPlateTypedLeadsToItsSeat(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.NewReplacer("rinse: 0 s", "rinse: 90 s", "seed: 7", "seed: 7, spare codes: 3").
		Replace(servertest.Custard), panel.Open)
	token := f.Began(join, "a-guest-at-the-window")
	v := f.Staff(id, panel.RoleFloor)
	first, second := f.Code(id, 0), f.Code(id, 1)
	nobodys := f.Staff(id, panel.RoleKitchen).Get("/kitchen").HTML().Find(".codes .no-guest .digits").First().Text()
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	typed := func(code string) servertest.Page { return v.Get("/floor/plate?code=" + code) }
	says := func(what, code string, want ...string) {
		t.Helper()
		p := typed(code)
		servertest.MustStatus(t, p, http.StatusOK)
		got := p.HTML().Find("#wrong").Text()
		for _, x := range want {
			if !strings.Contains(got, x) {
				t.Errorf("%s: the pad says %q, want %q in it", what, got, x)
			}
		}
		if strings.Contains(got, servertest.NameA) || strings.Contains(got, servertest.NameB) {
			t.Errorf("%s: the pad says a name: %q", what, got)
		}
	}
	unknown := "100"
	says("no code", "", "three digits")
	says("unknown", unknown, "No plate of this sitting", unknown)
	says("nobody's", nobodys, "nobody has yet", "back to the kitchen")
	says("early", second, "serving 2, for guest 1", "Serving 1 comes first")

	p := typed(first)
	if p.HTML().Find(".plate .code").Text() != "code "+first || p.HTML().Find(".say q").Text() != b.Turn.Name ||
		p.HTML().Find(".acts .next").Text() != "Set down" {
		t.Fatalf("%s leads to %s: %s", first, p.Path, p.HTML().Find("main").Text())
	}
	if p = v.Post(servertest.ActionEnding(p, "/served")); p.Path != "/floor" || served(f, id) != 1 {
		t.Errorf("set down leads to %s with %d plates on the table", p.Path, served(f, id))
	}
	says("early, the first one on the table", second, "is on the table")
	p = typed(first)
	if got := p.HTML().Find(".told").Text(); !strings.Contains(got, "on the table here") ||
		p.HTML().Find("form[action$='/served']").Length() != 0 {
		t.Errorf("of a plate on the table the seat says %q", got)
	}
	p = v.Post(servertest.ActionEnding(p, "/dropped"))
	fresh := strings.TrimPrefix(p.HTML().Find(".plate .code").Text(), "code ")
	says("dropped", first, "was dropped", fresh)
	f.Tasted(join, "a-guest-at-the-window", "20")
	says("rated", fresh, "it is over")
	says("rinsing", second, "rinses for 90 s more")
	f.Clock.Pass(2 * time.Minute)
	v.Post(typed(second).Path + "/left")
	says("gone", second, "has left")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	servertest.MustStatus(t, typed(first), http.StatusConflict)
}

// TestPlateIsSaidInTheGuestsLanguage: the name to say is the one that stands on the guest's
// phone, and the page says which language that is.
func TestPlateIsSaidInTheGuestsLanguage(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	token, err := f.Svc.Consent(panel.Speaking(t.Context(), "fr"), join, "a-guest-from-lyon-here", panel.PhoneConsent{})
	f.Must(err)
	f.Must(f.Svc.Start(t.Context(), token))
	b, err := f.Svc.Ballot(panel.Speaking(t.Context(), "fr"), token)
	f.Must(err)
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor/plate?code=" + string(b.Turn.Code))
	if got := p.HTML().Find(".say q").Text(); got != b.Turn.Name || !strings.Contains(got, "céleri-rave") {
		t.Errorf("floor says %q, the guest reads %q", got, b.Turn.Name)
	}
	if got := p.HTML().Find(".say q").AttrOr("lang", ""); got != "fr" {
		t.Errorf("a French name is marked as %q", got)
	}
	if got := v.Get("/floor").HTML().Find(".seat q").AttrOr("lang", ""); got != "fr" {
		t.Errorf("in the list it is marked as %q", got)
	}
	if got := p.HTML().Find(".tongue").Text(); !strings.Contains(got, "French") {
		t.Errorf("of the language the page says %q", got)
	}
	if held := v.Get("/floor/ahead").Body; !strings.Contains(held, b.Turn.Name) ||
		!strings.Contains(held, `"tongue":"French","lang":"fr"`) {
		t.Errorf("without network the phone has %s", held)
	}
}

// TestFivePlatesCanBeTakenBack: a minute after they were set down, the list still takes the
// last five back, and no more.
func TestFivePlatesCanBeTakenBack(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	for i := range 7 {
		f.Began(join, "a-guest-who-waits-"+string(rune('a'+i)))
		v.Post(v.Get("/floor").HTML().Find(".seat.waiting form").AttrOr("action", ""))
		f.Clock.Pass(time.Second)
	}
	f.Clock.Pass(2 * time.Minute)
	for left := 5; left > 0; left-- {
		undo := v.Get("/floor").HTML().Find(".undos form")
		if undo.Length() != 5 {
			t.Fatalf("%d plates can be taken back, want 5", undo.Length())
		}
		v.Post(undo.AttrOr("action", ""), "code", undo.First().Find("[name=code]").AttrOr("value", ""))
		if want := 7 - (6 - left); served(f, id) != want {
			t.Errorf("%d plates are on the table, want %d", served(f, id), want)
		}
		if left == 3 { // two are left on the table besides
			break
		}
	}
}

// served counts the seats that have a plate on the table.
func served(f *servertest.Fixture, id panel.StudyID) int {
	f.T.Helper()
	live, err := f.Svc.Live(f.T.Context(), panel.Session{Role: panel.RoleLead}, id)
	f.Must(err)
	return live.All.Tasting
}
