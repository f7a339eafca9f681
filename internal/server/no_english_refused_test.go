package server_test

import (
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNoEnglishIsLeftInRefusals sends the forms of lead's pages with values that none of their fields takes, in
// German, of a study in French: what comes back says no English, and each line of its summary leads to a field
// that is there.
func TestNoEnglishIsLeftInRefusals(t *testing.T) {
	f := servertest.New(t)
	draft := f.Uploaded(frenchCustard)
	locked, _ := f.InState(frenchCustard, panel.Locked)
	v := f.Lead()
	v.HTTP.Transport = servertest.Asks("de")
	left, seen, refused := englishAlone(t), map[string]bool{}, 0
	look := func(p servertest.Page) {
		doc := p.HTML()
		summary := doc.Find(".problems")
		if summary.Length() == 0 {
			return
		}
		refused++
		left.none(t, p, seen, ofTheCustard...)
		summary.Find("a[href^='#']").Each(func(_ int, a *goquery.Selection) {
			if to := a.AttrOr("href", "")[1:]; doc.Find("[id='"+to+"']").Length() == 0 {
				t.Errorf("%s: the summary leads to %s, which is not there", p.Path, to)
			}
		})
	}
	at := "/studies/" + string(draft)
	paths := []string{"/studies/new", "/studies/new?all=yes", "/password", "/people",
		"/studies/" + string(locked) + "/amend"}
	for _, step := range servertest.BuilderSteps {
		paths = append(paths, at+"/edit/"+step)
	}
	for _, screen := range []string{"names", "plate", "contains", "first", "change", "guests"} {
		paths = append(paths, at+"/quick/"+screen)
	}
	for _, path := range paths {
		for _, bad := range []string{"", "keine Zahl", "-1", strings.Repeat("zu lang ", 300)} {
			for _, x := range formsOn(v, v.Get(path)) {
				for name := range x.values {
					x.values[name] = []string{bad}
				}
				look(v.Post(x.action, pairsOf(x.values)...))
			}
		}
	}
	look(v.Upload("", ""))
	look(v.Upload("", "cloche: 1\ntitle: [3]\ndishes: nichts\n"))
	look(v.Send("/studies/record/join", "x.zip", "kein ZIP", "house", "Das Haus im Wald"))
	look(v.Send("/studies/record/join", "x.zip", "kein ZIP", "house", ""))
	if refused < 20 {
		t.Errorf("only %d forms were refused with a summary", refused)
	}
}

func pairsOf(values url.Values) (pairs []string) {
	for name, all := range values {
		pairs = append(pairs, name, all[0])
	}
	return pairs
}
