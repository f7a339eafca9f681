package server_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// fill sets fields of a form by their labels' names in the form.
func fillIn(form url.Values, pairs ...string) url.Values {
	for i := 0; i+1 < len(pairs); i += 2 {
		form[pairs[i]] = strings.Split(pairs[i+1], "|")
	}
	return form
}

// TestFromAQuestionToAnOpenSitting builds a study of names with nothing but forms,
// locks it and opens its sitting.
func TestFromAQuestionToAnOpenSitting(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	p := lead.post("/studies", "question", "name")
	id := strings.Split(p.path, "/")[2]
	edit := "/studies/" + id + "/edit/"
	if p.path != edit+"question" || p.html().Find(".problems").Length() != 0 {
		t.Fatalf("a new study begins at %s with %q", p.path, p.html().Find(".problems").Text())
	}
	step := func(name, do string, pairs ...string) page {
		t.Helper()
		p := lead.send(edit+name, fillIn(formOf(lead.get(edit+name)), pairs...), do)
		if p.status != http.StatusOK || p.html().Find(".problems").Length() > 0 {
			t.Fatalf("step %s, %s: status %d, %s", name, do, p.status, p.html().Find(".problems").Text())
		}
		return p
	}
	step("question", "next", "title", "Does “royale” sound saltier?", "hypothesis", "It does.")
	step("dishes", "add dishes", "add dishes", "Warm celeriac custard")
	step("dishes", "next", "dishes[0].portion", "60 g", "dishes[0].serve at", "55", "dishes[0].allergens", "|eggs|milk|celery", "dishes[0].also contains", "nutmeg")
	step("names", "add names", "add names", nameA)
	step("names", "save", "add names", nameB) // typed, and only saved
	step("attributes", "pick saltiness")
	step("attributes", "pick liking")
	step("analysis", "save", "analysis.compare[0]", "A", "analysis.compare[1]", "B", "analysis.attribute", "saltiness", "analysis.smallest effect", "5")
	p = step("panel", "next", "panel.assessors", "12", "serving.seed", "7")
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if len(kept.Problems) > 0 {
		t.Fatalf("still open: %v\n%s", kept.Problems, kept.File)
	}
	a := kept.Asked
	if d := a.Dishes[0]; d.ID != "warm-celeriac-custard" || d.ServeAt != 55 || len(d.Allergens) != 3 || d.AlsoContains[0] != "nutmeg" {
		t.Errorf("dish %+v", d)
	}
	if a.NameText("A") != nameA || a.NameText("B") != nameB || a.Plan.Compare != [2]study.SampleID{"A", "B"} || a.Panel.Assessors != 12 {
		t.Errorf("samples %v, names %v, plan %+v, panel %+v", a.Samples, a.Names, a.Plan, a.Panel)
	}
	if !strings.HasPrefix(kept.File, "# Does the name change how it tastes?") || !strings.Contains(kept.File, "ethics board asks for") {
		t.Error("the comments of the file are gone")
	}
	p = lead.get(edit + "lock")
	lead.post("/studies/"+id+"/lock", "revision", p.html().Find("input[name=revision]").AttrOr("value", ""))
	lead.post("/studies/"+id+"/sittings", "number", "1")
	if kept, err = f.svc.Study(t.Context(), id); err != nil || kept.State != panel.Open {
		t.Errorf("the study is %s, %v; want open", kept.State, err)
	}
	if p = lead.get(edit + "dishes"); p.path != "/studies/"+id {
		t.Errorf("the builder of a locked study ends at %s", p.path)
	}
}

// TestBuilderKeepsWhatIsWrong: a wrong value is kept, shown beside its field and in
// the summary, and nothing that is only missing is called wrong.
func TestBuilderKeepsWhatIsWrong(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	_, edit := f.drafted(custard)
	p := lead.send(edit+"dishes", fillIn(formOf(lead.get(edit+"dishes")), "dishes[0].serve at", "hot", "dishes[0].portion", ""), "save")
	doc := p.html()
	if got := doc.Find(`[name="dishes[0].serve at"]`).AttrOr("value", ""); got != "hot" {
		t.Errorf("the field holds %q, want what was typed", got)
	}
	if got := doc.Find("#dishes-0-serve_at-wrong").Text(); !strings.Contains(got, "55 °C") {
		t.Errorf("beside the field stands %q", got)
	}
	if got := doc.Find(`.problems a[href="#dishes-0-serve_at"]`).Length(); got != 1 || doc.Find(".problems a").Length() != 1 {
		t.Errorf("the summary has %d links to the field and %d in all, want one", got, doc.Find(".problems a").Length())
	}
	if got := doc.Find(`.still-open a[href="#dishes-0-portion"]`).Length(); got != 1 {
		t.Errorf("%d open things about the portion, want 1", got)
	}
	if got := strings.Join(strings.Fields(doc.Find(".wide-steps .here").Text()), " "); got != "Dishes 1 to mend, 1 still open" {
		t.Errorf("the list of steps says %q", got)
	}
}

// TestBuilderOfADraftThatMovedOn: two pages of one draft; the second to save gets
// its words back with a message, and can save them after all.
func TestBuilderOfADraftThatMovedOn(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	id, edit := f.drafted(custard)
	first, second := formOf(lead.get(edit+"question")), formOf(lead.get(edit+"question"))
	lead.send(edit+"question", fillIn(first, "title", "Mine first"), "save")
	p := lead.send(edit+"question", fillIn(second, "title", "Mine second"), "save")
	doc := p.html()
	if p.status != http.StatusConflict || doc.Find("#title").AttrOr("value", "") != "Mine second" || !strings.Contains(doc.Find("form.build").Text(), "The study says now: Mine first") {
		t.Fatalf("status %d, title %q", p.status, doc.Find("#title").AttrOr("value", ""))
	}
	lead.send(edit+"question", formOf(p), "save")
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if kept.Asked.Title != "Mine second" {
		t.Errorf("the title is %q", kept.Asked.Title)
	}
	p = lead.send(edit+"question", formOf(lead.get(edit+"question")), "undo")
	if got := p.html().Find("#title").AttrOr("value", ""); got != "Mine first" || p.html().Find(`button[value=redo]`).Length() != 1 {
		t.Errorf("after undo the title is %q", got)
	}
}

// TestBuilderTakesOnlyItsOwnFields: a form cannot set what its step does not show.
func TestBuilderTakesOnlyItsOwnFields(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	id, edit := f.drafted(custard)
	for _, do := range []string{"save", "remove attributes[0]", "remove texts", "up dishes[9]", "drop fr", "nonsense"} {
		form := formOf(lead.get(edit + "question"))
		form.Set("panel.assessors", "99")
		form.Set("serving.design", "one")
		lead.send(edit+"question", form, do)
		kept, err := f.svc.Study(t.Context(), id)
		f.must(err)
		if kept.File != custard {
			t.Fatalf("%s changed the file:\n%s", do, firstDifference(custard, kept.File))
		}
	}
}

// TestBuilderRemarksOnNames: a name that promises what its dish does not hold is
// remarked on beside its field, and the study can be saved and locked all the same.
func TestBuilderRemarksOnNames(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	_, edit := f.drafted(strings.Replace(custard, "text: "+nameB, "text: vegan celeriac royale at 12 €", 1))
	doc := lead.get(edit + "names").html()
	beside := doc.Find("#names-1-text-remarks").Text()
	if !strings.Contains(beside, "vegan") || doc.Find(".problems").Length() != 0 {
		t.Errorf("beside the name stands %q", beside)
	}
	if href := doc.Find(".look-at a").AttrOr("href", ""); !strings.HasPrefix(href, "#names-") {
		t.Errorf("the page leads to %q", href)
	}
}

// TestBuilderPhotos: the photo of a dish can be kept, seen, and removed; what is no
// picture is refused in words.
func TestBuilderPhotos(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	id, edit := f.drafted(custard)
	path := "/studies/" + id + "/photos/" + canaryDish
	var picture bytes.Buffer
	f.must(jpeg.Encode(&picture, image.NewRGBA(image.Rect(0, 0, 40, 30)), nil))
	send := func(content []byte, do string) page {
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		part, err := w.CreateFormFile("photo", "custard.jpg")
		f.must(err)
		_, err = part.Write(content)
		f.must(err)
		f.must(w.WriteField("do", do))
		f.must(w.Close())
		return lead.do(http.MethodPost, path, w.FormDataContentType(), &b)
	}
	if p := send([]byte("no picture"), "keep"); p.status != http.StatusUnprocessableEntity || !strings.Contains(p.html().Find(".photo .wrong").Text(), "JPEG or PNG") {
		t.Errorf("what is no picture: status %d, %q", p.status, p.html().Find(".photo .wrong").Text())
	}
	if p := send(nil, "keep"); !strings.Contains(p.html().Find(".photo .wrong").Text(), "No picture") {
		t.Errorf("no file: %q", p.html().Find(".photo .wrong").Text())
	}
	if p := send(picture.Bytes(), "keep"); p.path != edit+"dishes" || p.html().Find(".photo img").AttrOr("src", "") != path {
		t.Errorf("a photo: %s, status %d", p.path, p.status)
	}
	if p := lead.get(path); p.status != http.StatusOK || p.header.Get("Content-Type") != "image/jpeg" {
		t.Errorf("the photo: status %d, %s", p.status, p.header.Get("Content-Type"))
	}
	if p := send(nil, "remove"); p.html().Find(".photo img").Length() != 0 {
		t.Error("the photo is still there")
	}
}

// TestUnreadTemperatureIsNotCold: a temperature that cannot be read is no 0 °C.
func TestUnreadTemperatureIsNotCold(t *testing.T) {
	f := newFixture(t)
	_, edit := f.drafted(strings.Replace(custard, "serve at: 55 °C", "serve at: hot", 1))
	text := f.lead().get(edit + "dishes").html().Find(".caution").Text()
	if !strings.Contains(text, "Hold hot food") || !strings.Contains(text, "celery") || strings.Contains(text, "Keep cold") || strings.Contains(text, "NaN") {
		t.Errorf("cautions %q", text)
	}
}
