package server_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// screened asks a question of the program's and one of its own before the first plate.
var screened = strings.Replace(custard, "{assessors: 12}", `{assessors: 12, screening: [{id: senses}, {id: hungry, ask: Are you hungry?, leaves out: "no"}]}`, 1)

// consented agrees at a join link, in a language, and returns where it leads.
func (f *fixture) consented(join, lang string) (*visitor, page) {
	f.t.Helper()
	v := f.visitor()
	p := v.get("/join/" + join + "?in=" + lang)
	return v, v.post("/join/"+join+"/consent", "nonce", p.html().Find("[name=nonce]").First().AttrOr("value", ""))
}

func TestPhoneAsksBeforeTheFirstPlate(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(screened, panel.Open)
	v, p := f.consented(join, "en")
	doc := p.html()
	if doc.Find("h1").Text() != "Before the first serving" || doc.Find("fieldset legend").Length() != 2 || doc.Find("[checked], .problems").Length() != 0 {
		t.Errorf("the page asks %s", doc.Find("main").Text())
	}
	if strings.Contains(p.all(), "leaves") || strings.Contains(p.all(), "hungry\"") {
		t.Error("the page holds the rule or an id")
	}
	back := v.post(p.path+"/screening", "s1", "2")
	mustStatus(t, back, http.StatusUnprocessableEntity)
	doc = back.html()
	if got := doc.Find(".problems a[href='#s2-1']").Text(); got != "Are you hungry?" || doc.Find("#s2-wrong").Length() != 1 || doc.Find("#s1-2[checked]").Length() != 1 {
		t.Errorf("half answered: %q %s", got, doc.Find("main").Text())
	}
	for _, given := range []string{"3", "0", "yes", ""} {
		mustStatus(t, v.post(p.path+"/screening", "s1", given, "s2", "1"), http.StatusUnprocessableEntity)
	}
	if got := v.post(p.path+"/screening", "s1", "2", "s2", "1").html().Find("form").First().AttrOr("action", ""); !strings.HasSuffix(got, "/start") {
		t.Errorf("answered, and the next form is %q", got)
	}
}

// The program's questions need no translation.
func TestPhoneAsksInEveryLanguage(t *testing.T) {
	f := newFixture(t)
	for _, lang := range study.Spoken {
		file := strings.Replace(strings.Replace(custard, "{assessors: 12}", "{assessors: 12, screening: [{id: senses}]}", 1), "question:", "languages: ["+lang+"]\nquestion:", 1)
		_, join := f.inState(file, panel.Open)
		_, p := f.consented(join, lang)
		stock, _ := study.StockScreenOf("senses")
		if got := p.html().Find("legend").Text(); got != stock.In(lang).Ask {
			t.Errorf("%s: asks %q", lang, got)
		}
	}
}

func TestFloorAsksBeforeTheFirstPlate(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(screened, panel.Open)
	v := f.staff(id, panel.RoleFloor)
	doc := v.get("/floor/guest").html()
	nonce := doc.Find("[name=nonce]").AttrOr("value", "")
	if doc.Find("fieldset legend").Length() != 2 {
		t.Fatalf("floor asks %s", doc.Find("form").Text())
	}
	p := v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "s1", "1")
	mustStatus(t, p, http.StatusUnprocessableEntity)
	if got := p.html().Find(".problems a[href='#s2']").Text(); !strings.Contains(got, "Are you hungry?") || p.html().Find("[name=s1][value='1'][checked]").Length() != 1 {
		t.Errorf("what was not asked is not said: %q", got)
	}
	if p := v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "s1", "1", "s2", "1"); !strings.HasPrefix(p.path, "/floor/seats/") {
		t.Errorf("asked, and not seated: %s", p.path)
	}
}

// A rehearsal shows the page, and sends it back half answered.
func TestRehearsalAsksBeforeTheFirstPlate(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(screened)
	v := f.lead()
	at := "/studies/" + id + "/rehearsal/1/en/2"
	if got := v.get(at).html().Find("h1").Text(); got != "Before the first serving" {
		t.Fatalf("screen 2 is %q", got)
	}
	mustStatus(t, v.post(at+"/screening", "s1", "1"), http.StatusUnprocessableEntity)
	if p := v.post(at+"/screening", "s1", "1", "s2", "2"); !strings.HasSuffix(p.path, "/3") {
		t.Errorf("answered, and the screen is %s", p.path)
	}
}

// The plan's page says the rules that are held, and the step that makes them keeps
// the file in order.
func TestRulesAreBuiltAndShown(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(custard)
	v := f.lead()
	step := func(name string, pairs ...string) {
		t.Helper()
		p := v.get("/studies/" + id + "/edit/" + name)
		pairs = append(pairs, "revision", p.html().Find("[name=revision]").AttrOr("value", ""))
		mustStatus(t, v.post("/studies/"+id+"/edit/"+name, pairs...), ok)
	}
	step("panel", "panel.screening", "senses", "do", "save")
	step("panel", "add panel.screening", "Are you hungry?", "do", "save")
	step("panel", "panel.screening[1].leaves out", "no", "do", "save")
	step("analysis", "analysis.stop after", "10", "analysis.stop by", "2026-12-05", "do", "save")
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	stock, _ := study.StockScreenOf("senses")
	want := []study.Screen{stock.In("en"), {ID: "hungry", Ask: "Are you hungry?", LeavesOut: study.No}}
	if got := kept.Asked.Panel.Screening; len(kept.Problems) > 0 || len(got) != 2 || got[0] != want[0] || got[1] != want[1] || kept.Asked.Plan.StopAfter != 10 {
		t.Fatalf("built %+v, %v", got, kept.Problems)
	}
	f.must(f.svc.Lock(t.Context(), id, kept.Revision))
	text := planText(v.get("/studies/" + id + "/plan").html())
	for _, say := range []string{"Whoever says no to “Are you hungry?” is not counted", stock.In("en").Ask, "When 10 assessors have finished, or after 2026-12-05"} {
		if !strings.Contains(text, say) {
			t.Errorf("the plan lacks %q", say)
		}
	}
}

func planText(doc *goquery.Document) string {
	return strings.Join(strings.Fields(doc.Find("main").Text()), " ")
}

// Unticking the program's question leaves the study's own one.
func TestScreeningIsTakenBack(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(screened)
	v := f.lead()
	p := v.get("/studies/" + id + "/edit/panel")
	if p.html().Find("[name='panel.screening'][checked]").Length() != 1 {
		t.Fatal("the program's question is not ticked")
	}
	v.post("/studies/"+id+"/edit/panel", "revision", p.html().Find("[name=revision]").AttrOr("value", ""), "panel.screening", "", "do", "save")
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if got := kept.Asked.Panel.Screening; len(got) != 1 || got[0].ID != "hungry" {
		t.Errorf("left %+v, want the study's own question", got)
	}
}
