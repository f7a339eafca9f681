package server_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

func TestStaffJoinWithLinkAndCode(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Open)
	a, v := f.staffAccess(id, panel.RoleFloor), f.visitor()
	mustStatus(t, v.get("/floor"), http.StatusForbidden)
	mustStatus(t, v.get("/staff/no-such-link"), http.StatusNotFound)
	p := v.get("/staff/" + a.Link)
	if got := p.html().Find("#code").AttrOr("inputmode", ""); got != "numeric" {
		t.Errorf("the code's keys are %q, want numeric", got)
	}
	p = v.post("/staff/"+a.Link, "code", "000000")
	mustStatus(t, p, http.StatusForbidden)
	if p.html().Find("#code-wrong").Length() != 1 {
		t.Error("a wrong code is not said at its field")
	}
	mustStatus(t, v.post("/staff/"+a.Link, "code", a.Code), http.StatusTooManyRequests)
	f.clock.pass(2 * time.Minute)
	spaced := a.Code[:3] + " " + a.Code[3:]
	if p = v.post("/staff/"+a.Link, "code", spaced); p.path != "/floor" {
		t.Fatalf("the right code leads to %s (%d)", p.path, p.status)
	}

	lead := f.lead()
	p = lead.get("/studies/" + id + "/sittings/1/staff")
	if got := p.html().Find(".digits strong").Eq(1).Text(); got != a.Code {
		t.Errorf("the lead sees the code %q, want %q", got, a.Code)
	}
	p = lead.post("/studies/"+id+"/sittings/1/staff", "role", "floor")
	if got := p.html().Find(".digits strong").Eq(1).Text(); got == a.Code || len(got) != 6 {
		t.Errorf("the renewed code is %q", got)
	}
	mustStatus(t, v.get("/floor"), http.StatusForbidden)
	mustStatus(t, lead.post("/studies/"+id+"/sittings/1/staff", "role", "assessor"), http.StatusNotFound)
}

func TestFloorServesDropsRefuses(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	token := f.began(join, "a-guest-at-the-window")
	v := f.staff(id, panel.RoleFloor)

	p := v.get("/floor")
	card := p.html().Find(".seat.waiting")
	code, seat := card.Find(".code").Text(), card.Find("a").AttrOr("href", "")
	b, err := f.svc.Ballot(t.Context(), token)
	f.must(err)
	if code != b.Serving.Code || card.Find(".name q").Text() != b.Serving.Name {
		t.Fatalf("floor sees %s %q, the guest %s %q", code, card.Find(".name").Text(), b.Serving.Code, b.Serving.Name)
	}
	p = v.post(card.Find("form").AttrOr("action", ""))
	if p.html().Find(".seat.out .code").Text() != code || p.html().Find(".seat.waiting").Length() != 0 {
		t.Errorf("after serving: %s", p.html().Find("main").Text())
	}
	if got := v.get("/floor?show=table").html().Find(".seat.tasting .code").Text(); got != code {
		t.Errorf("on the table: %q, want %q", got, code)
	}
	p = v.post(p.html().Find("form.undo").AttrOr("action", ""))
	if p.path != seat || p.html().Find(".acts .next").Text() != "Served" {
		t.Errorf("taking back leads to %s: %s", p.path, p.html().Find(".acts").Text())
	}
	p = v.post(actionEnding(p, "/dropped"))
	if got := strings.TrimPrefix(p.html().Find(".plate .code").Text(), "code "); got == code || len(got) != 3 {
		t.Errorf("after a drop the code is %q", got)
	}
	p = v.post(actionEnding(p, "/refused"))
	if got := p.html().Find(".plate").Text(); !strings.Contains(got, "1 of 2 servings") {
		t.Errorf("after a refusal: %s", got)
	}
	p = v.post(actionEnding(p, "/left"))
	if got := p.html().Find(".plate .state").Text(); got != "has left" {
		t.Errorf("after leaving: %q", got)
	}
	p = v.post(actionEnding(p, "/back"))
	p = v.post(actionEnding(p, "/place"), "place", "the window")
	if got := p.html().Find(".plate .at").Text(); got != "the window" {
		t.Errorf("the seat is noted as %q", got)
	}
}

// actionEnding finds the form of a page whose address ends so.
func actionEnding(p page, end string) string {
	p.t.Helper()
	to := p.html().Find("form[action$='"+end+"']").AttrOr("action", "")
	if to == "" {
		p.t.Fatalf("%s has no form to …%s", p.path, end)
	}
	return to
}

func TestFloorSeatsAGuestAndEntersScores(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(strings.Replace(custard, "  consent:", "  comment: Anything else?\n  consent:", 1), panel.Open)
	v := f.staff(id, panel.RoleFloor)
	p := v.get("/floor/guest")
	for _, want := range []string{"nutmeg", "I agree to taste two spoonfuls."} {
		if !strings.Contains(p.body, want) {
			t.Errorf("nothing to read aloud: %q", want)
		}
	}
	nonce := p.html().Find("[name=nonce]").AttrOr("value", "")
	p = v.post("/floor/guest", "nonce", nonce, "allergens", "yes")
	mustStatus(t, p, http.StatusUnprocessableEntity)
	if p.html().Find("#allergens[checked]").Length() != 1 || p.html().Find(".problems a[href='#consent']").Length() != 1 {
		t.Error("the tick is not kept, or what is missing is not said")
	}
	p = v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	again := v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	if p.path != again.path || !strings.HasPrefix(p.path, "/floor/seats/") {
		t.Fatalf("one guest was seated at %s and %s", p.path, again.path)
	}
	scores := p.html().Find(".acts a[href*='/scores/']").AttrOr("href", "")
	form := v.get(scores)
	nonce = form.html().Find("[name=nonce]").AttrOr("value", "")
	p = v.post(scores, "nonce", nonce, "a1", "999", "a2", "6")
	mustStatus(t, p, http.StatusUnprocessableEntity)
	if got := p.html().Find("#a1").AttrOr("value", ""); got != "999" {
		t.Errorf("what was typed comes back as %q", got)
	}
	p = v.post(scores, "nonce", nonce, "a1", "42", "a2", "6", "comment", "a little warm")
	if !strings.Contains(p.html().Find(".told").Text(), "entered by staff") || !strings.Contains(p.html().Find(".plate").Text(), "1 of 2") {
		t.Errorf("after entering: %s", p.html().Find("main").Text())
	}
	correct := p.html().Find("a[href*='/scores/']").First().AttrOr("href", "")
	form = v.get(correct)
	if form.html().Find("#a1").AttrOr("value", "") != "42" || form.html().Find("#comment").Text() != "a little warm" {
		t.Error("a correction does not begin from what stands")
	}
	f.must(f.svc.Close(t.Context(), id))
	_, kept, err := f.svc.Collected(t.Context(), id)
	f.must(err)
	if len(kept.Ratings) != 2 || kept.Ratings[0].EnteredBy != "floor 1" {
		t.Errorf("kept: %+v, want two ratings entered by floor 1", kept.Ratings)
	}
	if p = v.get("/floor?show=all"); !strings.Contains(p.html().Find(".told").Text(), "over") {
		t.Error("the list does not say that the tasting is over")
	}
}

func TestFloorCutsTheRinseShort(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(strings.Replace(custard, "rinse: 0 s", "rinse: 90 s", 1), panel.Open)
	f.tasted(join, "a-guest-in-a-hurry-now", "20")
	v := f.staff(id, panel.RoleFloor)
	card := v.get("/floor?show=all").html().Find(".seat.rinsing")
	if !strings.Contains(card.Text(), "rinses, 90 s more") {
		t.Fatalf("the seat says %q", card.Text())
	}
	if card.Find(".code").Length() != 0 {
		t.Error("the next code shows before its turn")
	}
	p := v.get(card.Find("a").AttrOr("href", ""))
	p = v.post(actionEnding(p, "/rinse"), "over", p.html().Find("[name=over]").AttrOr("value", ""))
	if got := p.html().Find(".acts .next").Text(); got != "Served" {
		t.Errorf("after the rinse: %q", got)
	}
}
