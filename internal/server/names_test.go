package server_test

import (
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

// TestLeadIsToldThatNamesAreReadFirst on the page of a draft.
func TestLeadIsToldThatNamesAreReadFirst(t *testing.T) {
	f := servertest.New(t)
	blind := strings.Replace(servertest.Expecting, "samples:\n",
		"samples:\n  - {id: blind, dish: canarydish, blind: true}\n", 1)
	for file, warned := range map[string]bool{servertest.Expecting: false, blind: true} {
		text := f.Lead().Get("/studies/" + string(f.Uploaded(file))).HTML().Find("main").Text()
		if !strings.Contains(text, "each reads every name that they will meet") ||
			!strings.Contains(text, "As exploration: what was expected") {
			t.Errorf("the draft does not say that names are read first: %s", text)
		}
		if got := strings.Contains(text, "Blind servings come after that too"); got != warned {
			t.Errorf("a warning that blind servings come after: %t, want %t", got, warned)
		}
	}
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
			codes = append(codes, `"code":"`+p.Code+`"`, ">"+p.Code+"<")
		}
	}
	return codes
}

// TestFloorEntersOrSkipsNames for a guest without a phone.
func TestFloorEntersOrSkipsNames(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Expecting, panel.Open)
	f.Began(join, "a-guest-who-reads-names")
	v, kitchen := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)},
		&servertest.Watched{Visitor: f.Staff(id, panel.RoleKitchen)}
	p := v.Get("/floor/guest")
	p = v.Post("/floor/guest", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""), "allergens", "yes",
		"consent", "yes")
	seat := p.Path
	if got := p.HTML().Find(".acts .next").Text(); got != "Enter what the guest expects" {
		t.Fatalf("a seated guest: %s", p.HTML().Find("main").Text())
	}
	room := v.Get("/floor").HTML()
	if got := room.Find(".seat").Text(); !strings.Contains(got, "name 1 of 2 to read aloud") ||
		room.Find(".seat").Length() != 1 {
		t.Errorf("the list shows %q, want the guest for whom staff read", got)
	}
	if all := v.Get("/floor?show=all").HTML().Find(".seats").Text(); !strings.Contains(all, "reads name 1 of 2") {
		t.Errorf("every seat: %s", all)
	}
	kitchen.Get("/kitchen")
	kitchen.Get("/kitchen/plating")
	kitchen.Get("/kitchen/labels")
	kitchen.Reads(servertest.NameA, servertest.NameB, servertest.CanaryNameID)
	v.Reads(append(servertest.Canaries, servertest.NameA, servertest.NameB)...)

	p = v.Get(p.HTML().Find(".acts .next").AttrOr("href", ""))
	if got := p.HTML().Find("h1").Text(); !strings.Contains(got, "before tasting: name 1 of 2") ||
		p.HTML().Find(".code").Length() != 0 {
		t.Errorf("the form says %q", got)
	}
	form := p.HTML().Find("form")
	p = v.Post(form.AttrOr("action", ""), "nonce", form.Find("input[name=nonce]").AttrOr("value", ""), "a1", "71", "a2",
		"4")
	if p.Path != seat || !strings.Contains(p.HTML().Find("main").Text(), "name 2 of 2 to read aloud") {
		t.Errorf("after the first name: %s", p.HTML().Find("main").Text())
	}
	p = v.Post(servertest.ActionEnding(p, "/refused"))
	if p.HTML().Find(".plate .code").Length() != 1 || !strings.Contains(p.HTML().Find(".told").Text(), "Noted") {
		t.Errorf("after the second was skipped: %s", p.HTML().Find("main").Text())
	}
	v.Reads(servertest.Canaries...)

	lead := &servertest.Watched{Visitor: f.Lead()}
	for _, path := range []string{"", "/board", "/log", "/screen"} {
		lead.Get("/studies/" + string(id) + path)
	}
	if !strings.Contains(lead.Seen.String(), "1 reading names") {
		t.Error("the board does not say that somebody reads names")
	}
}
