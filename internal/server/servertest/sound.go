package servertest

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
)

// sound checks what holds for every answer, whatever the page. The visitor of
// the fixture calls it for each.
func sound(t testing.TB, p Page) {
	t.Helper()
	wantHeaders := map[string]string{
		"X-Content-Type-Options": "nosniff",
		"Referrer-Policy":        "same-origin",
	}
	for name, want := range wantHeaders {
		if got := p.Header.Get(name); got != want {
			t.Errorf("%s: header %s = %q, want %q", p.Path, name, got, want)
		}
	}
	policy := p.Header.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'",
		"frame-ancestors 'none'", "base-uri 'none'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("%s: policy %q lacks %q", p.Path, policy, want)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("%s: policy %q allows what is unsafe", p.Path, policy)
	}
	if !strings.HasPrefix(p.Path, "/assets/") || p.Status != http.StatusOK {
		if got := p.Header.Get("Cache-Control"); got != "no-store" {
			t.Errorf("%s: Cache-Control = %q, want no-store", p.Path, got)
		}
	}
	if strings.HasPrefix(p.Header.Get("Content-Type"), "text/html") && strings.Contains(p.Body, "<html") {
		soundHTML(t, p)
	}
}

// misfit is what a sentence shows where a value does not fit it.
var misfit = regexp.MustCompile(`%![a-zA-Z]?\([^)]*\)`)

// soundHTML checks the structure that every page has, for people who cannot see
// it and for the Content-Security-Policy. Source: WCAG 2.2, success criteria
// 1.3.1, 2.4.1, 2.4.2, 3.1.1, 3.3.2 and 4.1.2.
func soundHTML(t testing.TB, p Page) {
	t.Helper()
	doc := p.HTML()
	for what, n := range map[string]int{"html[lang]": 1, "title": 1, "h1": 1, "main#main": 1,
		"a.skip[href='#main']": 1} {
		if got := doc.Find(what).Length(); got != n {
			t.Errorf("%s: %d of %s, want %d", p.Path, got, what, n)
		}
	}
	if found := misfit.FindString(p.Body); found != "" {
		t.Errorf("%s: %q: what is said has no place for what is said of it", p.Path, found)
	}
	if strings.TrimSpace(doc.Find("title").Text()) == "" {
		t.Errorf("%s: the title is empty", p.Path)
	}
	if got := doc.Find("main .next").Length(); got > 1 {
		t.Errorf("%s: %d next actions on one screen, want at most one", p.Path, got)
	}
	if got := doc.Find("[style], style, [onclick], [onload], [onsubmit]").Length(); got > 0 {
		t.Errorf("%s: %d inline styles or handlers, which the policy blocks", p.Path, got)
	}
	doc.Find("script").Each(func(_ int, x *goquery.Selection) {
		if src, ok := x.Attr("src"); !ok && x.AttrOr("type", "") != "application/json" || ok &&
			!strings.HasPrefix(src, "/assets/") {
			t.Errorf("%s: script %q is not an asset", p.Path, src)
		}
	})
	doc.Find("link[href]").Each(func(_ int, x *goquery.Selection) {
		href := x.AttrOr("href", "")
		// a grid in millimetres
		if !strings.HasPrefix(href, "/assets/") && !strings.HasPrefix(href, "/kitchen/labels.css?") {
			t.Errorf("%s: %q is not an asset", p.Path, x.AttrOr("href", ""))
		}
	})
	doc.Find("form").Each(func(_ int, x *goquery.Selection) {
		if !strings.HasPrefix(x.AttrOr("action", ""), "/") || x.AttrOr("method", "") != "post" &&
			x.AttrOr("role", "") != "search" {
			t.Errorf("%s: form to %q with method %q", p.Path, x.AttrOr("action", ""), x.AttrOr("method", ""))
		}
	})
	soundNames(t, p, doc)
	soundReferences(t, p, doc)
}

// soundNames checks that every control has a name.
func soundNames(t testing.TB, p Page, doc *goquery.Document) {
	t.Helper()
	doc.Find("input:not([type=hidden]), textarea, select").Each(func(_ int, x *goquery.Selection) {
		id := x.AttrOr("id", "")
		if doc.Find("label[for='"+id+"']").Length() == 0 && x.Closest("label").Length() == 0 {
			t.Errorf("%s: control %q has no label", p.Path, x.AttrOr("name", ""))
		}
	})
	doc.Find("button, a, summary, legend, th, h1, h2, h3").Each(func(_ int, x *goquery.Selection) {
		corner := goquery.NodeName(x) == "th" && x.Closest(".report").Length() > 0 // of a table of numbers
		if strings.TrimSpace(x.Text()) == "" && x.AttrOr("aria-label", "") == "" && !corner {
			html, _ := goquery.OuterHtml(x)
			t.Errorf("%s: nothing to read in %s", p.Path, html)
		}
	})
	doc.Find("fieldset").Each(func(_ int, x *goquery.Selection) {
		if x.ChildrenFiltered("legend").Length() != 1 {
			t.Errorf("%s: a fieldset without a legend", p.Path)
		}
	})
	doc.Find("svg, img").Each(func(_ int, x *goquery.Selection) {
		if x.AttrOr("aria-hidden", "") != "true" && x.AttrOr("aria-label", "") == "" && x.AttrOr("alt", "") == "" &&
			x.Closest("[aria-hidden=true]").Length() == 0 {
			t.Errorf("%s: a picture without words", p.Path)
		}
	})
}

// soundReferences checks that ids are unique and that what points at one finds it.
func soundReferences(t testing.TB, p Page, doc *goquery.Document) {
	t.Helper()
	ids := map[string]bool{}
	doc.Find("[id]").Each(func(_ int, x *goquery.Selection) {
		id := x.AttrOr("id", "")
		if ids[id] {
			t.Errorf("%s: id %q stands twice", p.Path, id)
		}
		ids[id] = true
	})
	doc.Find("a[href^='#'], [for], [aria-describedby], [aria-labelledby]").Each(func(_ int, x *goquery.Selection) {
		to := x.AttrOr("for", "") + " " + x.AttrOr("aria-describedby", "") + " " + x.AttrOr("aria-labelledby", "")
		if href := x.AttrOr("href", ""); strings.HasPrefix(href, "#") {
			to += " " + href[1:]
		}
		for _, id := range strings.Fields(to) {
			if !ids[id] {
				t.Errorf("%s: nothing has the id %q", p.Path, id)
			}
		}
	})
}
