package builder_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestBuilderStaysWhereSomethingIsJustMissing: “Save and continue” with a new dish
// stays on the page, says what the dish lacks, and goes on when asked again.
func TestBuilderStaysWhereSomethingIsJustMissing(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(servertest.Custard)
	p := send(lead, edit+"dishes", fillIn(formOf(lead.Get(edit+"dishes")), "add dishes", "A second custard"), "next")
	if p.Path != edit+"dishes" {
		t.Fatalf("went on to %s", p.Path)
	}
	missing := p.HTML().Find(`.problems`)
	if !strings.Contains(missing.Text(), "allergens") || missing.Find(`a[href="#dishes-1-allergens"]`).Length() == 0 {
		t.Errorf("the page says %q", missing.Text())
	}
	if to := missing.Find("p a").AttrOr("href", ""); to != edit+"names" {
		t.Errorf("going on anyway leads to %q", to)
	}
	if p = send(lead, edit+"dishes", formOf(p), "next"); p.Path != edit+"names" {
		t.Errorf("the second time it leads to %s", p.Path)
	}
}

// TestBuilderTakesDegreesAsTyped: people write degrees in many ways.
func TestBuilderTakesDegreesAsTyped(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for typed, want := range map[string]float64{"12": 12, "12 C": 12, "12c": 12, "12 °C": 12, "12,5 C": 12.5,
		"-18 ° C": -18, "60 degrees C": 60} {
		id, _ := f.Drafted(servertest.Custard)
		a := builds(f, lead, id, "dishes", "save", "dishes[0].serve at", typed)
		if got := a.Dishes[0].ServeAt; got != want {
			t.Errorf("%q is read as %v °C, want %v", typed, got, want)
		}
	}
}

// TestNoneOfTheAllergensAndOne cannot both be so; neither is guessed to be the slip.
func TestNoneOfTheAllergensAndOne(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	form := formOf(lead.Get(edit + "dishes"))
	form["dishes[0].allergens"] = []string{"", "mustard", "none of the 14"}
	p := send(lead, edit+"dishes", form, "save")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find("#dishes-0-allergens-wrong").Length()+
		p.HTML().Find(`.problems a[href="#dishes-0-allergens"]`).Length() == 0 {
		t.Errorf("status %d without a problem at the allergens", p.Status)
	}
	for _, value := range []string{"mustard", "none of the 14"} {
		if _, checked := p.HTML().Find(`[name="dishes[0].allergens"][value="` + value +
			`"]`).Attr("checked"); !checked {
			t.Errorf("%s is not ticked any more", value)
		}
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.File != servertest.Custard {
		t.Error("something was saved")
	}
}
