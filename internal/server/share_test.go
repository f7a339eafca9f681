package server_test

import (
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// answered is a study that two guests have answered and that is closed.
func answered(f *servertest.Fixture) panel.StudyID {
	id, join := f.InState(servertest.Custard, panel.Open)
	for i, salt := range []string{"20", "30"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, []string{"70", "60"}[i])
	}
	f.Must(f.Svc.Close(f.T.Context(), servertest.ByLead, id))
	return id
}

// linkOn is the link of the shared report that the lead's page shows, without its host.
func linkOn(doc *goquery.Document) string {
	_, path, _ := strings.Cut(strings.TrimSpace(doc.Find("#share .link").Text()), "/report/")
	return "/report/" + path
}

// TestSharedReportByItsLink: whoever has the link reads the lead's report in one page that
// asks for nothing; it ends by its day, by being taken back and by being made anew.
func TestSharedReportByItsLink(t *testing.T) {
	f := servertest.New(t)
	id := answered(f)
	lead, stranger, page := f.Lead(), f.Visitor(), "/studies/"+string(id)
	if n := lead.Get(page).HTML().Find("#share .link").Length(); n != 0 {
		t.Fatal("a report is shared that nobody shared")
	}
	lead.Post(page+"/share", "days", "3")
	link := linkOn(lead.Get(page).HTML())
	if n := f.Partner().Get(page).HTML().Find("#share").Length(); n != 0 {
		t.Error("the partner can share the report")
	}
	got, body := fetched(t, f, link)
	if got.StatusCode != http.StatusOK || got.Header.Get("X-Robots-Tag") != "noindex" ||
		got.Header.Get("Cache-Control") != "no-store" || got.Header.Get("Referrer-Policy") != "no-referrer" {
		t.Fatalf("status %d, headers %v", got.StatusCode, got.Header)
	}
	said, err := goquery.NewDocumentFromReader(strings.NewReader(body))
	f.Must(err)
	mine := lead.Get(page).HTML()
	if a, b := said.Find(".report").Text(), mine.Find(".report").Text(); a != b || len(a) < 500 {
		t.Errorf("the shared report is another one: %d and %d letters", len(a), len(b))
	}
	if n := said.Find("link, img, iframe, form, script[src], a[href^='/'], a[href^='http']").Length(); n != 0 {
		t.Errorf("%d elements of the shared report lead elsewhere", n)
	}
	for _, other := range []string{link + "x", strings.Replace(link, string(id), "another", 1)} {
		gone(t, stranger, "never made", other)
	}
	f.Clock.Pass(time.Minute)
	lead.Post(page+"/share", "days", "5")
	gone(t, stranger, "made anew", link)
	link = linkOn(lead.Get(page).HTML())
	f.Clock.Pass(5*24*time.Hour - time.Second)
	if got, _ := fetched(t, f, link); got.StatusCode != http.StatusOK {
		t.Errorf("a second before its end: %d", got.StatusCode)
	}
	f.Clock.Pass(time.Second)
	gone(t, stranger, "ended", link)
	lead = f.Lead()
	if n := lead.Get(page).HTML().Find("#share .link").Length(); n != 0 {
		t.Error("a link that has ended is shown")
	}
	lead.Post(page+"/share", "days", "5")
	link = linkOn(lead.Get(page).HTML())
	lead.Post(page + "/share/end")
	gone(t, stranger, "taken back", link)
}

// fetched is what anybody gets under a path: the report is a page of its own, so that what
// holds for the pages of the service does not hold for it.
func fetched(t *testing.T, f *servertest.Fixture, path string) (*http.Response, string) {
	t.Helper()
	got, err := http.Get(f.Web.URL + path)
	f.Must(err)
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	f.Must(err)
	return got, string(body)
}

func gone(t *testing.T, v *servertest.Visitor, what, link string) {
	t.Helper()
	got := v.First("GET", link)
	if got.Status != http.StatusNotFound {
		t.Errorf("the link that was %s: %d", what, got.Status)
	}
	if said := got.HTML().Find("main").Text(); !strings.Contains(said, "Ask whoever sent you the link") {
		t.Errorf("who opens the link that was %s reads %q", what, said)
	}
}

// TestResultCard: the page and both pictures say the report's sentence, and whose house it is.
func TestResultCard(t *testing.T) {
	f := servertest.New(t)
	id := answered(f)
	lead, page := f.Lead(), "/studies/"+string(id)
	first := strings.TrimSpace(lead.Get(page).HTML().Find(".report-first").Text())
	const house = "Zur Rübe & Söhne"
	doc := lead.Get(page + "/card?house=Zur+R%C3%BCbe+%26+S%C3%B6hne").HTML()
	if got := strings.TrimSpace(doc.Find(".report-first").Text()); got != first || first == "" {
		t.Errorf("the card says %q, the report %q", got, first)
	}
	foot := doc.Find(".report-foot").Text()
	if !strings.Contains(foot, house) || !strings.Contains(foot, "2 people") {
		t.Errorf("the foot says %q", foot)
	}
	picture, _ := doc.Find("a[href*='card.svg']").Attr("href")
	svg := lead.First("GET", picture)
	said, err := goquery.NewDocumentFromReader(strings.NewReader(svg.Body))
	f.Must(err)
	words := strings.Join(said.Find("text").Map(func(_ int, x *goquery.Selection) string { return x.Text() }), " ")
	if !strings.Contains(words, first) || !strings.Contains(words, house) {
		t.Errorf("the picture says %q", words)
	}
	if kind := svg.Header.Get("Content-Type"); kind != "image/svg+xml" {
		t.Errorf("the picture is %q", kind)
	}
	figure, _ := lead.Get(page).HTML().Find("a[href$='/figures/differences.svg']").Attr("href")
	if still := lead.First("GET", figure); !strings.Contains(still.Body, "How far each person moved") {
		t.Errorf("the figure %q is no picture: %d", figure, still.Status)
	}
	png := lead.First("GET", page+"/card.png")
	if !strings.HasPrefix(png.Body, "\x89PNG") || png.Header.Get("Content-Type") != "image/png" {
		t.Errorf("the other picture is %q, %.8q", png.Header.Get("Content-Type"), png.Body)
	}
}
