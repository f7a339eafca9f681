package server_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/studies"
)

func TestTheLibraryIsSearched(t *testing.T) {
	f := newFixture(t)
	f.inState(custard, panel.Closed)
	other, err := f.svc.Begin(t.Context(), []byte("cloche: 1\ntitle: Does resting help a roast?\ndishes:\n  - {id: roast, title: Roast beetroot}\n  -"), "half done")
	f.must(err)
	broken, err := f.svc.Begin(t.Context(), []byte("dishes: [{"), "no YAML")
	f.must(err)
	lead := f.lead()
	for query, want := range map[string]int{"": 3, "ROYALE": 1, "canarydishtitle": 1, "roast beetroot": 1, "beetroot rest": 1, "roast royale": 0, "untitled": 1, "<b>": 0} {
		p := lead.get("/studies?q=" + url.QueryEscape(query))
		if got := p.html().Find("#main .studies a").Length(); got != want {
			t.Errorf("%q finds %d studies, want %d", query, got, want)
		}
		if got := p.html().Find("#q").AttrOr("value", ""); got != query {
			t.Errorf("the search for %q comes back as %q", query, got)
		}
	}
	if p := lead.get("/studies?q=" + strings.Repeat("é", 5000)); p.status != http.StatusOK {
		t.Errorf("a long search: status %d", p.status)
	}
	lead.post("/studies/" + other.ID + "/archive")
	if got := lead.get("/studies").html().Find("details .studies a").Text(); !strings.Contains(got, "resting") {
		t.Errorf("archived: %q", got)
	}
	lead.post("/studies/"+other.ID+"/archive", "out", "yes")
	if lead.get("/studies").html().Find("details").Length() != 0 {
		t.Error("taken out, it stands in the archive still")
	}
	if p := lead.get("/studies/" + broken.ID); p.status != http.StatusOK || p.html().Find("h1").Text() != "Untitled" {
		t.Errorf("a draft that is no YAML: status %d, %q", p.status, p.html().Find("h1").Text())
	}
}

func TestACopyAndAnAmendment(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Closed)
	lead := f.lead()
	p := lead.post("/studies/" + id + "/copy")
	if p.html().Find(".state").Text() != "draft" || p.path == "/studies/"+id {
		t.Errorf("a copy ends at %s", p.path)
	}
	form := "/studies/" + id + "/amend"
	p = lead.post(form, "reason", "")
	if p.status != http.StatusUnprocessableEntity || p.html().Find(".problems a[href='#reason']").Length() != 1 {
		t.Errorf("no reason: status %d", p.status)
	}
	long := strings.Repeat("x", panel.MaxReason+1)
	if p = lead.post(form, "reason", long); p.status != http.StatusUnprocessableEntity || !strings.Contains(p.html().Find("#reason").Text(), long) {
		t.Error("what was typed is lost")
	}
	p = lead.post(form, "reason", "The oven <failed>.")
	next := strings.TrimPrefix(p.path, "/studies/")
	if text := p.html().Text(); !strings.Contains(text, "Version 2, draft") || !strings.Contains(text, "Begun when 6 servings of version 1 were rated, because: The oven <failed>.") {
		t.Errorf("version 2 shows %s", p.html().Find(".studies").Text())
	}
	if p = lead.get(form); p.status != http.StatusConflict {
		t.Errorf("amend it twice: status %d", p.status)
	}
	f.must(f.svc.Lock(t.Context(), next, 1))
	for path, want := range map[string]string{
		"/studies/" + id: "version 2 took the place of version 1", "/studies/" + id + "/findings.json": `"code": "plan-changed"`,
		"/studies/" + next + "/plan": "This is version 2.", "/studies": "version 2 · locked",
	} {
		if !strings.Contains(lead.get(path).body, want) {
			t.Errorf("%s lacks %q", path, want)
		}
	}
}

// TestAVersionThatWasReplacedIsNotOpened looks at both versions before and after
// the lock of the second.
func TestAVersionThatWasReplacedIsNotOpened(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Locked)
	next, err := f.svc.Amend(t.Context(), id, "a reason")
	f.must(err)
	lead := f.lead()
	opens := func(id string) bool {
		return lead.get("/studies/"+id).html().Find("form[action$='/sittings']").Length() == 1
	}
	if !opens(id) {
		t.Error("a draft of version 2 keeps version 1 from being opened")
	}
	f.must(f.svc.Lock(t.Context(), next.ID, 1))
	if opens(id) || !opens(next.ID) {
		t.Errorf("version 1 can be opened: %v, version 2: %v", opens(id), opens(next.ID))
	}
	if p := lead.post("/studies/"+id+"/sittings", "number", "1"); p.status != http.StatusConflict || !strings.Contains(p.body, "A later version rests on this one") {
		t.Errorf("opening version 1 all the same: status %d", p.status)
	}
}

func TestDeletingAsksTwice(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Closed)
	lead := f.lead()
	page := "/studies/" + id + "/delete"
	p := lead.get(page)
	if p.html().Find("form[action='"+page+"']").Length() != 0 || p.html().Find("a[href='/studies/"+id+"/data.zip']").Length() != 1 {
		t.Error("a study that was not exported can be deleted, or no export is offered")
	}
	if p = lead.post(page, "confirm", "yes"); p.status != http.StatusConflict || !strings.Contains(p.body, "Export the study first") {
		t.Errorf("deleted without an export: status %d", p.status)
	}
	pack := unpacked(t, lead.get("/studies/"+id+"/data.zip"))
	for _, want := range []string{"== README.txt", "== ratings.csv", "== study.yaml", "== photo-" + canaryDish + ".jpg", "== SHA256SUMS"} {
		if !strings.Contains(pack, want) {
			t.Errorf("the export lacks %q", want)
		}
	}
	p = lead.get(page)
	if text := p.html().Text(); !strings.Contains(text, "the answers of 3 assessors to 6 servings") || p.html().Find("#confirm").Length() != 1 {
		t.Errorf("the page says %s", text)
	}
	if p = lead.post(page); p.status != http.StatusUnprocessableEntity || p.html().Find(".problems a[href='#confirm']").Length() != 1 {
		t.Errorf("not confirmed: status %d", p.status)
	}
	if p = lead.post(page, "confirm", "yes"); p.path != "/studies" {
		t.Errorf("deleted, the page is %s", p.path)
	}
	if p = lead.get("/studies/" + id); p.status != http.StatusNotFound {
		t.Errorf("the study is there still: status %d", p.status)
	}
}

// TestADraftIsExportedAsItStands downloads a half-done draft, and one that changed.
func TestADraftIsExportedAsItStands(t *testing.T) {
	f := newFixture(t)
	draft, err := f.svc.Begin(t.Context(), []byte("title: ["), "half done")
	f.must(err)
	lead := f.lead()
	if pack := unpacked(t, lead.get("/studies/"+draft.ID+"/data.zip")); !strings.Contains(pack, "== study.yaml\ntitle: [\n") {
		t.Errorf("the export of a draft is %s", pack)
	}
	_, err = f.svc.SaveDraft(t.Context(), draft.ID, draft.Revision, studies.CeleriacCustard)
	f.must(err)
	if p := lead.post("/studies/"+draft.ID+"/delete", "confirm", "yes"); p.status != http.StatusConflict {
		t.Errorf("a draft that changed since is deleted: status %d", p.status)
	}
	lead.get("/studies/" + draft.ID + "/data.zip")
	if p := lead.post("/studies/"+draft.ID+"/delete", "confirm", "yes"); p.path != "/studies" {
		t.Errorf("deleting ends at %s with status %d", p.path, p.status)
	}
}
