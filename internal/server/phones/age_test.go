package phones_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestPhoneConfirmsAnAge(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Alcohol(), panel.Open)
	v := f.Visitor()
	p := v.Get("/join/" + string(join))
	if got := p.HTML().Find("label.choice:has(#age)").Text(); strings.TrimSpace(got) != "I am 20 or older" {
		t.Errorf("asks %q", got)
	}
	if p.HTML().Find("#age[checked], .problems").Length() != 0 {
		t.Error("the age is confirmed, or missed, before anybody was asked")
	}
	nonce := p.HTML().Find("form[action$=consent] [name=nonce]").AttrOr("value", "")
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce)
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	doc := p.HTML()
	if !strings.HasPrefix(doc.Find(".problems a[href='#age']").Text(), "I am 20 or older. Tick") ||
		doc.Find("#age[aria-invalid][aria-describedby=age-wrong]").Length() != 1 ||
		doc.Find("#age-wrong").Length() != 1 {
		t.Errorf("what was not confirmed is not said: %s", doc.Find("main").Text())
	}
	if got := doc.Find("form[action$=consent] [name=nonce]").AttrOr("value", ""); got != nonce {
		t.Errorf("nonce %q, want %q", got, nonce)
	}
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce, "age", "yes")
	if !strings.HasPrefix(p.Path, "/t/") {
		t.Errorf("of age, and not seated: %s", p.Path)
	}
}

func TestNoAgeWithoutNeed(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	if f.Visitor().Get("/join/"+string(join)).HTML().Find("#age").Length() != 0 {
		t.Error("an age is asked of those who taste no alcohol")
	}
}

func TestFloorAsksAnAge(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Alcohol(), panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
	p := v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if p.HTML().Find(".problems a[href='#age']").Length() != 1 ||
		!strings.Contains(p.HTML().Find("label:has(#age)").Text(), "The guest is 20 or older.") {
		t.Errorf("what was not asked is not said: %s", p.HTML().Find("main").Text())
	}
	p = v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "age", "yes")
	if !strings.HasPrefix(p.Path, "/floor/seats/") {
		t.Errorf("of age, and not seated: %s", p.Path)
	}
}
