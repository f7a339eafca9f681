package room_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestStaffJoinWithLinkAndCode(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	a, v := f.StaffAccess(id, panel.RoleFloor), f.Visitor()
	servertest.MustStatus(t, v.Get("/floor"), http.StatusForbidden)
	servertest.MustStatus(t, v.Get("/staff/no-such-link"), http.StatusNotFound)
	p := v.Get("/staff/" + string(a.Link))
	if got := p.HTML().Find("#code").AttrOr("inputmode", ""); got != "numeric" {
		t.Errorf("the code's keys are %q, want numeric", got)
	}
	p = v.Post("/staff/"+string(a.Link), "code", "000000")
	servertest.MustStatus(t, p, http.StatusForbidden)
	if p.HTML().Find("#code-wrong").Length() != 1 {
		t.Error("a wrong code is not said at its field")
	}
	servertest.MustStatus(t, v.Post("/staff/"+string(a.Link), "code", string(a.Code)), http.StatusTooManyRequests)
	f.Clock.Pass(2 * time.Minute)
	spaced := string(a.Code[:3]) + " " + string(a.Code[3:])
	if p = v.Post("/staff/"+string(a.Link), "code", spaced); p.Path != "/floor" {
		t.Fatalf("the right code leads to %s (%d)", p.Path, p.Status)
	}

	lead := f.Lead()
	p = lead.Get("/studies/" + string(id) + "/sittings/1/staff/floor")
	if got := p.HTML().Find(".digits strong").Text(); got != string(a.Code) {
		t.Errorf("the lead sees the code %q, want %q", got, a.Code)
	}
	p = lead.Post("/studies/"+string(id)+"/sittings/1/staff", "role", "floor")
	if got := p.HTML().Find(".digits strong").Text(); got == string(a.Code) || len(got) != 6 {
		t.Errorf("the renewed code is %q", got)
	}
	servertest.MustStatus(t, v.Get("/floor"), http.StatusForbidden)
	servertest.MustStatus(t, lead.Post("/studies/"+string(id)+"/sittings/1/staff", "role", "assessor"),
		http.StatusNotFound)
}

func TestFloorServesDropsRefuses(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-at-the-window")
	v := f.Staff(id, panel.RoleFloor)

	p := v.Get("/floor")
	card := p.HTML().Find(".seat.waiting")
	code, seat := card.Find(".code").Text(), card.Find("a").AttrOr("href", "")
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	if code != string(b.Turn.Code) || card.Find(".name q").Text() != b.Turn.Name {
		t.Fatalf("floor sees %s %q, the guest %s %q", code, card.Find(".name").Text(), string(b.Turn.Code), b.Turn.Name)
	}
	p = v.Post(card.Find("form").AttrOr("action", ""))
	if p.HTML().Find(".seat.out .code").Text() != code || p.HTML().Find(".seat.waiting").Length() != 0 {
		t.Errorf("after serving: %s", p.HTML().Find("main").Text())
	}
	if got := v.Get("/floor?show=table").HTML().Find(".seat.tasting .code").Text(); got != code {
		t.Errorf("on the table: %q, want %q", got, code)
	}
	p = v.Post(p.HTML().Find("form.undo").AttrOr("action", ""))
	if p.Path != seat || p.HTML().Find(".acts .next").Text() != "Set down" {
		t.Errorf("taking back leads to %s: %s", p.Path, p.HTML().Find(".acts").Text())
	}
	p = v.Post(servertest.ActionEnding(p, "/dropped"))
	if got := strings.TrimPrefix(p.HTML().Find(".plate .code").Text(), "code "); got == code || len(got) != 3 {
		t.Errorf("after a drop the code is %q", got)
	}
	p = v.Post(servertest.ActionEnding(p, "/refused"))
	if got := p.HTML().Find(".plate").Text(); !strings.Contains(got, "1 of 2") {
		t.Errorf("after a refusal: %s", got)
	}
	p = v.Post(servertest.ActionEnding(p, "/left"))
	if got := p.HTML().Find(".plate .state").Text(); got != "has left" {
		t.Errorf("after leaving: %q", got)
	}
	p = v.Post(servertest.ActionEnding(p, "/back"))
	p = v.Post(servertest.ActionEnding(p, "/place"), "place", "the window")
	if got := p.HTML().Find(".plate .at").Text(); got != "the window" {
		t.Errorf("the seat is noted as %q", got)
	}
}

func TestFloorSeatsAGuestAndEntersScores(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(strings.Replace(servertest.Custard, "  consent:", "  comment: Anything else?\n  consent:", 1),
		panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor/guest")
	for _, want := range []string{"nutmeg", "I agree to taste two spoonfuls."} {
		if !strings.Contains(p.Body, want) {
			t.Errorf("nothing to read aloud: %q", want)
		}
	}
	nonce := p.HTML().Find("[name=nonce]").AttrOr("value", "")
	p = v.Post("/floor/guest", "nonce", nonce, "allergens", "yes")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if p.HTML().Find("#allergens[checked]").Length() != 1 ||
		p.HTML().Find(".problems a[href='#consent']").Length() != 1 {
		t.Error("the tick is not kept, or what is missing is not said")
	}
	p = v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	again := v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	if p.Path != again.Path || !strings.HasPrefix(p.Path, "/floor/seats/") {
		t.Fatalf("one guest was seated at %s and %s", p.Path, again.Path)
	}
	scores := p.HTML().Find(".acts a[href*='/scores/']").AttrOr("href", "")
	form := v.Get(scores)
	nonce = form.HTML().Find("[name=nonce]").AttrOr("value", "")
	p = v.Post(scores, "nonce", nonce, "a1", "999", "a2", "6")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if got := p.HTML().Find("#a1").AttrOr("value", ""); got != "999" {
		t.Errorf("what was typed comes back as %q", got)
	}
	p = v.Post(scores, "nonce", nonce, "a1", "42", "a2", "6", "comment", "a little warm")
	if !strings.Contains(p.HTML().Find(".told").Text(), "entered by staff") ||
		!strings.Contains(p.HTML().Find(".plate").Text(), "1 of 2") {
		t.Errorf("after entering: %s", p.HTML().Find("main").Text())
	}
	correct := p.HTML().Find("a[href*='/scores/']").First().AttrOr("href", "")
	form = v.Get(correct)
	if form.HTML().Find("#a1").AttrOr("value", "") != "42" || form.HTML().Find("#comment").Text() != "a little warm" {
		t.Error("a correction does not begin from what stands")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, kept, err := f.Svc.Collected(t.Context(), id)
	f.Must(err)
	if len(kept.Answers) != 2 || kept.Answers[0].EnteredBy != "floor 1" {
		t.Errorf("kept: %+v, want two ratings entered by floor 1", kept.Answers)
	}
	if p = v.Get("/floor?show=all"); !strings.Contains(p.HTML().Find(".told").Text(), "over") {
		t.Error("the list does not say that the tasting is over")
	}
}

func TestFloorCutsTheRinseShort(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 90 s", 1), panel.Open)
	f.Tasted(join, "a-guest-in-a-hurry-now", "20")
	v := f.Staff(id, panel.RoleFloor)
	card := v.Get("/floor?show=all").HTML().Find(".seat.rinsing")
	if !strings.Contains(card.Text(), "rinses, 90 s more") {
		t.Fatalf("the seat says %q", card.Text())
	}
	if card.Find(".code").Length() != 0 {
		t.Error("the next code shows before its turn")
	}
	p := v.Get(card.Find("a").AttrOr("href", ""))
	p = v.Post(servertest.ActionEnding(p, "/rinse"), "over", p.HTML().Find("[name=over]").AttrOr("value", ""))
	if got := p.HTML().Find(".acts .next").Text(); got != "Set down" {
		t.Errorf("after the rinse: %q", got)
	}
}

// TestFloorNotesThatAGuestSaidNo: with or without a reason, once however often it is sent, and nobody
// is seated.
func TestFloorNotesThatAGuestSaidNo(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	for _, no := range []string{"unsaid", "no-time"} {
		nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
		for range 2 {
			if p := v.Post("/floor/guest", "nonce", nonce, "no", no); p.Path != "/floor" {
				t.Errorf("noting %s leads to %s", no, p.Path)
			}
		}
	}
	if text := v.Get("/floor").HTML().Text(); !strings.Contains(text, "2 guests said no before they started.") {
		t.Error("the floor does not say that two guests said no")
	}
	live, err := f.Svc.Live(t.Context(), servertest.ByLead, id)
	f.Must(err)
	if live.Declined != 2 || live.All.Joined() != 0 {
		t.Errorf("board %+v", live)
	}
}
