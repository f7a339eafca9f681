package room_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// tongue makes a browser ask for a language.
type tongue string

func (a tongue) RoundTrip(r *http.Request) (*http.Response, error) {
	r.Header.Set("Accept-Language", string(a))
	return http.DefaultTransport.RoundTrip(r)
}

// TestStaffReadTheirOwnLanguage: the pages of kitchen and floor follow the device, from the page
// that asks for the code on; what is read aloud to a guest stays in the study's language.
func TestStaffReadTheirOwnLanguage(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-at-the-window")
	for _, tc := range []struct{ accept, lang, join, floor, kitchen, setDown, refused, notSent string }{
		{"fr-CH, fr;q=0.9", "fr", "Entrer", "Salle", "Cuisine", "Posée", "C’est déjà terminé", "Gardé sur ce"},
		{"de", "de", "Beitreten", "Service", "Küche", "Hingestellt", "Das ist schon vorbei", "Auf diesem Telefon"},
		{"es-MX", "es", "Entrar", "Sala", "Cocina", "Servido", "Eso ya terminó", "Guardado en este"},
		{"it", "it", "Entrare", "Sala", "Cucina", "Servito", "È già finito", "Conservato su questo"},
		{"nl", "en", "Join", "Floor", "Kitchen", "Set down", "That is over already", "Kept on this phone"},
	} {
		t.Run(tc.lang, func(t *testing.T) {
			v, k := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen)
			v.T, v.HTTP.Transport, k.HTTP.Transport = t, tongue(tc.accept), tongue(tc.accept)
			asked := v.Get("/staff/" + string(f.StaffAccess(id, panel.RoleFloor).Link))
			list := v.Get("/floor")
			for what, x := range map[string][2]string{
				"the page of the code": {asked.HTML().Find("button.next").Text(), tc.join},
				"the floor's heading":  {list.HTML().Find("h1").Text(), tc.floor},
				"the kitchen's":        {k.Get("/kitchen").HTML().Find("h1").Text(), tc.kitchen},
				"the button of a card": {list.HTML().Find(".seat form button").Text(), tc.setDown},
				"the language":         {list.HTML().Find("html").AttrOr("lang", ""), tc.lang},
				"what scripts say":     {list.HTML().Find("#words").Text(), tc.notSent},
				"the offline page":     {v.Get("/floor/offline").HTML().Find("h1").Text(), tc.floor},
				"what a phone holds":   {v.Get("/floor/ahead").Body, tc.setDown},
				"a rinse that does not run": {act(v, list.HTML().Find(".seat a").AttrOr("href", "")+"/rinse",
					"id", fmt.Sprint("rinse-", tc.lang), "over", "1").Words, tc.refused},
			} {
				if !strings.HasPrefix(x[0], x[1]) && !strings.Contains(x[0], x[1]) {
					t.Errorf("%s is %q, want %q in it", what, x[0], x[1])
				}
			}
			if got := v.Get("/floor/guest").HTML().Find("#agree").Parent().Text(); !strings.Contains(got,
				"I agree to taste") {
				t.Errorf("what is read aloud is %q", got)
			}
		})
	}
}

// TestStaffChooseALanguage: a language chosen on a page stays with the device, and goes before
// what that asks for; the choice stands on the page of the code and on those after it.
func TestStaffChooseALanguage(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	a, v := f.StaffAccess(id, panel.RoleFloor), f.Visitor()
	v.HTTP.Transport = tongue("fr")
	p := v.Get("/staff/" + string(a.Link))
	if got := p.HTML().Find(".languages a").Length(); got != 4 {
		t.Fatalf("%d other languages are offered", got)
	}
	to, _ := p.HTML().Find(".languages a[lang=de]").Attr("href")
	if p = v.Get(to); p.HTML().Find("button.next").Text() != "Beitreten" || p.Path != "/staff/"+string(a.Link) {
		t.Errorf("German leads to %s: %q", p.Path, p.HTML().Find("main").Text())
	}
	p = v.Post("/staff/"+string(a.Link), "code", string(a.Code))
	if got := p.HTML().Find("h1").Text(); p.Path != "/floor" || !strings.HasPrefix(got, "Service") {
		t.Errorf("after joining at %s: %q", p.Path, got)
	}
	if p = v.Get("/floor?tongue=es"); !strings.HasPrefix(p.HTML().Find("h1").Text(), "Sala") {
		t.Errorf("Spanish reads %q", p.HTML().Find("h1").Text())
	}
	if got := v.Get("/floor/seats/nobody").HTML().Find("h1").Text(); got != "Eso ya no está aquí" {
		t.Errorf("an error reads %q", got)
	}
}

// TestCautionsAreTranslated: what is to be minded about a temperature stands in the language of
// the kitchen, whatever was measured and however the dish is served.
func TestCautionsAreTranslated(t *testing.T) {
	f := servertest.New(t)
	for _, served := range []string{"55 °C", "4 °C", "65 °C"} {
		id, _ := f.InState(strings.ReplaceAll(servertest.Custard, "serve at: 55 °C", "serve at: "+served), panel.Open)
		k := f.Staff(id, panel.RoleKitchen)
		k.HTTP.Transport = tongue("fr")
		dish, _ := k.Get("/kitchen").HTML().Find("#dish option").First().Attr("value")
		for _, celsius := range []string{"66", "60", "30", "12", "7", "2"} {
			k.Post("/kitchen/temperatures", "wave", "1", "dish", dish, "celsius", celsius, "sure", celsius)
		}
		page := k.Get("/kitchen").HTML()
		for _, text := range []string{page.Find(".mind").Text(), page.Find("#measure .soft").Text()} {
			if text == "" || strings.Contains(text, "Local rules") || strings.Contains(text, "guests would") ||
				strings.Contains(text, "Caution") {
				t.Errorf("served at %s: %q", served, text)
			}
		}
	}
}
