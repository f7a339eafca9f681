package desk_test

import (
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/help"
	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// TestHelpInTheBrowser: every page is listed, opens, and is found by a search.
func TestHelpInTheBrowser(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	links := lead.Get("/help").HTML().Find("nav .studies a")
	all, err := help.Topics("en")
	if err != nil || links.Length() != len(all) {
		t.Fatalf("%d pages are listed, want %d: %v", links.Length(), len(all), err)
	}
	for i, x := range all {
		p := lead.Get(links.Eq(i).AttrOr("href", ""))
		if p.Status != http.StatusOK || p.HTML().Find("h1").Text() != x.Title {
			t.Errorf("%s: status %d, %q", x.ID, p.Status, p.HTML().Find("h1").Text())
		}
	}
	hits := lead.Get("/help?q=forgotten+password").HTML().Find(".hits a")
	if got := hits.AttrOr("href", ""); !strings.HasPrefix(got, "/help/operator#") {
		t.Errorf("the search leads to %q", got)
	}
	if p := f.Visitor().Get("/help/floor"); p.Status != http.StatusOK || p.HTML().Find("header nav").Length() != 0 {
		t.Errorf("who is not signed in: status %d, %s", p.Status, p.HTML().Find("header").Text())
	}
	anchors := lead.Get("/help/files").HTML()
	for i := range anchors.Find(".on-page a").Length() {
		if to := anchors.Find(".on-page a").Eq(i).AttrOr("href", "#"); anchors.Find("h2"+to).Length() != 1 {
			t.Errorf("%q leads nowhere", to)
		}
	}
	if anchors.Find(".on-page a").Length() < 8 {
		t.Error("a long page does not list what is on it")
	}
	if p := lead.Get("/help/soup"); p.Status != http.StatusNotFound {
		t.Errorf("no page: status %d", p.Status)
	}
	if got := lead.Get("/help?q=%3Cb%3E").HTML().Find("main b").Length(); got != 0 {
		t.Error("a search writes into the page")
	}
}

// TestHelpIsInTheReadersLanguage: a page that the reader's language does not have yet says so and marks its text as
// English, one that it has marks nothing; who is not signed in chooses the language on the page.
func TestHelpIsInTheReadersLanguage(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	const untranslated = "Diese Seite ist auf Englisch: Sie ist noch nicht übersetzt."
	all, err := help.Topics("de")
	f.Must(err)
	for v, asks := range map[*servertest.Visitor]string{lead: "de-CH, de;q=0.9", f.Visitor(): "de"} {
		v.HTTP.Transport = servertest.Asks(asks)
		for _, x := range all {
			doc := v.Get("/help/" + x.ID).HTML()
			want := map[string]string{"en": "en", "de": ""}[x.Lang]
			if got := doc.Find("article").AttrOr("lang", ""); got != want || doc.Find("h1").Text() != x.Title {
				t.Errorf("%s, whose text is in %s, is marked %q: %s", x.ID, x.Lang, got, doc.Find("h1").Text())
			}
			if said := strings.Contains(doc.Find("main").Text(), untranslated); said != (x.Lang == "en") {
				t.Errorf("%s, whose text is in %s: that it is English is said: %v", x.ID, x.Lang, said)
			}
		}
	}
	links := f.Visitor().Get("/help/floor").HTML().Find("nav.languages a")
	if links.Length() != len(study.Spoken)-1 {
		t.Errorf("%d languages to choose from", links.Length())
	}
	if got := f.Visitor().Get("/help/floor?tongue=it").HTML().Find("html").AttrOr("lang", ""); got != "it" {
		t.Errorf("Italian was chosen, the page is in %q", got)
	}
}

// TestHelpSaysTheTemperatures: those on the help pages are those of the safety notes that the
// builder shows.
func TestHelpSaysTheTemperatures(t *testing.T) {
	f := servertest.New(t)
	_, edit := f.Drafted(servertest.Custard)
	notes := f.Lead().Get(edit + "dishes").HTML().Find(".caution").Text()
	degrees := regexp.MustCompile(`\d+ °C`)
	for _, id := range []string{"chef", "kitchen"} {
		page, _, err := help.Find("en", id)
		f.Must(err)
		said := degrees.FindAllString(page.Text, -1)
		if len(said) < 4 {
			t.Errorf("%s says %v", id, said)
		}
		for _, d := range said[:1] { // what holds hot food
			if !strings.Contains(strings.ReplaceAll(notes, "\u00a0", " "), d) {
				t.Errorf("%s says %s; the builder says %s", id, d, notes)
			}
		}
	}
}

// TestPrepareLeadsThroughEverything: the portions are those of the plan, each link opens, and
// nothing but dishes stands on the paper.
func TestPrepareLeadsThroughEverything(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Locked)
	lead := f.Lead()
	path := "/studies/" + string(id) + "/prepare"
	p := lead.Get(path)
	button := p.HTML().Find("button.next")
	if p.Status != http.StatusOK || button.Length() != 1 {
		t.Fatalf("status %d, %d main actions", p.Status, button.Length())
	}
	p = lead.Post(path, "back", "prepare")
	if p.Path != path {
		t.Errorf("preparing ends at %s", p.Path)
	}
	doc := p.HTML()
	links := doc.Find("main a.button, main ul a")
	for i := range links.Length() {
		if q := lead.Get(links.Eq(i).AttrOr("href", "")); q.Status != http.StatusOK {
			t.Errorf("%s: status %d", links.Eq(i).AttrOr("href", ""), q.Status)
		}
	}
	if links.Length() < 6 {
		t.Errorf("%d links", links.Length())
	}
	doc.Find(".noprint, header, script").Remove()
	paper := doc.Find("main").Text()
	for _, name := range []string{servertest.NameA, servertest.NameB, servertest.CanaryTitle,
		servertest.CanaryHypothesis} {
		if strings.Contains(paper, name) {
			t.Errorf("the paper says %q", name)
		}
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	plan, err := stored.FixedPlan()
	f.Must(err)
	if got := doc.Find("tbody td.num").First().Text(); got != strconv.Itoa(len(plan.Servings)) ||
		!strings.Contains(paper, servertest.CanaryDishTitle) {
		t.Errorf("%s portions of %d servings: %s", got, len(plan.Servings), paper)
	}
}

// TestSettingsSayWhatTheServiceDoes: the address that phones get, and whether backups are made.
func TestSettingsSayWhatTheServiceDoes(t *testing.T) {
	for _, backups := range []string{"", "/var/backups"} {
		f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, Backups: backups, BackupKeep: 14})
		want := backups
		if want == "" {
			want = "None are made by themselves"
		}
		page := f.Lead().Get("/password").HTML().Find("main").Text()
		if !strings.Contains(page, want) || !strings.Contains(page, f.Web.URL) ||
			!strings.Contains(page, "As long as their study") {
			t.Errorf("the settings say %s", page)
		}
	}
	for days, want := range map[int]string{1: "For one day after", 90: "For 90 days after"} {
		f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, ForgetAfter: days})
		if page := f.Lead().Get("/password").HTML().Find("main").Text(); !strings.Contains(page, want) {
			t.Errorf("guests forgotten after %d days: the settings say %s", days, page)
		}
	}
}

// TestSettingsSayWhenStudiesAreDeleted: after how many days, and what stays, in words of every language.
func TestSettingsSayWhenStudiesAreDeleted(t *testing.T) {
	for drop, want := range map[bool]string{false: "What it found stays in the record", true: "Nothing of it stays"} {
		f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, DeleteAfter: 400,
			DropVerdicts: drop})
		if page := f.Lead().Get("/password").HTML().Find("main").Text(); !strings.Contains(page, want) ||
			!strings.Contains(page, "came from another service: 400;") {
			t.Errorf("verdicts dropped %t: the settings say %s", drop, page)
		}
	}
}

// TestAPhoneSeesWhetherItReaches: the page says nothing of any study, and whether the
// connection is encrypted.
func TestAPhoneSeesWhetherItReaches(t *testing.T) {
	f := servertest.New(t)
	f.InState(servertest.Custard, panel.Locked)
	p := f.Visitor().Get("/reach")
	if text := p.HTML().Find("main").Text(); p.Status != http.StatusOK || !strings.Contains(text, "computer itself") ||
		strings.Contains(p.All(), servertest.CanaryTitle) || strings.Contains(p.All(), servertest.NameA) {
		t.Errorf("status %d: %s", p.Status, text)
	}
}
