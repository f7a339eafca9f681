package room_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// The floor asks a guest without a phone, and says what it knows itself.
func TestFloorSaysTheGroup(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Grouped, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor/guest")
	servertest.NoCanary(t, "floor's form", p, servertest.NameA, servertest.NameB)
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

// The kitchen plates what was dealt, and sees no code of a plate whose dish is not decided yet.
func TestKitchenPlatesWhatWasDealt(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.NewReplacer("dish: canarydish, name: canarynameidB", "dish: soup, name: "+
		"canarynameidB",
		"\nnames:", "\n  - {id: soup, title: Celeriac soup, portion: 60 g, serve at: 65 °C, allergens: "+
			"[celery]}\nnames:").
		Replace(servertest.Grouped), panel.Open)
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
