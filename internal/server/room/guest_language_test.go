package room_test

import (
	"encoding/json"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorReadsAloudInTheGuestsLanguage: what is read to a guest without a phone stands in a
// language of the study that the guest understands, whatever the waiter's own is. Name and
// questions follow, with and without network, and each is marked with its language.
func TestFloorReadsAloudInTheGuestsLanguage(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	first := v.Get("/floor/guest").HTML()
	if got := first.Find(".contains [lang=en] li").First().Text(); got != "eggs" {
		t.Errorf("in the study's first language the list begins with %q", got)
	}
	doc := v.Get("/floor/guest?reads=fr").HTML()
	aloud := doc.Find(".contains [lang=fr]").Text()
	for _, want := range []string{"œufs", "sans donner de raison"} {
		if !strings.Contains(aloud, want) {
			t.Errorf("read aloud in French, without %q: %s", want, aloud)
		}
	}
	if got := doc.Find("#contains").Text(); got != "Read this aloud first" {
		t.Errorf("the waiter is told %q", got)
	}
	p := v.Post("/floor/guest", "nonce", doc.Find("[name=nonce]").AttrOr("value", ""), "allergens", "yes", "consent",
		"yes", "reads", doc.Find("[name=reads]").AttrOr("value", ""))
	if got := p.HTML().Find(".tongue").Text(); !strings.Contains(got, "French") {
		t.Errorf("the seat says of the language %q", got)
	}
	name := p.HTML().Find(".say q")
	if !strings.Contains(name.Text(), "céleri-rave") || name.AttrOr("lang", "") != "fr" {
		t.Errorf("the name is %q in %q", name.Text(), name.AttrOr("lang", ""))
	}
	if got := p.HTML().Find(".plate h1 strong").Text(); got != "Guest 1" {
		t.Errorf("the page of the guest is headed %q", got)
	}
	lent := v.Get(p.HTML().Find("a[href$='/tablet']").AttrOr("href", "")).HTML().Find(".tablet-code .digits").Text()
	tablet := f.Visitor()
	if got := tablet.Post("/tablet", "code", lent).HTML().Find("html").AttrOr("lang", ""); got != "fr" {
		t.Errorf("on the house's tablet the guest reads in %q", got)
	}
	scores := v.Get(p.HTML().Find("a[href*='/scores/']").AttrOr("href", "")).HTML()
	asked := scores.Find("legend[lang=fr]").Text()
	if asked == "" || scores.Find("legend:not([lang=fr])").Length() > 0 ||
		scores.Find(".ends span[lang=fr]").Length() == 0 {
		t.Errorf("the questions are %s", scores.Find("fieldset").Text())
	}
	var held struct {
		In map[string]struct {
			Asks map[string][]struct{ Text, Lang string }
		}
		Seats []struct{ Lang string }
	}
	f.Must(json.Unmarshal([]byte(v.Get("/floor/ahead").Body), &held))
	if len(held.Seats) != 1 || held.Seats[0].Lang != "fr" || len(held.In) != 1 {
		t.Fatalf("held without network: %+v", held)
	}
	for _, asks := range held.In["fr"].Asks {
		for _, ask := range asks {
			if !strings.Contains(asked, ask.Text) || ask.Lang != "fr" {
				t.Errorf("without network it asks %q in %q", ask.Text, ask.Lang)
			}
		}
	}
}
