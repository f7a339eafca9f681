package builder_test

import (
	"cloche/internal/panel"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
	"cloche/studies"
)

// builds sends a step with some fields changed and a button, and returns the study
// as it then is.
func builds(f *servertest.Fixture, lead *servertest.Visitor, id panel.StudyID, step, do string,
	pairs ...string) *study.Study {
	f.T.Helper()
	path := "/studies/" + string(id) + "/edit/" + step
	if p := send(lead, path, fillIn(formOf(lead.Get(path)), pairs...), do); p.Status != http.StatusOK {
		f.T.Fatalf("step %s, %s: status %d: %s", step, do, p.Status, p.HTML().Find(".problems").Text())
	}
	stored, err := f.Svc.Study(f.T.Context(), id)
	f.Must(err)
	return stored.Spec
}

func sampleList(a *study.Study) string {
	var list []string
	for _, x := range a.Samples {
		list = append(list, string(x.ID)+" "+string(x.Dish)+" "+string(x.Name))
	}
	return strings.Join(list, "; ")
}

// TestBuilderMakesSamples: boxes make samples under free letters, never under one that
// the analysis still speaks of; samples go with their dish or name, words in other
// languages included.
func TestBuilderMakesSamples(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.Drafted(string(studies.CeleriacCustard))
	a := builds(f, lead, id, "dishes", "add dishes", "add dishes", "Brown butter custard")
	if got, want := sampleList(a), "A custard brulee; B custard royale; C brown-butter-custard brulee; D "+
		"brown-butter-custard royale"; got != want {
		t.Errorf("after a second dish: %s, want %s", got, want)
	}
	a = builds(f, lead, id, "names", "save", "served custard", "|royale|blind sample")
	if got, want := sampleList(a), "B custard royale; C brown-butter-custard brulee; D brown-butter-custard "+
		"royale; E custard "; got != want {
		t.Errorf("after other boxes: %s, want %s", got, want)
	}
	a = builds(f, lead, id, "dishes", "up dishes[1]")
	if a.Dishes[0].ID != "brown-butter-custard" || len(a.Samples) != 4 {
		t.Errorf("after moving up: %v, %s", a.Dishes, sampleList(a))
	}
	a = builds(f, lead, id, "dishes", "remove dishes[0]")
	if got, want := sampleList(a), "B custard royale; E custard "; got != want || len(a.Dishes) != 1 {
		t.Errorf("after removing a dish: %s, want %s", got, want)
	}
	a = builds(f, lead, id, "names", "remove names[0]")
	if len(a.Names) != 1 || len(a.Translations[0].Names) != 1 || sampleList(a) != "B custard royale; E custard " {
		t.Errorf("after removing a name: %v, %v, %s", a.Names, a.Translations[0].Names, sampleList(a))
	}
	for range 5 {
		builds(f, lead, id, "names", "undo")
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if diff := cmp.Diff(string(studies.CeleriacCustard), stored.File); diff != "" {
		t.Errorf("after undoing all of it (-want +got):\n%s", diff)
	}
}

// TestBuilderChangesAScale: another kind takes the place of the scale; the words
// that it needs are asked for, those of the old one are gone in every language.
func TestBuilderChangesAScale(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(string(studies.CeleriacCustard))
	a := builds(f, lead, id, "attributes", "save", "attributes[0].scale", "categories",
		"attributes[0].scale.categories", "flat\r\nright\r\nsalty")
	if got := a.Attributes[0].Scale; got.Kind != study.Categories ||
		strings.Join(got.Labels, ",") != "flat,right,salty" {
		t.Errorf("the scale is %+v", got)
	}
	if got := lead.Get(edit + "words").HTML().Find(".still-open li").Length(); got != 2 {
		t.Errorf("%d words are open, want the categories in two languages", got)
	}
	a = builds(f, lead, id, "attributes", "save", "attributes[2].scale", "line")
	if got := a.Attributes[2].Scale; got.Kind != study.Line || got.Low == "" {
		t.Errorf("the scale is %+v", got)
	}
	a = builds(f, lead, id, "attributes", "save", "attributes[1].scale", "hedonic-9", "serving.attributes", "rotated")
	if a.Attributes[1].Scale.Kind != study.Hedonic9 || a.Serving.Attributes != study.RotatedOrder {
		t.Errorf("the scale is %+v, the order %s", a.Attributes[1].Scale, a.Serving.Attributes)
	}
}

// TestBuilderPicksInEveryLanguage: a term of the vocabulary comes with its words in
// each language of the study, so that nothing is open after it.
func TestBuilderPicksInEveryLanguage(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.Drafted(string(studies.CeleriacCustard))
	builds(f, lead, id, "attributes", "pick sourness")
	a := builds(f, lead, id, "attributes", "pick sourness") // a double tap
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if len(a.Attributes) != 5 || len(stored.Problems) != 0 || a.Translations[1].Attributes[4].Ask == "" {
		t.Errorf("%d attributes, %v", len(a.Attributes), stored.Problems)
	}
}

// TestBuilderChangesLanguages: a language that is left keeps its words until they
// are removed.
func TestBuilderChangesLanguages(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(string(studies.CeleriacCustard))
	a := builds(f, lead, id, "panel", "save", "also languages", "|fr|it")
	if got := strings.Join(a.Languages, " "); got != "en fr it" {
		t.Errorf("languages %s", got)
	}
	drop := lead.Get(edit + "words").HTML().Find(`button[value="drop de"]`)
	if drop.Length() != 1 {
		t.Fatal("the words in German cannot be removed")
	}
	builds(f, lead, id, "words", "drop de")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if strings.Contains(stored.File, "Sellerie") {
		t.Error("the German words are still there")
	}
	a = builds(f, lead, id, "panel", "save", "languages[0]", "fr", "also languages", "")
	if got := strings.Join(a.Languages, " "); got != "fr" {
		t.Errorf("languages %s", got)
	}
}

// TestBuilderSavesAnyText: the file's own page keeps what was typed, mistakes and
// all; while it is no YAML, every step leads there.
func TestBuilderSavesAnyText(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	const text = "cloche: 1\ntitle: \"never closed\nquestion: names\n"
	form := formOf(lead.Get(edit + "text"))
	form.Set("text", strings.ReplaceAll(text, "\n", "\r\n"))
	p := send(lead, edit+"text", form, "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.File != text || !strings.Contains(p.HTML().Find(".mistakes").Text(), "double quote") {
		t.Errorf("kept %q, page %q", stored.File, p.HTML().Find(".mistakes").Text())
	}
	if p := lead.Get(edit + "dishes"); p.Path != edit+"text" {
		t.Errorf("a step of a text that is no YAML ends at %s", p.Path)
	}
	if p := send(lead, edit+"text", formOf(lead.Get(edit+"text")),
		"undo"); p.HTML().Find("textarea").Text() != servertest.Custard {
		t.Error("undo does not bring the study back")
	}
	form = formOf(lead.Get(edit + "text"))
	form.Set("text", "cloche: 1\n# \x00")
	if p := send(lead, edit+"text", form, "save"); p.Status != http.StatusUnprocessableEntity ||
		p.HTML().Find(".problems a, .problems li").Length() == 0 {
		t.Errorf("a text that cannot be kept: status %d", p.Status)
	}
}

// TestLockSaysWhatItFixes: the hash that the step shows is the one that the lock
// then keeps, and the page says what will be fixed.
func TestLockSaysWhatItFixes(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	doc := lead.Get(edit + "lock").HTML()
	hash := doc.Find(".hash").Text()
	for _, want := range []string{servertest.CanaryHypothesis, servertest.NameA, "12 assessors", "paired t test",
		"Left out", "Tasting ends"} {
		if !strings.Contains(doc.Find("main").Text(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	lead.Post("/studies/"+string(id)+"/lock", "revision", doc.Find("input[name=revision]").AttrOr("value", ""))
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.Lock.StudyHash != hash || len(hash) != 64 {
		t.Errorf("locked under %s, shown was %s", stored.Lock.StudyHash, hash)
	}
}

// TestLockTakesNoOtherRevision: what is locked is what was looked at.
func TestLockTakesNoOtherRevision(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(servertest.Custard)
	seen := lead.Get(edit+"lock").HTML().Find("input[name=revision]").AttrOr("value", "")
	builds(f, lead, id, "question", "save", "title", "Another question")
	p := lead.Post("/studies/"+string(id)+"/lock", "revision", seen)
	if p.Status != http.StatusConflict || !strings.Contains(p.HTML().Find(".problems").Text(),
		"changed on another page") {
		t.Errorf("status %d: %s", p.Status, p.HTML().Find(".problems").Text())
	}
	if again := p.HTML().Find("input[name=revision]").AttrOr("value", ""); again == seen {
		t.Error("the page that comes back would be refused again")
	}
}

// TestBuilderForgetsWhatNoDishContains: no translation stays of a word that no dish
// contains any more, for no field would show it.
func TestBuilderForgetsWhatNoDishContains(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for name, act := range map[string][]string{
		"another word": {"save", "dishes[0].also contains", "mace"},
		"no dish":      {"remove dishes[0]"},
	} {
		id, _ := f.Drafted(string(studies.CeleriacCustard))
		builds(f, lead, id, "dishes", act[0], act[1:]...)
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		for _, x := range stored.Problems {
			if strings.Contains(x.What.String(), "nutmeg") {
				t.Errorf("%s: %s", name, x.What)
			}
		}
		if strings.Contains(stored.File, "Muskatnuss") {
			t.Errorf("%s: the German word stays", name)
		}
	}
}

// TestBuilderSummaryNamesTheField: two dishes may lack the same, and the summary
// tells them apart.
func TestBuilderSummaryNamesTheField(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(string(studies.CeleriacCustard))
	builds(f, lead, id, "dishes", "add dishes", "add dishes", "Brown butter custard")
	builds(f, lead, id, "dishes", "save", "dishes[0].portion", "", "dishes[1].serve at", "warm")
	doc := lead.Get(edit + "dishes").HTML()
	for link, want := range map[string]string{
		".still-open a[href='#dishes-0-portion']": "Warm celeriac custard, Portion: ",
		".still-open a[href='#dishes-1-portion']": "Brown butter custard, Portion: ",
		".problems a[href='#dishes-1-serve_at']":  "Brown butter custard, Served at: ",
	} {
		if got := doc.Find(link).Text(); !strings.HasPrefix(got, want) {
			t.Errorf("%s says %q, want %q first", link, got, want)
		}
	}
	if got := doc.Find("#dishes-1-serve_at-wrong").Text(); !strings.HasPrefix(got, `"serve at" is warm`) {
		t.Errorf("the field itself says %q", got)
	}
}

// TestEveryQuestionOpens: what each question begins with is half done and nothing in
// it is wrong; each example is sound, can be locked, and holds no seed.
func TestEveryQuestionOpens(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	doc := lead.Get("/studies/new").HTML()
	for _, kind := range []string{"question", "example"} {
		buttons := doc.Find("button[name=" + kind + "]")
		if buttons.Length() != 16 {
			t.Fatalf("%d buttons of %s, want 16", buttons.Length(), kind)
		}
		for i := range buttons.Length() {
			p := lead.Post("/studies", kind, buttons.Eq(i).AttrOr("value", ""))
			id := strings.Split(p.Path, "/")[2]
			stored, err := f.Svc.Study(t.Context(), panel.StudyID(id))
			f.Must(err)
			if mend := strings.Contains(p.HTML().Find(".wide-steps").Text(), "to fix"); mend ||
				stored.Spec.Serving.HasSeed || (len(stored.Problems) == 0) != (kind == "example") {
				t.Errorf("%s %d: to fix: %v, seed: %v, %d problems", kind, i, mend, stored.Spec.Serving.HasSeed,
					len(stored.Problems))
			}
			if got := lead.Get("/studies/" + id +
				"/edit/lock").HTML().Find("form[action$=lock]").Length(); (got == 1) != (kind == "example") {
				t.Errorf("%s %d: %d forms to lock", kind, i, got)
			}
		}
	}
}

// TestLockStepSaysWhatIsDoubtful: a claim that the dish does not meet and a panel that
// is too small are said once more where it is not yet too late.
func TestLockStepSaysWhatIsDoubtful(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, edit := f.Drafted(string(studies.CeleriacCustard))
	builds(f, lead, id, "names", "save", "names[1].text", "vegan celeriac royale")
	builds(f, lead, id, "size", "save", "analysis.smallest effect", "2")
	doc := lead.Get(edit + "lock").HTML()
	claim := doc.Find(".doubts a[href$='/edit/names#names-1-text']").Text()
	if !strings.Contains(claim, `says "vegan"`) {
		t.Errorf("of the claim the lock step says %q", claim)
	}
	if size := doc.Find(".doubts a[href$='/edit/size#answer']").Text(); !strings.Contains(size,
		"this is a pilot") {
		t.Errorf("of the size the lock step says %q", size)
	}
	if doc.Find("button.next").Length() != 1 {
		t.Error("the study cannot be locked any more")
	}
	builds(f, lead, id, "names", "save", "names[1].text", "celeriac royale", "translations.de.names.brulee",
		"Sellerie-Brulee")
	builds(f, lead, id, "size", "save", "analysis.smallest effect", "50")
	if got := lead.Get(edit + "lock").HTML().Find(".doubts").Text(); got != "" {
		t.Errorf("where nothing is doubtful the lock step says %q", got)
	}
}

// TestBuilderTakesADecimalComma: where half of Europe writes 63,5 the file gets 63.5;
// what may mean a thousand is left as it is, and asked about.
func TestBuilderTakesADecimalComma(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.Drafted(string(studies.CeleriacCustard))
	builds(f, lead, id, "dishes", "save", "dishes[0].serve at", "63,5")
	builds(f, lead, id, "size", "save", "analysis.smallest effect", "7,25")
	a := builds(f, lead, id, "analysis", "save", "analysis.alpha", "0,01")
	if a.Dishes[0].ServeAt != 63.5 || a.Plan.SmallestEffect != 7.25 || a.Plan.Alpha != 0.01 {
		t.Errorf("served at %v, difference %v, alpha %v", a.Dishes[0].ServeAt, a.Plan.SmallestEffect, a.Plan.Alpha)
	}
	builds(f, lead, id, "panel", "save", "panel.assessors", "1,000")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if len(stored.Problems) != 1 || stored.Problems[0].Path != "panel.assessors" {
		t.Errorf("of 1,000 assessors: %v", stored.Problems)
	}
}

// TestBuilderSaysThatItRemoved: nothing asks before an item is removed, so the page
// says how to take it back.
func TestBuilderSaysThatItRemoved(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(string(studies.CeleriacCustard))
	doc := send(lead, edit+"names", formOf(lead.Get(edit+"names")), "remove names[0]").HTML()
	if got := doc.Find(".saved").Text(); got != "Removed. Undo takes it back." ||
		doc.Find("button[value=undo]").Length() != 1 {
		t.Errorf("the page says %q", got)
	}
}

// TestBuilderAsksWhetherMarksShowTheirNumber: where a line is asked for, and nowhere else.
func TestBuilderAsksWhetherMarksShowTheirNumber(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.Drafted(string(studies.CeleriacCustard))
	if a := builds(f, lead, id, "attributes", "save", "serving.show numbers", "true"); !a.Serving.ShowNumbers {
		t.Error("ticked, and the file does not say it")
	}
	if a := builds(f, lead, id, "panel", "save"); !a.Serving.ShowNumbers {
		t.Error("the step of the panel took it away")
	}
	if a := builds(f, lead, id, "attributes", "save", "serving.show numbers", ""); a.Serving.ShowNumbers {
		t.Error("taken back, and the file still says it")
	}
	none, _ := f.Drafted(string(studies.BrownedButter))
	if n := lead.Get("/studies/" + string(none) + "/edit/attributes").HTML().Find("#numbers").Length(); n != 0 {
		t.Error("asked of a study without a line")
	}
}
