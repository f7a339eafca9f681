package builder_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// newcomer goes through quick start and counts what it takes: screens, taps (one to get
// into a field, to tick a box, to press a button; none to type) and words on the screens.
type newcomer struct {
	*servertest.Visitor
	page                 servertest.Page
	screens, taps, words int
	by                   []string // words by screen
}

// seen are the words that a page shows before anything on it is unfolded.
func seen(p servertest.Page) int {
	main := p.HTML().Find("main")
	main.Find("script, .unseen, button[aria-hidden=true], details:not([open]) > :not(summary)").Remove()
	return len(strings.Fields(main.Text()))
}

func (n *newcomer) open(p servertest.Page) {
	n.T.Helper()
	if p.Status != http.StatusOK || p.HTML().Find(".problems").Length() > 0 {
		n.T.Fatalf("%s: status %d, %s", p.Path, p.Status, p.HTML().Find(".problems").Text())
	}
	n.page = p
	n.screens++
	n.words += seen(p)
	n.by = append(n.by, fmt.Sprintf("%s %d", p.Path[strings.LastIndex(p.Path, "/")+1:], seen(p)))
}

// answer fills the fields of a screen and presses its one main button.
func (n *newcomer) answer(pairs ...string) {
	n.T.Helper()
	form := formOf(n.page)
	for i := 0; i+1 < len(pairs); i += 2 {
		n.taps += len(strings.Split(strings.TrimPrefix(pairs[i+1], "|"), "|"))
	}
	if main := n.page.HTML().Find("main button.next"); main.Length() != 1 {
		n.T.Fatalf("%s has %d main actions", n.page.Path, main.Length())
	}
	n.taps++
	n.open(send(n.Visitor, n.page.Path, fillIn(form, pairs...), "next"))
}

// begin starts from the list of studies.
func (n *newcomer) begin(question string) {
	n.open(n.Get("/studies/new"))
	n.taps++
	n.open(n.Post("/studies", "quick", question))
}

// lock presses the button at the end of the page of all answers.
func (n *newcomer) lock() panel.StudyID {
	n.T.Helper()
	form := n.page.HTML().Find("form[action$=lock]")
	if form.Length() != 1 || !strings.HasSuffix(n.page.Path, "/quick/check") {
		n.T.Fatalf("no lock at %s: %s", n.page.Path, n.page.HTML().Find("main").Text())
	}
	n.taps++
	n.Post(form.AttrOr("action", ""), "quick", "yes", "revision",
		form.Find("input[name=revision]").AttrOr("value", ""))
	return panel.StudyID(strings.Split(n.page.Path, "/")[2])
}

// within holds the road to what a busy chef gives it.
func (n *newcomer) within(most int) {
	n.T.Helper()
	n.T.Logf("%d screens, %d taps, %d words: %v", n.screens, n.taps, n.words, n.by)
	if n.screens > 10 || n.taps > 60 || n.words > most {
		n.T.Errorf("%d screens, %d taps, %d words; at most 10, 60 and %d", n.screens, n.taps, n.words, most)
	}
}

// TestQuickStartOfNames goes from the hunch that a name changes a dish to a locked study.
func TestQuickStartOfNames(t *testing.T) {
	f := servertest.New(t)
	n := newcomer{Visitor: f.Lead()}
	n.begin("name")
	n.answer("names[0].text", servertest.NameA, "names[1].text", servertest.NameB)
	n.answer("dishes[0].title", "Warm celeriac custard", "dishes[0].portion", "60 g", "dishes[0].serve at", "55")
	n.answer("dishes[0].allergens", "|eggs|milk|celery")
	n.answer("decides", "saltiness")
	n.answer("also", "|liking")
	n.answer("analysis.smallest effect", "10")
	n.answer("panel.assessors", "24", "analysis.stop by", "2026-12-05")
	if words := n.page.HTML().Find(".pilot").Text(); !strings.Contains(words, "pilot") {
		t.Errorf("24 guests for 10 points: no word of a pilot in %s", n.page.HTML().Find("main").Text())
	}
	id := n.lock()
	n.within(400)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.State != panel.Locked {
		t.Fatalf("the study is %s\n%s", stored.State, stored.File)
	}
	a := stored.Spec
	d := a.Dishes[0]
	if d.Title != "Warm celeriac custard" || d.Portion != "60 g" || d.ServeAt != 55 || len(d.Allergens) != 3 {
		t.Errorf("the dish is %+v", d)
	}
	if a.NameText("A") != servertest.NameA || a.NameText("B") != servertest.NameB || len(a.Samples) != 2 ||
		a.Plan.Compare != [2]study.SampleID{"A", "B"} || a.Plan.Attribute != "saltiness" ||
		a.Plan.SmallestEffect != 10 || len(a.Attributes) != 2 || a.Attributes[0].ID != "saltiness" ||
		a.Panel.Assessors != 24 {
		t.Errorf("%+v, plan %+v", a, a.Plan)
	}
	if want := fmt.Sprintf("Does it taste different as “%s” or “%s”?", servertest.NameA,
		servertest.NameB); a.Title != want {
		t.Errorf("the title is %q, want %q", a.Title, want)
	}
}

// TestQuickStartOfDishes does the same for dishes: one of two is chosen, or several are rated.
func TestQuickStartOfDishes(t *testing.T) {
	for _, tc := range []struct {
		question, title string
		dishes          []string
		rated           bool
		test            study.Test
	}{
		{question: "prefer", title: "Which do they like better: plain or browned butter?", dishes: []string{"plain",
			"browned butter"}},
		{question: "rule", title: "Do they taste different: rested or fresh?", dishes: []string{"rested", "fresh"},
			rated: true, test: study.PairedT},
		{question: "differ", title: "Do they taste different: one, two or three?", dishes: []string{"one", "two",
			"three"},
			rated: true, test: study.MixedF},
	} {
		t.Run(tc.question, func(t *testing.T) {
			f := servertest.New(t)
			n := newcomer{Visitor: f.Lead()}
			n.begin(tc.question)
			var named, held []string
			for i, d := range tc.dishes {
				named = append(named, fmt.Sprintf("dishes[%d].title", i), d)
				held = append(held, fmt.Sprintf("dishes[%d].allergens", i), "|eggs|milk")
			}
			n.answer(named...)
			n.answer("dishes[0].portion", "60 g", "dishes[0].serve at", "55")
			n.answer(held...)
			if tc.rated {
				n.answer("decides", "liking")
				n.answer()
			}
			n.answer()
			n.answer("panel.assessors", "36")
			id := n.lock()
			n.within(400 + 50*max(0, len(tc.dishes)-2)) // each more has a list of allergens
			stored, err := f.Svc.Study(t.Context(), id)
			f.Must(err)
			a := stored.Spec
			if stored.State != panel.Locked || a.Title != tc.title || len(a.Samples) != len(tc.dishes) ||
				a.Plan.Test != tc.test {
				t.Errorf("%s, %q, %d samples, %s\n%s", stored.State, a.Title, len(a.Samples), a.Plan.Test, stored.File)
			}
			for _, d := range a.Dishes {
				if d.Portion != "60 g" || d.ServeAt != 55 {
					t.Errorf("%+v", d)
				}
			}
		})
	}
}

// quickDraft begins a study of names and answers its first screen.
func quickDraft(t *testing.T) (*servertest.Fixture, *servertest.Visitor, string) {
	t.Helper()
	f := servertest.New(t)
	lead := f.Lead()
	p := lead.Post("/studies", "quick", "name")
	road := strings.TrimSuffix(p.Path, "names")
	send(lead, p.Path, fillIn(formOf(p), "names[0].text", "one", "names[1].text", "two"), "next")
	return f, lead, road
}

// TestQuickStartLosesNothing: what was typed is kept with Back, with something missing, and
// with something wrong, and the summary leads to the field.
func TestQuickStartLosesNothing(t *testing.T) {
	_, lead, road := quickDraft(t)
	form := func(pairs ...string) url.Values { return fillIn(formOf(lead.Get(road+"plate")), pairs...) }
	if p := send(lead, road+"plate", form("dishes[0].portion", "60 g"), "back"); p.Path != road+"names" {
		t.Fatalf("Back ends at %s", p.Path)
	}
	p := send(lead, road+"plate", form("dishes[0].serve at", "hot"), "next")
	doc := p.HTML()
	if p.Path != road+"plate" || doc.Find("#dishes-0-portion").AttrOr("value", "") != "60 g" ||
		doc.Find("#dishes-0-serve_at").AttrOr("value", "") != "hot" {
		t.Fatalf("at %s stand %q and %q", p.Path, doc.Find("#dishes-0-portion").AttrOr("value", ""),
			doc.Find("#dishes-0-serve_at").AttrOr("value", ""))
	}
	for _, id := range []string{"dishes-0-title", "dishes-0-serve_at"} {
		if doc.Find(`.problems a[href="#`+id+`"]`).Length() != 1 || doc.Find("#"+id+"-wrong").Length() != 1 {
			t.Errorf("%s: %s", id, doc.Find("main").Text())
		}
	}
	if doc.Find(".problems a").Length() != 2 {
		t.Errorf("problems: %s", doc.Find(".problems").Text())
	}
	p = send(lead, road+"first", fillIn(formOf(lead.Get(road+"first")), "decides", "saltiness", "own",
		"How smoky is it?"), "next")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find("#own").AttrOr("value", "") != "How smoky is it?" {
		t.Errorf("both a term and own words: status %d", p.Status)
	}
}

// TestQuickStartChangesItsMind: another attribute takes the place of the first, a third name
// makes all of them decide, and the page of all answers comes back after each change.
func TestQuickStartChangesItsMind(t *testing.T) {
	f, lead, road := quickDraft(t)
	send(lead, road+"plate", fillIn(formOf(lead.Get(road+"plate")), "dishes[0].title", "custard", "dishes[0].portion",
		"60 g", "dishes[0].serve at", "55 °C"), "next")
	send(lead, road+"contains", fillIn(formOf(lead.Get(road+"contains")), "dishes[0].allergens", "|milk"), "next")
	change := func(name string, pairs ...string) {
		t.Helper()
		p := send(lead, road+name, fillIn(formOf(lead.Get(road+name+"?from=check")), pairs...), "next")
		if p.Path != road+"check" {
			t.Fatalf("%s leads to %s: %s", name, p.Path, p.HTML().Find(".problems").Text())
		}
	}
	read := func() *study.Study {
		stored, err := f.Svc.Study(t.Context(), panel.StudyID(strings.Split(road, "/")[2]))
		f.Must(err)
		return stored.Spec
	}
	change("first", "decides", "saltiness")
	change("change", "analysis.smallest effect", "10")
	change("also", "also", "|liking|sweetness")
	change("first", "decides", "sweetness")
	if a := read(); len(a.Attributes) != 2 || a.Attributes[0].ID != "sweetness" || a.Plan.Attribute != "sweetness" ||
		a.Plan.SmallestEffect != 0 {
		t.Errorf("attributes %+v, plan %+v", a.Attributes, a.Plan)
	}
	change("first", "decides", "own words", "own", "How smoky is it?")
	if a := read(); len(a.Attributes) != 2 || a.Attributes[0].Ask != "How smoky is it?" ||
		a.Plan.Attribute != a.Attributes[0].ID {
		t.Errorf("attributes %+v, plan %+v", a.Attributes, a.Plan)
	}
	change("names", "names[2].text", "three")
	if a := read(); len(a.Samples) != 3 || !a.Plan.WholePanel || a.Plan.Test != study.MixedF ||
		!strings.HasSuffix(a.Title, "“two” or “three”?") {
		t.Errorf("samples %+v, plan %+v, %q", a.Samples, a.Plan, a.Title)
	}
	change("names", "names[2].text", "")
	if a := read(); len(a.Samples) != 2 || len(a.Names) != 2 || a.Plan.Compare != [2]study.SampleID{"A", "B"} ||
		a.Plan.Test != study.PairedT {
		t.Errorf("samples %+v, plan %+v", a.Samples, a.Plan)
	}
	change("plate", "dishes[0].portion", "two spoonfuls")
	if got := lead.Get(road + "check").HTML().Find(".answers").Text(); !strings.Contains(got, "two spoonfuls") {
		t.Errorf("the answers are %s", got)
	}
}

// TestQuickStartOfAlcohol asks for the age only where there is alcohol.
func TestQuickStartOfAlcohol(t *testing.T) {
	_, lead, road := quickDraft(t)
	p := send(lead, road+"plate", fillIn(formOf(lead.Get(road+"plate")), "dishes[0].title", "punch",
		"dishes[0].portion",
		"60 g", "dishes[0].serve at", "55"), "next")
	p = send(lead, p.Path, fillIn(formOf(p), "dishes[0].allergens", "|none of the 14", "dishes[0].alcohol", "true"),
		"next")
	if p.Path != road+"age" {
		t.Fatalf("after alcohol comes %s", p.Path)
	}
	if p = send(lead, p.Path, formOf(p), "next"); p.Path != road+"age" || p.HTML().Find(".problems a").Length() != 1 {
		t.Errorf("without an age: %s", p.HTML().Find("main").Text())
	}
	if p = send(lead, p.Path, fillIn(formOf(p), "panel.minimum age", "18"), "next"); p.Path != road+"first" {
		t.Errorf("with an age: %s, %s", p.Path, p.HTML().Find(".problems").Text())
	}
}

// TestQuickStartLeavesAnUntouchedFileAlone saves every screen of every study that has them
// as it is shown: nothing changes but a title that was missing.
func TestQuickStartLeavesAnUntouchedFileAlone(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	some := 0
	for name, src := range studyFiles(t) {
		id, edit := f.Drafted(src)
		road := strings.Replace(edit, "/edit/", "/quick/", 1)
		if lead.Get(road+"check").Path != road+"check" {
			continue
		}
		for _, screen := range []string{"names", "dishes", "plate", "contains", "age", "first", "also", "change",
			"guests"} {
			p := lead.Get(road + screen)
			if p.Status == http.StatusNotFound {
				continue
			}
			some++
			send(lead, road+screen, formOf(p), "next")
			if stored, err := f.Svc.Study(t.Context(), id); err != nil || stored.File != src &&
				stored.Spec.Title != "" &&
				!strings.HasPrefix(name, "start/") {
				t.Errorf("%s of %s: %v\n%s", screen, name, err, firstDifference(src, stored.File))
				break
			}
		}
	}
	if some < 20 {
		t.Errorf("%d screens were saved", some)
	}
}

// TestScaleIsDrawnToItsLength: the mark of a change is as long as the change is of the scale.
func TestScaleIsDrawnToItsLength(t *testing.T) {
	_, lead, road := quickDraft(t)
	send(lead, road+"first", fillIn(formOf(lead.Get(road+"first")), "decides", "saltiness"), "next")
	doc := lead.Get(road + "change").HTML()
	for _, points := range []float64{5, 10, 15, 20} {
		svg := doc.Find(fmt.Sprintf("input[value='%g']", points)).Parent().Find("svg")
		var from, to, left, right float64
		at := func(s *goquery.Selection) string { return s.AttrOr("d", "") }
		if _, err := fmt.Sscanf(at(svg.Find(".change")), "M%f 15H%f", &from, &to); err != nil {
			t.Fatal(err)
		}
		if _, err := fmt.Sscanf(at(svg.Find(".axis").First()), "M%f 15H%f", &left, &right); err != nil {
			t.Fatal(err)
		}
		if got := 100 * (to - from) / (right - left); got < points-0.2 || got > points+0.2 {
			t.Errorf("%g points are drawn as %g of 100", points, got)
		}
	}
}
