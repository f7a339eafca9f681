package phones_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNamesAreReadBeforeTasting takes a phone without scripts through a ballot whose
// names are read first, and reads every byte that it is given.
func TestNamesAreReadBeforeTasting(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Expecting, panel.Open)
	w := &servertest.Watched{Visitor: f.Visitor()}
	p := w.Get("/join/" + string(join))
	p = w.Post("/join/"+string(join)+"/consent", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""))
	ballot := p.Path
	if text := p.HTML().Find("main").Text(); !strings.Contains(text, "First you read 2 names") ||
		!strings.Contains(text, "There are 2 servings") {
		t.Errorf("instructions: %s", text)
	}
	p = w.Post(ballot + "/start")
	first := p.HTML().Find(".name").Text()
	second := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[first]
	if got := p.HTML().Find("h1").Text(); second == "" || got != "Before you taste: name 1 of 2" ||
		!strings.Contains(p.HTML().Find(".expect").Text(), "what do you expect") {
		t.Fatalf("the first name: %s: %q", got, first)
	}
	held := w.Get(ballot + "/ahead")
	w.Get(ballot + "/offline")
	if strings.Contains(held.Body, `"box":`) || !strings.Contains(held.Body, first) {
		t.Errorf("the phone holds %s, want the name that it shows and no serving", held.Body)
	}
	action := p.HTML().Find("form").AttrOr("action", "")
	p = w.Post(action, "a1", "no number", "a2", "5")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find(".problems").Length() != 1 ||
		p.HTML().Find("h1").Text() != "Before you taste: name 1 of 2" {
		t.Errorf("a wrong answer leads to %d: %s", p.Status, p.HTML().Find("main").Text())
	}
	w.Reads(append(servertest.Canaries, second)...)
	p = w.Post(action, "a1", "81", "a2", "5")
	if got := p.HTML().Find(".name").Text(); got != second {
		t.Fatalf("the second name is %q, want %q", got, second)
	}
	p = w.Get(ballot + "/change")
	if got := p.HTML().Find("#a1").AttrOr("value", ""); got != "81" ||
		p.HTML().Find("h1").Text() != "Before you taste: name 1 of 2" {
		t.Errorf("to change: %q under %q", got, p.HTML().Find("h1").Text())
	}
	p = w.Post(action, "id", "another-submission", "a1", "82", "a2", "5", "change", "yes")
	stored2(w, ballot)
	w.Reads(codesOf(f, id)...) // no plate's code before a plate
	p = w.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "20", "a2", "5")
	if got := p.HTML().Find("h1").Text(); !strings.HasPrefix(got, "Serving 1 of 2") {
		t.Fatalf("after the names: %s", got)
	}
	for range 2 {
		p = w.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
	}
	if got := p.HTML().Find("h1").Text(); got != "Thank you" {
		t.Errorf("the end says %q", got)
	}
	w.Reads(servertest.Canaries...)
}

// stored2 asks for what a phone may store while it shows the last name.
func stored2(w *servertest.Watched, ballot string) {
	w.T.Helper()
	if p := w.Get(ballot + "/ahead"); strings.Count(p.Body, `"box":`) != 2 {
		w.T.Errorf("at the last name the phone holds %d sealed servings, want both", strings.Count(p.Body, `"box":`))
	}
}

// codesOf returns every code of a study's plates as the wire would carry it.
func codesOf(f *servertest.Fixture, id panel.StudyID) (codes []string) {
	f.T.Helper()
	by, err := f.Svc.Session(f.T.Context(), f.StaffToken(id, panel.RoleKitchen))
	f.Must(err)
	sheet, err := f.Svc.KitchenSheet(f.T.Context(), by)
	f.Must(err)
	for _, w := range sheet.Waves {
		for _, p := range w.Plates {
			codes = append(codes, fmt.Sprintf(`"code":"%s"`, p.Code), fmt.Sprintf(">%s<", p.Code))
		}
	}
	return codes
}
