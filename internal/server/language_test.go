package server_test

import (
	"net/http"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/words"
)

// inLanguages adds French and German words to the custard's study.
const inLanguages = `languages: [en, fr, de-CH]
translations:
  fr:
    names: {canarynameidA: crème brûlée au céleri-rave, canarynameidB: royale de céleri-rave}
    attributes:
      salt: {ask: "À quel point est-ce salé ?", line: [pas du tout salé, extrêmement salé]}
      liking: {ask: "Cela vous plaît-il ?"}
    also contains: {nutmeg: noix de muscade}
    texts:
      consent: J'accepte de goûter deux cuillerées.
      instructions: Prenez une cuillerée, puis répondez.
      thanks: C'était tout.
      debrief: C'était la même crème sous deux noms.
  de-CH:
    names: {canarynameidA: Crème brûlée von Sellerie, canarynameidB: Sellerie-Royale}
    attributes:
      salt: {ask: "Wie salzig ist es?", line: [gar nicht salzig, äusserst salzig]}
      liking: {ask: "Wie gut gefällt es Ihnen?"}
    also contains: {nutmeg: Muskatnuss}
    texts:
      consent: Ich bin bereit, zwei Löffel zu kosten.
      instructions: Nehmen Sie einen Löffel, dann antworten Sie.
      thanks: Das war alles.
      debrief: Es war zweimal dieselbe Creme.
`

// speaks makes a browser ask for languages.
func (v *visitor) speaks(accept string) *visitor {
	v.http.Transport = acceptLanguage(accept)
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
	study := []string{"I agree to taste", "Take a spoonful", "How salty", "not at all salty", "extremely salty", "like extremely", "How much do you", "That was all", "Both were", "milk", "nutmeg"}
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
func readOn(p page) string {
	doc := p.html()
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
	f := newFixture(t)
	id, join := f.inState(strings.Replace(custard, "rinse: 0 s", "rinse: 45 s", 1)+inLanguages, panel.Open)
	v := f.visitor().speaks("fr-CH, fr;q=0.9, en;q=0.8")
	check := func(name string, p page, want string) page {
		t.Helper()
		if got := p.html().Find("html").AttrOr("lang", ""); got != "fr" {
			t.Errorf("%s: lang %q, want fr", name, got)
		}
		text := readOn(p)
		if found := inEnglish(text); len(found) > 0 {
			t.Errorf("%s says in English: %q", name, found)
		}
		if !strings.Contains(text, want) {
			t.Errorf("%s does not say %q:\n%s", name, want, text)
		}
		if p.status == http.StatusOK {
			english := linesOf(readOn(f.visitor().speaks("en").get(p.path)))
			for line := range linesOf(text) {
				if english[line] {
					t.Errorf("%s says the same in English: %q", name, line)
				}
			}
		}
		return p
	}
	check("welcome", v.get("/join/"+join), "lait (y compris le lactose)")
	declined := f.visitor().speaks("fr").post("/join/"+join+"/decline", "nonce", "another-guest-of-all")
	check("declined", declined, "Ne goûtez pas")
	p := check("instructions", v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-guest"), "Il y a 2 portions")
	ballot := p.path
	p = check("serving", v.post(ballot+"/start"), "céleri-rave")
	action := p.html().Find("form").AttrOr("action", "")
	p = check("answers missing", v.post(action, "a1", "101", "a2", ""), "Écrivez un nombre de 0 à 100.")
	if p.status != http.StatusUnprocessableEntity || p.html().Find("nav.languages").Length() != 0 {
		t.Errorf("status %d; links to other languages would lose the answers", p.status)
	}
	check("rinse", v.post(action, "a1", "12,5", "a2", "7"), "Une courte pause")
	check("resume", v.get("/join/"+join), "Vous revoilà")
	f.clock.pass(46_000_000_000)
	p = v.get(ballot)
	check("thanks", v.post(p.html().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5"), "Les réponses aux 2 portions")
	f.must(f.svc.Close(t.Context(), id))
	check("debrief", v.get(ballot), "C'était la même crème")
	check("closed", f.visitor().speaks("fr").get("/join/"+join), "n’est pas ouverte")
	check("a wrong link", v.get("/t/nothing"), "Ce lien ne mène nulle part")
}

func TestLeadSeesTheLanguages(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard+inLanguages, panel.Open)
	v := f.visitor().speaks("fr")
	v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-french-guest")
	f.tasted(join, "nonce-of-an-english-guest", "20", "30")
	f.tasted(join, "nonce-of-another-guest", "30", "20")
	lead := f.lead().speaks("fr")
	p := lead.get("/studies/" + id)
	text := p.html().Find("main").Text()
	for _, want := range []string{"English, Français, Deutsch (CH)", "Français: “royale de céleri-rave”", "Deutsch (CH): “Sellerie-Royale”"} {
		if !strings.Contains(text, want) {
			t.Errorf("the study's page lacks %q", want)
		}
	}
	if p.html().Find("html").AttrOr("lang", "") != "en" {
		t.Error("the lead's pages are not in English")
	}
	f.must(f.svc.Close(t.Context(), id))
	if text = lead.get("/studies/" + id).html().Find(".report").Text(); !strings.Contains(text, "2 in English, 1 in Français.") {
		t.Errorf("the report does not say in which languages assessors began:\n%s", text)
	}
}

func TestLanguageIsChosenOnThePage(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard+inLanguages, panel.Open)
	v := f.visitor().speaks("ja")
	p := v.get("/join/" + join)
	links := p.html().Find("nav.languages a")
	if got := p.html().Find("html").AttrOr("lang", ""); got != "en" || links.Length() != 2 {
		t.Fatalf("lang %q with %d other languages, want en with 2", got, links.Length())
	}
	link := links.Last()
	if link.Text() != "Deutsch (CH)" || link.AttrOr("lang", "") != "de-CH" {
		t.Errorf("the last language is %q (%s)", link.Text(), link.AttrOr("lang", ""))
	}
	p = v.get(link.AttrOr("href", ""))
	if got := p.html().Find("html").AttrOr("lang", ""); got != "de-CH" || !strings.Contains(p.body, "Milch (einschließlich Laktose)") {
		t.Errorf("after choosing Deutsch the page is in %q", got)
	}
	p = v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-guest")
	if got := p.html().Find("html").AttrOr("lang", ""); got != "de-CH" {
		t.Errorf("the choice does not last: the ballot is in %q", got)
	}
	if p = v.get(p.path + "?in=en"); p.html().Find("h1").Text() != "How it goes" || p.header.Get("Location") != "" {
		t.Errorf("back in English the heading is %q", p.html().Find("h1").Text())
	}
}

func TestLinksToLanguagesAreBounded(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard+inLanguages, panel.Open)
	for _, asked := range []string{"%3Cscript%3E", "fr%0d%0aX:%20y", strings.Repeat("a", 4000), ""} {
		p := f.visitor().first(http.MethodGet, "/join/"+join+"?in="+asked)
		if p.status != http.StatusOK || p.header.Get("Set-Cookie") != "" {
			t.Errorf("?in=%.20s: status %d, cookie %q", asked, p.status, p.header.Get("Set-Cookie"))
		}
	}
	p := f.visitor().first(http.MethodGet, "/join/"+join+"?anew=1&in=fr")
	if got, cookie := p.header.Get("Location"), p.header.Get("Set-Cookie"); got != "/join/"+join+"?anew=1" || !strings.HasPrefix(cookie, "cloche-language=fr;") || !strings.Contains(cookie, "HttpOnly") {
		t.Errorf("a choice leads to %q with cookie %q", got, cookie)
	}
	// A study in one language shows no choice, whatever the phone speaks.
	_, join = f.inState(custard, panel.Open)
	p = f.visitor().speaks("fr").get("/join/" + join)
	if p.html().Find("nav.languages").Length() != 0 || p.html().Find("html").AttrOr("lang", "") != "en" {
		t.Error("a study in English offers languages to a French phone")
	}
}
