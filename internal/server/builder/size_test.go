package builder_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/studies"
)

// flat is a text without line breaks and indents.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// A spread of 10 and a difference of 5, two-sided: 34 pairs for 80 % power
// (testdata/reference, sample_size_t.paired, d = 0.5).
func TestSizeStepPlansThePanel(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	p := lead.Get(edit + "size?spread=10")
	doc := p.HTML()
	if got := flat(doc.Find("#answer").Text()); !strings.Contains(got, "34 assessors are needed.") ||
		!strings.Contains(got, "With 12 this is a pilot") {
		t.Errorf("the page says %s", got)
	}
	if got := doc.Find(".curve svg").AttrOr("aria-label", ""); got == "" || doc.Find(".curve polyline").Length() != 1 ||
		doc.Find(".curve .needed, .curve .planned").Length() != 2 {
		t.Errorf("curve %q without a line or without both panels", got)
	}
	if !strings.Contains(doc.Find("#"+doc.Find(".curve svg").AttrOr("aria-describedby", "none")).Text(),
		"It reaches the 80 % wished for with 34.") {
		t.Error("the figure has no words")
	}
	p = send(lead, edit+"size", formOf(p), "plan 34")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if want := strings.Replace(servertest.Custard, "assessors: 12", "assessors: 34", 1); stored.File != want {
		t.Errorf("after “Plan for 34”:\n%s", firstDifference(want, stored.File))
	}
	if p.HTML().Find("#spread").AttrOr("value", "") != "10" || p.HTML().Find("button[value^=plan]").Length() != 0 {
		t.Error("the spread is gone, or 34 is offered again")
	}
}

// More people than the seats hold need more sittings: one button plans both.
func TestSizeStepPlansTheSittings(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(strings.Replace(servertest.Custard, "{assessors: 12}", "{assessors: 12, seats: 12}", 1))
	p := lead.Get(edit + "size?spread=10")
	if got := flat(p.HTML().Find("button[value='plan 34']").Text()); got != "Plan for 34, over 3 sittings" {
		t.Errorf("the button says %q", got)
	}
	send(lead, edit+"size", formOf(p), "plan 34")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.Spec.Panel.Assessors != 34 || stored.Spec.Panel.Sittings != 3 || len(stored.Problems) != 0 {
		t.Errorf("planned %+v with %v", stored.Spec.Panel, stored.Problems)
	}
}

func TestSizeStepSavesWhatTheStudyHolds(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	form := formOf(lead.Get(edit + "size"))
	form.Set("analysis.smallest effect", "4.5")
	form.Set("analysis.sides", "greater")
	form.Set("spread", "9,5")
	form.Set("power", "90")
	p := send(lead, edit+"size", form, "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.Spec.Plan.SmallestEffect != 4.5 || stored.Spec.Plan.Sides != "greater" ||
		strings.Contains(stored.File, "9,5") {
		t.Errorf("kept %+v", stored.Spec.Plan)
	}
	if p.HTML().Find("#spread").AttrOr("value", "") != "9,5" || p.HTML().Find("#power").AttrOr("value", "") != "90" {
		t.Error("spread or power did not ride along")
	}
}

// Without scripts a button works the size out with what stands in the fields,
// which changes nothing.
func TestSizeStepWorksOutWhatWasTyped(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	form := formOf(lead.Get(edit + "size"))
	form.Set("analysis.smallest effect", "8")
	form.Set("spread", "10")
	form.Set("do", "work")
	page := lead.Get(edit + "size?" + form.Encode()).HTML()
	// d = 0.8: 15 pairs (testdata/reference, sample_size_t.paired).
	if got := flat(page.Find("#answer").Text()); !strings.Contains(got,
		"15 assessors are needed; 16 complete the blocks of 2 orders") ||
		!strings.Contains(got, "nothing of it is saved yet") {
		t.Errorf("the page says %s", got)
	}
	if page.Find("#analysis-smallest_effect").AttrOr("value", "") != "8" {
		t.Error("what was typed is gone")
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.File != servertest.Custard || stored.CanUndo {
		t.Error("working it out changed the draft")
	}
	part := lead.Get("/studies/" + string(id) + "/size?" + form.Encode())
	html, err := page.Find("#worked-out").Html()
	f.Must(err)
	if flat(part.HTML().Find("body").Text()) != flat(page.Find("#worked-out").Text()) || part.Status != http.StatusOK ||
		len(html) == 0 {
		t.Errorf("the script gets another answer than the page shows: %s", flat(part.Body))
	}
}

func TestSizeStepSaysWhatTheSeatsCanDo(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(strings.Replace(servertest.Custard, "{assessors: 12}",
		"{assessors: 12, sittings: 2, seats: 10}", 1))
	doc := lead.Get(edit + "size?spread=10").HTML()
	want := "You would need 34 assessors; you have seats for 20: with 20, a difference of 5 points is found with 56 " +
		"% power, and differences from 6.6 points on with 80 %."
	if got := flat(doc.Find("#answer .caution").Text()); !strings.Contains(got, want) {
		t.Errorf("got %s", got)
	}
	var offers []string
	for _, x := range doc.Find("button[value^=plan]").EachIter() {
		offers = append(offers, x.AttrOr("value", ""))
	}
	if fmt.Sprint(offers) != "[plan 20 plan 34]" {
		t.Errorf("offered: %v", offers)
	}
}

func TestSizeStepSaysWhatIsWrong(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(servertest.Custard)
	for query, field := range map[string]string{"spread=wide": "spread", "power=100": "power", "spread=-3": "spread",
		"power=2": "power"} {
		doc := lead.Get(edit + "size?" + query).HTML()
		wrong := flat(doc.Find("#" + field + "-wrong").Text())
		if wrong == "" || wrong != flat(doc.Find("#answer .caution").Text()) || doc.Find(".curve").Length() != 0 {
			t.Errorf("%s: beside the field %q, in the answer %q", query, wrong,
				flat(doc.Find("#answer .caution").Text()))
		}
		if _, value, _ := strings.Cut(query, "="); doc.Find("#"+field).AttrOr("value", "") != value {
			t.Errorf("%s: what was typed is gone", query)
		}
	}
	_, half := f.Drafted(string(studies.StartName))
	if got := lead.Get(half+"size").HTML().Find("#answer .caution a").AttrOr("href", ""); got != half+"names" {
		t.Errorf("a draft that says nothing yet is sent to %q, want its samples", got)
	}
	_, same := f.Drafted("cloche: 1\nquestion: same-different\n")
	if got := flat(lead.Get(same + "size").HTML().Find("#answer .caution").Text()); got == "" {
		t.Error("a question that cannot be sized is not told so")
	}
}

// The ratings of a closed study that asked the same stand in for a spread that
// nobody gave: 20 and 70, 30 and 40, 40 and 60, so that the differences are 50, 10
// and 20 one way or the other.
func TestSizeStepOffersTheSpreadOfEarlierStudies(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(servertest.Custard)
	if got := flat(lead.Get(edit + "size").HTML().Find("#spread-hint").Text()); !strings.Contains(got,
		"Empty: 32.5, by a rule of thumb.") {
		t.Errorf("without earlier studies: %s", got)
	}
	f.InState(servertest.Custard, panel.Closed)
	p := lead.Get(edit + "size")
	doc := p.HTML()
	if got := flat(doc.Find("fieldset:has([name=spread-from])").Text()); !strings.Contains(got,
		"from “CANARYTITLE does a name change a custard?” (invented ratings): ") ||
		!strings.Contains(got, "among 3 people, of which the upper 80 % limit is taken") ||
		!strings.Contains(got, "The rule of thumb 32.5 points") {
		t.Errorf("with an earlier study: %s", got)
	}
	if got := flat(doc.Find("#answer").Text()); !strings.Contains(got, "comes from only 3 earlier assessors") {
		t.Errorf("the answer says %s", got)
	}
	form := formOf(p)
	form.Set("spread-from", "rule")
	refused := send(lead, edit+"size", form, "save").HTML()
	if got := flat(refused.Find("#answer").Text()); strings.Contains(got, "earlier") ||
		!strings.Contains(got, "The spread is a guess") ||
		refused.Find("[name=spread-from][value=rule][checked]").Length() != 1 {
		t.Errorf("the rule of thumb was chosen, and the answer says %s", got)
	}
	_, recipes := f.Drafted(strings.Replace(strings.Replace(servertest.Custard, "question: names", "question: samples",
		1), "CANARYTITLE", "Other", 1))
	if doc := lead.Get(recipes + "size").HTML(); doc.Find("[name=spread-from]").Length() != 0 ||
		strings.Contains(flat(doc.Find("#answer").Text()), "earlier") {
		t.Error("the spread of another kind of question is offered")
	}
	_, real := f.Drafted(strings.Replace(servertest.Custard, "invented: true\n", "", 1))
	if got := lead.Get(real + "size").HTML().Find("#spread-hint").Text(); strings.Contains(got, "earlier") {
		t.Errorf("invented ratings are offered to a real study: %s", got)
	}
}

// TestSizeStepSaysWhatTheScaleCannotShow: 110 points on a line of 100.
func TestSizeStepSaysWhatTheScaleCannotShow(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	form := formOf(lead.Get(edit + "size"))
	form.Set("analysis.smallest effect", "110")
	answer := lead.Get("/studies/" + string(id) + "/size?" + form.Encode()).HTML()
	if got := flat(answer.Text()); !strings.Contains(got,
		"A difference of 110 points is longer than the whole scale, 100 points: no panel, however large, can "+
			"show it.") ||
		strings.Contains(got, "needed") || answer.Find("button[value^=plan], .curve").Length() != 0 {
		t.Errorf("got %s", got)
	}
}

func TestSizeStepOfADifferenceTest(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(studyFiles(t)["studies/made-yesterday.yaml"])
	doc := lead.Get(edit + "size?" + url.Values{"do": {"work"}, "analysis.smallest effect": {"0.3"},
		"power": {"95"}}.Encode()).HTML()
	// Exact binomial; 73 from which every larger panel has the power.
	if got := flat(doc.Find("#answer").Text()); !strings.Contains(got,
		"73 assessors are needed; 78 complete the blocks of 6 orders") {
		t.Errorf("the page says %s", got)
	}
	if doc.Find("#spread").Length() != 0 || strings.Contains(doc.Find("main").Text(), "points") {
		t.Error("a difference test is asked for scale points")
	}
}
