package builder_test

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
	"cloche/internal/server/servertest"
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
	f := servertest.New(t)
	lead := f.Lead()
	p := lead.Post("/studies", "question", "name")
	id := strings.Split(p.Path, "/")[2]
	edit := "/studies/" + id + "/edit/"
	if p.Path != edit+"question" || p.HTML().Find(".problems").Length() != 0 {
		t.Fatalf("a new study begins at %s with %q", p.Path, p.HTML().Find(".problems").Text())
	}
	step := func(name, do string, pairs ...string) servertest.Page {
		t.Helper()
		p := send(lead, edit+name, fillIn(formOf(lead.Get(edit+name)), pairs...), do)
		if p.Status != http.StatusOK || p.HTML().Find(".problems").Length() > 0 {
			t.Fatalf("step %s, %s: status %d, %s", name, do, p.Status, p.HTML().Find(".problems").Text())
		}
		return p
	}
	step("question", "next", "title", "Does “royale” sound saltier?", "hypothesis", "It does.")
	step("dishes", "add dishes", "add dishes", "Warm celeriac custard")
	step("dishes", "next", "dishes[0].portion", "60 g", "dishes[0].serve at", "55", "dishes[0].allergens",
		"|eggs|milk|celery", "dishes[0].also contains", "nutmeg")
	step("names", "add names", "add names", servertest.NameA)
	step("names", "save", "add names", servertest.NameB) // typed, and only saved
	step("attributes", "pick saltiness")
	step("attributes", "pick liking")
	step("analysis", "save", "analysis.compare[0]", "A", "analysis.compare[1]", "B", "analysis.attribute", "saltiness",
		"analysis.smallest effect", "5")
	p = step("panel", "next", "panel.assessors", "12", "serving.seed", "7")
	stored, err := f.Svc.Study(t.Context(), panel.StudyID(id))
	f.Must(err)
	if len(stored.Problems) > 0 {
		t.Fatalf("still open: %v\n%s", stored.Problems, stored.File)
	}
	a := stored.Spec
	if d := a.Dishes[0]; d.ID != "warm-celeriac-custard" || d.ServeAt != 55 || len(d.Allergens) != 3 ||
		d.AlsoContains[0] != "nutmeg" {
		t.Errorf("dish %+v", d)
	}
	if a.NameText("A") != servertest.NameA || a.NameText("B") != servertest.NameB ||
		a.Plan.Compare != [2]study.SampleID{"A", "B"} || a.Panel.Assessors != 12 {
		t.Errorf("samples %v, names %v, plan %+v, panel %+v", a.Samples, a.Names, a.Plan, a.Panel)
	}
	if !strings.HasPrefix(stored.File, "# Does the name change how it tastes?") ||
		!strings.Contains(stored.File, "ethics board asks for") {
		t.Error("the comments of the file are gone")
	}
	p = lead.Get(edit + "lock")
	lead.Post("/studies/"+id+"/lock", "revision", p.HTML().Find("input[name=revision]").AttrOr("value", ""))
	lead.Post("/studies/"+id+"/sittings", "number", "1")
	if stored, err = f.Svc.Study(t.Context(), panel.StudyID(id)); err != nil || stored.State != panel.Open {
		t.Errorf("the study is %s, %v; want open", stored.State, err)
	}
	if p = lead.Get(edit + "dishes"); p.Path != "/studies/"+id {
		t.Errorf("the builder of a locked study ends at %s", p.Path)
	}
}

// TestBuilderKeepsWhatIsWrong: a wrong value is kept, shown beside its field and in
// the summary, and nothing that is only missing is called wrong.
func TestBuilderKeepsWhatIsWrong(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(servertest.Custard)
	p := send(lead, edit+"dishes", fillIn(formOf(lead.Get(edit+"dishes")), "dishes[0].serve at", "hot",
		"dishes[0].portion", ""), "save")
	doc := p.HTML()
	if got := doc.Find(`[name="dishes[0].serve at"]`).AttrOr("value", ""); got != "hot" {
		t.Errorf("the field holds %q, want what was typed", got)
	}
	if got := doc.Find("#dishes-0-serve_at-wrong").Text(); !strings.Contains(got, "55 °C") {
		t.Errorf("beside the field stands %q", got)
	}
	if got := doc.Find(`.problems a[href="#dishes-0-serve_at"]`).Length(); got != 1 ||
		doc.Find(".problems a").Length() != 1 {
		t.Errorf("the summary has %d links to the field and %d in all, want one", got, doc.Find(".problems a").Length())
	}
	if got := doc.Find(`.still-open a[href="#dishes-0-portion"]`).Length(); got != 1 {
		t.Errorf("%d open things about the portion, want 1", got)
	}
	if got := strings.Join(strings.Fields(doc.Find(".wide-steps .here").Text()),
		" "); got != "Dishes 1 to fix, 1 still open" {
		t.Errorf("the list of steps says %q", got)
	}
}

// TestBuilderOfADraftThatMovedOn: two pages of one draft; the second to save gets
// its words back with a message, and can save them after all.
func TestBuilderOfADraftThatMovedOn(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	first, second := formOf(lead.Get(edit+"question")), formOf(lead.Get(edit+"question"))
	send(lead, edit+"question", fillIn(first, "title", "Mine first"), "save")
	p := send(lead, edit+"question", fillIn(second, "title", "Mine second"), "save")
	doc := p.HTML()
	if p.Status != http.StatusConflict || doc.Find("#title").AttrOr("value", "") != "Mine second" ||
		!strings.Contains(doc.Find("form.build").Text(), "The study says now: Mine first") {
		t.Fatalf("status %d, title %q", p.Status, doc.Find("#title").AttrOr("value", ""))
	}
	send(lead, edit+"question", formOf(p), "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.Spec.Title != "Mine second" {
		t.Errorf("the title is %q", stored.Spec.Title)
	}
	p = send(lead, edit+"question", formOf(lead.Get(edit+"question")), "undo")
	if got := p.HTML().Find("#title").AttrOr("value", ""); got != "Mine first" ||
		p.HTML().Find(`button[value=redo]`).Length() != 1 {
		t.Errorf("after undo the title is %q", got)
	}
}

// TestBuilderTakesOnlyItsOwnFields: a form cannot set what its step does not show.
func TestBuilderTakesOnlyItsOwnFields(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	for _, do := range []string{"save", "remove attributes[0]", "remove texts", "up dishes[9]", "drop fr", "nonsense"} {
		form := formOf(lead.Get(edit + "question"))
		form.Set("panel.assessors", "99")
		form.Set("serving.design", "one")
		send(lead, edit+"question", form, do)
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		if stored.File != servertest.Custard {
			t.Fatalf("%s changed the file:\n%s", do, firstDifference(servertest.Custard, stored.File))
		}
	}
}

// TestBuilderRemarksOnNames: a name that promises what its dish does not hold is
// remarked on beside its field, and the study can be saved and locked all the same.
func TestBuilderRemarksOnNames(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(strings.Replace(servertest.Custard, "text: "+servertest.NameB,
		"text: vegan celeriac royale at 12 €", 1))
	doc := lead.Get(edit + "names").HTML()
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
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	path := "/studies/" + string(id) + "/photos/" + servertest.CanaryDish
	var picture bytes.Buffer
	f.Must(jpeg.Encode(&picture, image.NewRGBA(image.Rect(0, 0, 40, 30)), nil))
	send := func(content []byte, do string) servertest.Page {
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		part, err := w.CreateFormFile("photo", "custard.jpg")
		f.Must(err)
		_, err = part.Write(content)
		f.Must(err)
		f.Must(w.WriteField("do", do))
		f.Must(w.Close())
		return lead.Do(http.MethodPost, path, w.FormDataContentType(), &b)
	}
	if p := send([]byte("no picture"), "keep"); p.Status != http.StatusUnprocessableEntity ||
		!strings.Contains(p.HTML().Find(".photo .wrong").Text(), "JPEG or PNG") {
		t.Errorf("what is no picture: status %d, %q", p.Status, p.HTML().Find(".photo .wrong").Text())
	}
	if p := send(nil, "keep"); !strings.Contains(p.HTML().Find(".photo .wrong").Text(), "No picture") {
		t.Errorf("no file: %q", p.HTML().Find(".photo .wrong").Text())
	}
	if p := send(picture.Bytes(), "keep"); p.Path != edit+"dishes" ||
		p.HTML().Find(".photo img").AttrOr("src", "") != path {
		t.Errorf("a photo: %s, status %d", p.Path, p.Status)
	}
	if p := lead.Get(path); p.Status != http.StatusOK || p.Header.Get("Content-Type") != "image/jpeg" {
		t.Errorf("the photo: status %d, %s", p.Status, p.Header.Get("Content-Type"))
	}
	if p := send(nil, "remove"); p.HTML().Find(".photo img").Length() != 0 {
		t.Error("the photo is still there")
	}
}

// TestUnreadTemperatureIsNotCold: a temperature that cannot be read is no 0 °C.
func TestUnreadTemperatureIsNotCold(t *testing.T) {
	f := servertest.New(t)
	_, edit := f.Drafted(strings.Replace(servertest.Custard, "serve at: 55 °C", "serve at: hot", 1))
	text := f.Lead().Get(edit + "dishes").HTML().Find(".caution").Text()
	if !strings.Contains(text, "Hold hot food") || !strings.Contains(text, "celery") ||
		strings.Contains(text, "Keep cold") || strings.Contains(text, "NaN") {
		t.Errorf("cautions %q", text)
	}
}
