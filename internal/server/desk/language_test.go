package desk_test

import (
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestDeskReadsItsOwnLanguage: before anything is chosen, pages of the desk are in the language that the
// browser asks for; a user's choice goes with them to every device, and signing in on this device
// speaks it from then on.
func TestDeskReadsItsOwnLanguage(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	says := func(p servertest.Page, lang, studies string) {
		t.Helper()
		if got := p.HTML().Find("html").AttrOr("lang", ""); got != lang {
			t.Errorf("%s is in %q, want %q", p.Path, got, lang)
		}
		if got := p.HTML().Find("header nav a").First().Text(); studies != "" && got != studies {
			t.Errorf("%s begins with %q, want %q", p.Path, got, studies)
		}
	}
	lead := f.Lead()
	says(lead.Get("/studies"), "en", "Studies")
	lead.HTTP.Transport = servertest.Asks("fr-CH, fr;q=0.9")
	says(lead.Get("/studies"), "fr", "Études")
	p := lead.Post("/password/language", "language", "de")
	says(p, "de", "Studien")
	if p.HTML().Find(".saved").Length() != 1 || p.HTML().Find("input[value=de][checked]").Length() != 1 {
		t.Errorf("the choice is not told: %s", p.HTML().Find("main").Text())
	}
	elsewhere := f.Lead()
	elsewhere.HTTP.Transport = servertest.Asks("it")
	for _, path := range []string{"/studies", "/studies/" + string(id), "/help", "/people", "/studies/none"} {
		says(elsewhere.Get(path), "de", "Studien")
	}
	lead.Post("/sign-out")
	says(lead.Get("/sign-in"), "de", "")

	stranger := f.Visitor()
	stranger.HTTP.Transport = servertest.Asks("es")
	says(stranger.Get("/sign-in"), "es", "")
	says(stranger.Get("/sign-in?tongue=it"), "it", "")

	says(elsewhere.Post("/password/language", "language", ""), "it", "Studi")
	if got := elsewhere.Post("/password/language", "language", "nl"); got.Status < 400 {
		t.Errorf("a language that no page is in is taken: %d", got.Status)
	}
}
