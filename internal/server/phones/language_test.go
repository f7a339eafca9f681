package phones_test

import (
	"net/http"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// speaks makes a browser ask for languages.
func speaks(v *servertest.Visitor, accept string) *servertest.Visitor {
	v.HTTP.Transport = acceptLanguage(accept)
	return v
}

type acceptLanguage string

func (a acceptLanguage) RoundTrip(r *http.Request) (*http.Response, error) {
	r.Header.Set("Accept-Language", string(a))
	return http.DefaultTransport.RoundTrip(r)
}

// inEnglish finds what an English page alone would say: the words of the
// catalogue, between their verbs, and those of the study.
func inEnglish(text string) []string {
	var found []string
	study := []string{"I agree to taste", "Take a spoonful", "How salty", "not at all salty", "extremely salty",
		"like extremely", "How much do you", "That was all", "Both were", "milk", "nutmeg"}
	own := reflect.ValueOf(words.In("en"))
	for i := range own.NumField() {
		study = append(study, regexp.MustCompile(`%[a-z]`).Split(own.Field(i).String(), -1)...)
	}
	for _, w := range study {
		if w = strings.TrimSpace(w); len(w) > 4 && strings.Contains(text, w) { // "code" is French too
			found = append(found, w)
		}
	}
	return found
}

// words of a page: what is read and what is read out.
func readOn(p servertest.Page) string {
	doc := p.HTML()
	doc.Find("nav.languages").Remove() // names of languages stand in the links
	doc.Find("head noscript").Remove()
	all := []string{doc.Text()}
	doc.Find("[aria-label], [aria-valuetext]").Each(func(_ int, x *goquery.Selection) {
		all = append(all, x.AttrOr("aria-label", ""), x.AttrOr("aria-valuetext", ""))
	})
	return strings.Join(all, "\n")
}

// linesOf are the lines with words in them.
func linesOf(text string) map[string]bool {
	lines := map[string]bool{}
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); regexp.MustCompile(`\pL{2}`).MatchString(line) {
			lines[line] = true
		}
	}
	return lines
}

func TestPagesOfAFrenchPhone(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 45 s", 1)+servertest.InLanguages,
		panel.Open)
	v := speaks(f.Visitor(), "fr-CH, fr;q=0.9, en;q=0.8")
	check := func(name string, p servertest.Page, want string) servertest.Page {
		t.Helper()
		if got := p.HTML().Find("html").AttrOr("lang", ""); got != "fr" {
			t.Errorf("%s: lang %q, want fr", name, got)
		}
		text := readOn(p)
		if found := inEnglish(text); len(found) > 0 {
			t.Errorf("%s says in English: %q", name, found)
		}
		if !strings.Contains(text, want) {
			t.Errorf("%s does not say %q:\n%s", name, want, text)
		}
		if p.Status == http.StatusOK {
			english := linesOf(readOn(speaks(f.Visitor(), "en").Get(p.Path)))
			for line := range linesOf(text) {
				if english[line] {
					t.Errorf("%s says the same in English: %q", name, line)
				}
			}
		}
		return p
	}
	check("welcome", v.Get("/join/"+string(join)), "lait (y compris le lactose)")
	declined := speaks(f.Visitor(), "fr").Post("/join/"+string(join)+"/decline", "nonce", "another-guest-of-all")
	check("declined", declined, "Ne goûtez pas")
	p := check("instructions", v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest"),
		"Il y a 2 portions")
	ballot := p.Path
	p = check("serving", v.Post(ballot+"/start"), "céleri-rave")
	action := p.HTML().Find("form").AttrOr("action", "")
	p = check("answers missing", v.Post(action, "a1", "101", "a2", ""), "Écrivez un nombre de 0 à 100.")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find("nav.languages").Length() != 0 {
		t.Errorf("status %d; links to other languages would lose the answers", p.Status)
	}
	check("rinse", v.Post(action, "a1", "12,5", "a2", "7"), "Une courte pause")
	check("resume", v.Get("/join/"+string(join)), "Vous revoilà")
	f.Clock.Pass(46_000_000_000)
	p = v.Get(ballot)
	check("thanks", v.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5"),
		"Les réponses aux 2 portions")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	check("debrief", v.Get(ballot), "C'était la même crème")
	check("closed", speaks(f.Visitor(), "fr").Get("/join/"+string(join)), "n’est pas ouverte")
	check("a wrong link", v.Get("/t/nothing"), "Ce lien ne fonctionne pas")
}

func TestLeadSeesTheLanguages(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	v := speaks(f.Visitor(), "fr")
	v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-french-guest")
	f.Tasted(join, "nonce-of-an-english-guest", "20", "30")
	f.Tasted(join, "nonce-of-another-guest", "30", "20")
	lead := f.Lead()
	p := lead.Get("/studies/" + string(id))
	text := p.HTML().Find("main").Text()
	for _, want := range []string{"English, Français, Deutsch (CH)", "Français: “royale de céleri-rave”", "Deutsch " +
		"(CH): “Sellerie-Royale”"} {
		if !strings.Contains(text, want) {
			t.Errorf("the study's page lacks %q", want)
		}
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if text = lead.Get("/studies/" + string(id)).HTML().Find(".report").Text(); !strings.Contains(text, "2 in "+
		"English, 1 in Français.") {
		t.Errorf("the report does not say in which languages assessors began:\n%s", text)
	}
}

func TestLanguageIsChosenOnThePage(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	v := speaks(f.Visitor(), "ja")
	p := v.Get("/join/" + string(join))
	links := p.HTML().Find("nav.languages a")
	if got := p.HTML().Find("html").AttrOr("lang", ""); got != "en" || links.Length() != 2 {
		t.Fatalf("lang %q with %d other languages, want en with 2", got, links.Length())
	}
	link := links.Last()
	if link.Text() != "Deutsch (CH)" || link.AttrOr("lang", "") != "de-CH" {
		t.Errorf("the last language is %q (%s)", link.Text(), link.AttrOr("lang", ""))
	}
	p = v.Get(link.AttrOr("href", ""))
	if got := p.HTML().Find("html").AttrOr("lang", ""); got != "de-CH" || !strings.Contains(p.Body, "Milch "+
		"(einschließlich Laktose)") {
		t.Errorf("after choosing Deutsch the page is in %q", got)
	}
	p = v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest")
	if got := p.HTML().Find("html").AttrOr("lang", ""); got != "de-CH" {
		t.Errorf("the choice does not last: the ballot is in %q", got)
	}
	if p = v.Get(p.Path + "?in=en"); p.HTML().Find("h1").Text() != "How it goes" || p.Header.Get("Location") != "" {
		t.Errorf("back in English the heading is %q", p.HTML().Find("h1").Text())
	}
}

func TestLinksToLanguagesAreBounded(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	for _, asked := range []string{"%3Cscript%3E", "fr%0d%0aX:%20y", strings.Repeat("a", 4000), ""} {
		p := f.Visitor().First(http.MethodGet, "/join/"+string(join)+"?in="+asked)
		if p.Status != http.StatusOK || p.Header.Get("Set-Cookie") != "" {
			t.Errorf("?in=%.20s: status %d, cookie %q", asked, p.Status, p.Header.Get("Set-Cookie"))
		}
	}
	p := f.Visitor().First(http.MethodGet, "/join/"+string(join)+"?anew=1&in=fr")
	if got, cookie := p.Header.Get("Location"), p.Header.Get("Set-Cookie"); got != "/join/"+string(join)+"?anew=1" ||
		!strings.HasPrefix(cookie, "cloche-language=fr;") || !strings.Contains(cookie, "HttpOnly") {
		t.Errorf("a choice leads to %q with cookie %q", got, cookie)
	}
	// A study in one language shows no choice, whatever the phone speaks.
	_, join = f.InState(servertest.Custard, panel.Open)
	p = speaks(f.Visitor(), "fr").Get("/join/" + string(join))
	if p.HTML().Find("nav.languages").Length() != 0 || p.HTML().Find("html").AttrOr("lang", "") != "en" {
		t.Error("a study in English offers languages to a French phone")
	}
}
