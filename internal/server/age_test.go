package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
)

func withAlcohol(t *testing.T) string {
	t.Helper()
	file := strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true", "{assessors: 12}", "{assessors: 12, minimum age: 20}").Replace(custard)
	if !strings.Contains(file, "minimum age") || !strings.Contains(file, "alcohol") {
		t.Fatal("the study pours no alcohol")
	}
	return file
}

func TestPhoneConfirmsAnAge(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(withAlcohol(t), panel.Open)
	v := f.visitor()
	p := v.get("/join/" + join)
	if got := p.html().Find("label.choice:has(#age)").Text(); strings.TrimSpace(got) != "I am 20 or older" {
		t.Errorf("asks %q", got)
	}
	if p.html().Find("#age[checked], .problems").Length() != 0 {
		t.Error("the age is confirmed, or missed, before anybody was asked")
	}
	nonce := p.html().Find("form[action$=consent] [name=nonce]").AttrOr("value", "")
	p = v.post("/join/"+join+"/consent", "nonce", nonce)
	mustStatus(t, p, http.StatusUnprocessableEntity)
	doc := p.html()
	if !strings.HasPrefix(doc.Find(".problems a[href='#age']").Text(), "I am 20 or older. Tick") || doc.Find("#age[aria-invalid][aria-describedby=age-wrong]").Length() != 1 || doc.Find("#age-wrong").Length() != 1 {
		t.Errorf("what was not confirmed is not said: %s", doc.Find("main").Text())
	}
	if got := doc.Find("form[action$=consent] [name=nonce]").AttrOr("value", ""); got != nonce {
		t.Errorf("nonce %q, want %q", got, nonce)
	}
	p = v.post("/join/"+join+"/consent", "nonce", nonce, "age", "yes")
	if !strings.HasPrefix(p.path, "/t/") {
		t.Errorf("of age, and not seated: %s", p.path)
	}
}

func TestNoAgeWithoutNeed(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard, panel.Open)
	if f.visitor().get("/join/"+join).html().Find("#age").Length() != 0 {
		t.Error("an age is asked of those who taste no alcohol")
	}
}

func TestFloorAsksAnAge(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(withAlcohol(t), panel.Open)
	v := f.staff(id, panel.RoleFloor)
	nonce := v.get("/floor/guest").html().Find("[name=nonce]").AttrOr("value", "")
	p := v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	mustStatus(t, p, http.StatusUnprocessableEntity)
	if p.html().Find(".problems a[href='#age']").Length() != 1 || !strings.Contains(p.html().Find("label:has(#age)").Text(), "The guest is 20 or older.") {
		t.Errorf("what was not asked is not said: %s", p.html().Find("main").Text())
	}
	p = v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "age", "yes")
	if !strings.HasPrefix(p.path, "/floor/seats/") {
		t.Errorf("of age, and not seated: %s", p.path)
	}
}
