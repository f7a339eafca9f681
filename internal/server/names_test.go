package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// expecting has its names read and rated before any tasting.
var expecting = strings.Replace(custard, "rinse: 0 s", "rinse: 0 s, expectation: true", 1)

// TestNamesAreReadBeforeTasting takes a phone without scripts through a ballot whose
// names are read first, and reads every byte that it is given.
func TestNamesAreReadBeforeTasting(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(expecting, panel.Open)
	w := &watched{visitor: f.visitor()}
	p := w.get("/join/" + join)
	p = w.post("/join/"+join+"/consent", "nonce", p.html().Find("input[name=nonce]").AttrOr("value", ""))
	ballot := p.path
	if text := p.html().Find("main").Text(); !strings.Contains(text, "First you read 2 names") || !strings.Contains(text, "There are 2 servings") {
		t.Errorf("instructions: %s", text)
	}
	p = w.post(ballot + "/start")
	first := p.html().Find(".name").Text()
	second := map[string]string{nameA: nameB, nameB: nameA}[first]
	if got := p.html().Find("h1").Text(); second == "" || got != "Before you taste: name 1 of 2" || !strings.Contains(p.html().Find(".expect").Text(), "what do you expect") {
		t.Fatalf("the first name: %s: %q", got, first)
	}
	held := w.get(ballot + "/ahead")
	w.get(ballot + "/offline")
	if strings.Contains(held.body, `"box":`) || !strings.Contains(held.body, first) {
		t.Errorf("the phone holds %s, want the name that it shows and no serving", held.body)
	}
	action := p.html().Find("form").AttrOr("action", "")
	p = w.post(action, "a1", "no number", "a2", "5")
	if p.status != http.StatusUnprocessableEntity || p.html().Find(".problems").Length() != 1 || p.html().Find("h1").Text() != "Before you taste: name 1 of 2" {
		t.Errorf("a wrong answer leads to %d: %s", p.status, p.html().Find("main").Text())
	}
	w.reads(append(canaries, second)...)
	p = w.post(action, "a1", "81", "a2", "5")
	if got := p.html().Find(".name").Text(); got != second {
		t.Fatalf("the second name is %q, want %q", got, second)
	}
	p = w.get(ballot + "/change")
	if got := p.html().Find("#a1").AttrOr("value", ""); got != "81" || p.html().Find("h1").Text() != "Before you taste: name 1 of 2" {
		t.Errorf("to change: %q under %q", got, p.html().Find("h1").Text())
	}
	p = w.post(action, "id", "another-submission", "a1", "82", "a2", "5", "change", "yes")
	w.stored2(ballot)
	w.reads(codesOf(f, id)...) // no plate's code before a plate
	p = w.post(p.html().Find("form").AttrOr("action", ""), "a1", "20", "a2", "5")
	if got := p.html().Find("h1").Text(); !strings.HasPrefix(got, "Serving 1 of 2") {
		t.Fatalf("after the names: %s", got)
	}
	for range 2 {
		p = w.post(p.html().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
	}
	if got := p.html().Find("h1").Text(); got != "Thank you" {
		t.Errorf("the end says %q", got)
	}
	w.reads(canaries...)
}

// TestLeadIsToldThatNamesAreReadFirst on the page of a draft.
func TestLeadIsToldThatNamesAreReadFirst(t *testing.T) {
	f := newFixture(t)
	blind := strings.Replace(expecting, "samples:\n", "samples:\n  - {id: blind, dish: canarydish, blind: true}\n", 1)
	for file, warned := range map[string]bool{expecting: false, blind: true} {
		text := f.lead().get("/studies/" + f.uploaded(file)).html().Find("main").Text()
		if !strings.Contains(text, "each reads every name that they will meet") || !strings.Contains(text, "As exploration: what was expected") {
			t.Errorf("the draft does not say that names are read first: %s", text)
		}
		if got := strings.Contains(text, "Blind servings come after that too"); got != warned {
			t.Errorf("a warning that blind servings come after: %t, want %t", got, warned)
		}
	}
}

// stored2 asks for what a phone may store while it shows the last name.
func (w *watched) stored2(ballot string) {
	w.t.Helper()
	if p := w.get(ballot + "/ahead"); strings.Count(p.body, `"box":`) != 2 {
		w.t.Errorf("at the last name the phone holds %d sealed servings, want both", strings.Count(p.body, `"box":`))
	}
}

// codesOf returns every code of a study's plates as the wire would carry it.
func codesOf(f *fixture, id string) (codes []string) {
	f.t.Helper()
	by, err := f.svc.Session(f.t.Context(), f.staffToken(id, panel.RoleKitchen))
	f.must(err)
	sheet, err := f.svc.KitchenSheet(f.t.Context(), by)
	f.must(err)
	for _, w := range sheet.Waves {
		for _, p := range w.Plates {
			codes = append(codes, `"code":"`+p.Code+`"`, ">"+p.Code+"<")
		}
	}
	return codes
}

// staffToken joins a study's first sitting and returns the session's token.
func (f *fixture) staffToken(id string, r panel.Role) string {
	f.t.Helper()
	a := f.staffAccess(id, r)
	token, _, err := f.svc.JoinStaff(f.t.Context(), a.Link, a.Code, "test of names")
	f.must(err)
	return token
}

// TestFloorEntersOrSkipsNames for a guest without a phone.
func TestFloorEntersOrSkipsNames(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(expecting, panel.Open)
	f.began(join, "a-guest-who-reads-names")
	v, kitchen := &watched{visitor: f.staff(id, panel.RoleFloor)}, &watched{visitor: f.staff(id, panel.RoleKitchen)}
	p := v.get("/floor/guest")
	p = v.post("/floor/guest", "nonce", p.html().Find("input[name=nonce]").AttrOr("value", ""), "allergens", "yes", "consent", "yes")
	seat := p.path
	if got := p.html().Find(".acts .next").Text(); got != "Enter what the guest expects" {
		t.Fatalf("a seated guest: %s", p.html().Find("main").Text())
	}
	room := v.get("/floor").html()
	if got := room.Find(".seat").Text(); !strings.Contains(got, "name 1 of 2 to read aloud") || room.Find(".seat").Length() != 1 {
		t.Errorf("the list shows %q, want the guest for whom staff read", got)
	}
	if all := v.get("/floor?show=all").html().Find(".seats").Text(); !strings.Contains(all, "reads name 1 of 2") {
		t.Errorf("every seat: %s", all)
	}
	kitchen.get("/kitchen")
	kitchen.get("/kitchen/plating")
	kitchen.get("/kitchen/labels")
	kitchen.reads(nameA, nameB, canaryNameID)
	v.reads(append(canaries, nameA, nameB)...)

	p = v.get(p.html().Find(".acts .next").AttrOr("href", ""))
	if got := p.html().Find("h1").Text(); !strings.Contains(got, "before tasting: name 1 of 2") || p.html().Find(".code").Length() != 0 {
		t.Errorf("the form says %q", got)
	}
	form := p.html().Find("form")
	p = v.post(form.AttrOr("action", ""), "nonce", form.Find("input[name=nonce]").AttrOr("value", ""), "a1", "71", "a2", "4")
	if p.path != seat || !strings.Contains(p.html().Find("main").Text(), "name 2 of 2 to read aloud") {
		t.Errorf("after the first name: %s", p.html().Find("main").Text())
	}
	p = v.post(actionEnding(p, "/refused"))
	if p.html().Find(".plate .code").Length() != 1 || !strings.Contains(p.html().Find(".told").Text(), "Noted") {
		t.Errorf("after the second was skipped: %s", p.html().Find("main").Text())
	}
	v.reads(canaries...)

	lead := &watched{visitor: f.lead()}
	for _, path := range []string{"", "/board", "/log", "/screen"} {
		lead.get("/studies/" + id + path)
	}
	if !strings.Contains(lead.seen.String(), "1 reading names") {
		t.Error("the board does not say that somebody reads names")
	}
}
