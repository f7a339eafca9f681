package server_test

import (
	"net/http"
	"strings"
	"testing"
)

// TestBuilderStaysWhereSomethingIsJustMissing: “Save and continue” with a new dish
// stays on the page, says what the dish lacks, and goes on when asked again.
func TestBuilderStaysWhereSomethingIsJustMissing(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	_, edit := f.drafted(custard)
	p := lead.send(edit+"dishes", fillIn(formOf(lead.get(edit+"dishes")), "add dishes", "A second custard"), "next")
	if p.path != edit+"dishes" {
		t.Fatalf("went on to %s", p.path)
	}
	missing := p.html().Find(`.problems`)
	if !strings.Contains(missing.Text(), "allergens") || missing.Find(`a[href="#dishes-1-allergens"]`).Length() == 0 {
		t.Errorf("the page says %q", missing.Text())
	}
	if to := missing.Find("p a").AttrOr("href", ""); to != edit+"names" {
		t.Errorf("going on anyway leads to %q", to)
	}
	if p = lead.send(edit+"dishes", formOf(p), "next"); p.path != edit+"names" {
		t.Errorf("the second time it leads to %s", p.path)
	}
}

// TestBuilderTakesDegreesAsTyped: people write degrees in many ways.
func TestBuilderTakesDegreesAsTyped(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	for typed, want := range map[string]float64{"12": 12, "12 C": 12, "12c": 12, "12 °C": 12, "12,5 C": 12.5, "-18 ° C": -18, "60 degrees C": 60} {
		id, _ := f.drafted(custard)
		a := f.builds(lead, id, "dishes", "save", "dishes[0].serve at", typed)
		if got := a.Dishes[0].ServeAt; got != want {
			t.Errorf("%q is read as %v °C, want %v", typed, got, want)
		}
	}
}

// TestNoneOfTheAllergensAndOne cannot both be so; neither is guessed to be the slip.
func TestNoneOfTheAllergensAndOne(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	id, edit := f.drafted(custard)
	form := formOf(lead.get(edit + "dishes"))
	form["dishes[0].allergens"] = []string{"", "mustard", "none of the 14"}
	p := lead.send(edit+"dishes", form, "save")
	if p.status != http.StatusUnprocessableEntity || p.html().Find("#dishes-0-allergens-wrong").Length()+p.html().Find(`.problems a[href="#dishes-0-allergens"]`).Length() == 0 {
		t.Errorf("status %d without a problem at the allergens", p.status)
	}
	for _, value := range []string{"mustard", "none of the 14"} {
		if _, checked := p.html().Find(`[name="dishes[0].allergens"][value="` + value + `"]`).Attr("checked"); !checked {
			t.Errorf("%s is not ticked any more", value)
		}
	}
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if kept.File != custard {
		t.Error("something was saved")
	}
}
