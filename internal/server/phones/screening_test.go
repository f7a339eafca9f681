package phones_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// consented agrees at a join link, in a language, and returns where it leads.
func consented(f *servertest.Fixture, join panel.JoinToken, lang string) (*servertest.Visitor, servertest.Page) {
	f.T.Helper()
	v := f.Visitor()
	p := v.Get("/join/" + string(join) + "?in=" + lang)
	return v, v.Post("/join/"+string(join)+"/consent", "nonce",
		p.HTML().Find("[name=nonce]").First().AttrOr("value", ""))
}

func TestPhoneAsksBeforeTheFirstPlate(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Screened, panel.Open)
	v, p := consented(f, join, "en")
	doc := p.HTML()
	if doc.Find("h1").Text() != "Before the first serving" || doc.Find("fieldset legend").Length() != 2 ||
		doc.Find("[checked], .problems").Length() != 0 {
		t.Errorf("the page asks %s", doc.Find("main").Text())
	}
	if strings.Contains(p.All(), "leaves") || strings.Contains(p.All(), "hungry\"") {
		t.Error("the page holds the rule or an id")
	}
	back := v.Post(p.Path+"/screening", "s1", "2")
	servertest.MustStatus(t, back, http.StatusUnprocessableEntity)
	doc = back.HTML()
	if got := doc.Find(".problems a[href='#s2-1']").Text(); got != "Are you hungry?" ||
		doc.Find("#s2-wrong").Length() != 1 || doc.Find("#s1-2[checked]").Length() != 1 {
		t.Errorf("half answered: %q %s", got, doc.Find("main").Text())
	}
	for _, given := range []string{"3", "0", "yes", ""} {
		servertest.MustStatus(t, v.Post(p.Path+"/screening", "s1", given, "s2", "1"), http.StatusUnprocessableEntity)
	}
	if got := v.Post(p.Path+"/screening", "s1", "2", "s2", "1").HTML().Find("form").First().AttrOr("action",
		""); !strings.HasSuffix(got, "/start") {
		t.Errorf("answered, and the next form is %q", got)
	}
}

// The program's questions need no translation.
func TestPhoneAsksInEveryLanguage(t *testing.T) {
	f := servertest.New(t)
	for _, lang := range study.Spoken {
		file := strings.Replace(strings.Replace(servertest.Custard, "{assessors: 12}",
			"{assessors: 12, screening: [{id: senses}]}", 1), "question:", "languages: ["+lang+"]\nquestion:", 1)
		_, join := f.InState(file, panel.Open)
		_, p := consented(f, join, lang)
		stock, _ := study.StockScreenOf("senses")
		if got := p.HTML().Find("legend").Text(); got != stock.In(lang).Ask {
			t.Errorf("%s: asks %q", lang, got)
		}
	}
}

// A rehearsal shows the page, and sends it back half answered.
func TestRehearsalAsksBeforeTheFirstPlate(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Screened)
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal/1/en/2"
	if got := v.Get(at).HTML().Find("h1").Text(); got != "Before the first serving" {
		t.Fatalf("screen 2 is %q", got)
	}
	servertest.MustStatus(t, v.Post(at+"/screening", "s1", "1"), http.StatusUnprocessableEntity)
	if p := v.Post(at+"/screening", "s1", "1", "s2", "2"); !strings.HasSuffix(p.Path, "/3") {
		t.Errorf("answered, and the screen is %s", p.Path)
	}
}

// Unticking the program's question leaves the study's own one.
func TestScreeningIsTakenBack(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Screened)
	v := f.Lead()
	p := v.Get("/studies/" + string(id) + "/edit/panel")
	if p.HTML().Find("[name='panel.screening'][checked]").Length() != 1 {
		t.Fatal("the program's question is not ticked")
	}
	v.Post("/studies/"+string(id)+"/edit/panel", "revision", p.HTML().Find("[name=revision]").AttrOr("value", ""),
		"panel.screening", "", "do", "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if got := stored.Spec.Panel.Screening; len(got) != 1 || got[0].ID != "hungry" {
		t.Errorf("left %+v, want the study's own question", got)
	}
}
