package desk_test

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/desk"
	"cloche/internal/server/servertest"
	"cloche/internal/server/summary"
	"cloche/studies"
)

func TestTheLibraryIsSearched(t *testing.T) {
	f := servertest.New(t)
	f.InState(servertest.Custard, panel.Closed)
	other, err := f.Svc.Begin(t.Context(), servertest.ByLead,
		[]byte("cloche: 1\ntitle: Does resting help a roast?\ndishes:\n  - {id: roast, title: Roast beetroot}\n  -"),
		"half done")
	f.Must(err)
	broken, err := f.Svc.Begin(t.Context(), servertest.ByLead, []byte("dishes: [{"), "no YAML")
	f.Must(err)
	lead := f.Lead()
	for query, want := range map[string]int{"": 3, "ROYALE": 1, "canarydishtitle": 1, "roast beetroot": 1,
		"beetroot rest": 1, "roast royale": 0, "untitled": 1, "<b>": 0} {
		p := lead.Get("/studies?q=" + url.QueryEscape(query))
		if got := p.HTML().Find("#main .studies a").Length(); got != want {
			t.Errorf("%q finds %d studies, want %d", query, got, want)
		}
		if got := p.HTML().Find("#q").AttrOr("value", ""); got != query {
			t.Errorf("the search for %q comes back as %q", query, got)
		}
	}
	if p := lead.Get("/studies?q=" + strings.Repeat("é", 5000)); p.Status != http.StatusOK {
		t.Errorf("a long search: status %d", p.Status)
	}
	lead.Post("/studies/" + string(other.ID) + "/archive")
	if got := lead.Get("/studies").HTML().Find("details .studies a").Text(); !strings.Contains(got, "resting") {
		t.Errorf("archived: %q", got)
	}
	lead.Post("/studies/"+string(other.ID)+"/archive", "out", "yes")
	if lead.Get("/studies").HTML().Find("details").Length() != 0 {
		t.Error("taken out, it stands in the archive still")
	}
	if p := lead.Get("/studies/" + string(broken.ID)); p.Status != http.StatusOK ||
		p.HTML().Find("h1").Text() != "Untitled" {
		t.Errorf("a draft that is no YAML: status %d, %q", p.Status, p.HTML().Find("h1").Text())
	}
}

func TestACopyAndAnAmendment(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	lead := f.Lead()
	p := lead.Post("/studies/" + string(id) + "/copy")
	if p.HTML().Find(".state").Text() != "draft" || p.Path == "/studies/"+string(id) {
		t.Errorf("a copy ends at %s", p.Path)
	}
	form := "/studies/" + string(id) + "/amend"
	p = lead.Post(form, "reason", "")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find(".problems a[href='#reason']").Length() != 1 {
		t.Errorf("no reason: status %d", p.Status)
	}
	long := strings.Repeat("x", panel.MaxReason+1)
	if p = lead.Post(form, "reason", long); p.Status != http.StatusUnprocessableEntity ||
		!strings.Contains(p.HTML().Find("#reason").Text(), long) {
		t.Error("what was typed is lost")
	}
	p = lead.Post(form, "reason", "The oven <failed>.")
	next := strings.TrimPrefix(p.Path, "/studies/")
	if text := p.HTML().Text(); !strings.Contains(text, "Version 2, draft") ||
		!strings.Contains(text, "Started when 6 servings of version 1 were rated, because: The oven <failed>.") {
		t.Errorf("version 2 shows %s", p.HTML().Find(".studies").Text())
	}
	if p = lead.Get(form); p.Status != http.StatusConflict {
		t.Errorf("amend it twice: status %d", p.Status)
	}
	f.Must(f.Svc.Lock(t.Context(), servertest.ByLead, panel.StudyID(next), 1))
	for path, want := range map[string]string{
		"/studies/" + string(id):                    "version 2 took the place of version 1",
		"/studies/" + string(id) + "/findings.json": `"code": "plan-changed"`,
		"/studies/" + next + "/plan":                "This is version 2.", "/studies": "version 2 · locked",
	} {
		if !strings.Contains(lead.Get(path).Body, want) {
			t.Errorf("%s lacks %q", path, want)
		}
	}
}

// TestAVersionThatWasReplacedIsNotOpened looks at both versions before and after
// the lock of the second.
func TestAVersionThatWasReplacedIsNotOpened(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Locked)
	next, err := f.Svc.Amend(t.Context(), servertest.ByLead, id, "a reason")
	f.Must(err)
	lead := f.Lead()
	opens := func(id panel.StudyID) bool {
		return lead.Get("/studies/"+string(id)).HTML().Find("form[action$='/sittings']").Length() == 1
	}
	if !opens(id) {
		t.Error("a draft of version 2 keeps version 1 from being opened")
	}
	f.Must(f.Svc.Lock(t.Context(), servertest.ByLead, next.ID, 1))
	if opens(id) || !opens(next.ID) {
		t.Errorf("version 1 can be opened: %v, version 2: %v", opens(id), opens(next.ID))
	}
	if p := lead.Post("/studies/"+string(id)+"/sittings", "number", "1"); p.Status != http.StatusConflict ||
		!strings.Contains(p.Body, "A later version rests on this one") {
		t.Errorf("opening version 1 all the same: status %d", p.Status)
	}
}

func TestDeletingAsksTwice(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	lead := f.Lead()
	page := "/studies/" + string(id) + "/delete"
	p := lead.Get(page)
	if p.HTML().Find("form[action='"+page+"']").Length() != 0 ||
		p.HTML().Find("a[href='/studies/"+string(id)+"/data.zip']").Length() != 1 {
		t.Error("a study that was not exported can be deleted, or no export is offered")
	}
	if p = lead.Post(page, "confirm", "yes"); p.Status != http.StatusConflict ||
		!strings.Contains(p.Body, "Export the study first") {
		t.Errorf("deleted without an export: status %d", p.Status)
	}
	pack := lead.Get("/studies/" + string(id) + "/data.zip").Unpacked()
	for _, want := range []string{"== README.txt", "== ratings.csv", "== study.yaml",
		"== photo-" + servertest.CanaryDish + ".jpg", "== SHA256SUMS"} {
		if !strings.Contains(pack, want) {
			t.Errorf("the export lacks %q", want)
		}
	}
	p = lead.Get(page)
	if text := p.HTML().Text(); !strings.Contains(text, "all answers (assessors: 3, servings: 6)") ||
		p.HTML().Find("#confirm").Length() != 1 {
		t.Errorf("the page says %s", text)
	}
	if p = lead.Post(page); p.Status != http.StatusUnprocessableEntity ||
		p.HTML().Find(".problems a[href='#confirm']").Length() != 1 {
		t.Errorf("not confirmed: status %d", p.Status)
	}
	if p = lead.Post(page, "confirm", "yes"); p.Path != "/studies" {
		t.Errorf("deleted, the page is %s", p.Path)
	}
	if p = lead.Get("/studies/" + string(id)); p.Status != http.StatusNotFound {
		t.Errorf("the study is there still: status %d", p.Status)
	}
}

// TestADraftIsExportedAsItStands downloads a half-done draft, and one that changed.
func TestADraftIsExportedAsItStands(t *testing.T) {
	f := servertest.New(t)
	draft, err := f.Svc.Begin(t.Context(), servertest.ByLead, []byte("title: ["), "half done")
	f.Must(err)
	lead := f.Lead()
	if pack := lead.Get("/studies/" + string(draft.ID) + "/data.zip").Unpacked(); !strings.Contains(pack,
		"== study.yaml\ntitle: [\n") {
		t.Errorf("the export of a draft is %s", pack)
	}
	_, err = f.Svc.SaveDraft(t.Context(), servertest.ByLead, draft.ID, draft.Revision, studies.CeleriacCustard)
	f.Must(err)
	if p := lead.Post("/studies/"+string(draft.ID)+"/delete", "confirm", "yes"); p.Status != http.StatusConflict {
		t.Errorf("a draft that changed since is deleted: status %d", p.Status)
	}
	lead.Get("/studies/" + string(draft.ID) + "/data.zip")
	if p := lead.Post("/studies/"+string(draft.ID)+"/delete", "confirm", "yes"); p.Path != "/studies" {
		t.Errorf("deleting ends at %s with status %d", p.Path, p.Status)
	}
}

// What the list says of a closed study is found when it is closed, kept, and found anew once
// answers are gone; files that were taken away leave it.
func TestTheLibraryKeepsWhatWasFound(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	for i, salt := range []string{"20", "30", "40", "35"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, []string{"70", "40", "60", "65"}[i])
	}
	leaver := f.SeatedToken(id, join)
	lead := f.Lead()
	line := func() string {
		return strings.Join(strings.Fields(lead.Get("/studies").HTML().Find(".studies").Text()), " ")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if first := line(); !strings.Contains(first, "Open it to see what was found") {
		t.Fatalf("before anything was found the list says %q", first)
	}
	ctx, stop := context.WithCancel(t.Context())
	var beside sync.WaitGroup
	beside.Go(func() { desk.KeepVerdicts(ctx, f.Svc, slog.New(slog.NewTextHandler(t.Output(), nil))) })
	defer func() { stop(); beside.Wait() }()
	soon(t, "the verdict stands in the list", func() bool { return strings.Contains(line(), "4 guests") })
	first := line()
	kept := func() panel.VerdictLine {
		all, err := f.Svc.VerdictLines(t.Context(), summary.Software(), []panel.StudyID{id})
		f.Must(err)
		return all[id]
	}
	was := kept()
	lead.Get("/studies/" + string(id) + "/data.zip")
	if now := kept(); now != was {
		t.Errorf("after a download %+v is kept, before it %+v", now, was)
	}
	f.Must(f.Svc.Withdraw(t.Context(), leaver))
	soon(t, "it is found anew once answers are gone", func() bool { return kept().AsOf > was.AsOf })
	if again := line(); again != first {
		t.Errorf("found anew it says %q", again)
	}
}

// A service that has just started finds anew what was found last, beside requests, though the
// list needs it not: its first reports are ready then.
func TestReportsAreReadyAfterAStart(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	for _, salt := range []string{"20", "30", "40"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, "60")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	for _, start := range []string{"first", "second"} {
		ctx, stop := context.WithCancel(t.Context())
		said := make(chan panel.StudyID, 8)
		var beside sync.WaitGroup
		beside.Go(func() {
			f.Svc.KeepVerdictLines(ctx, "a build", func(x panel.Study, _ *analysis.Result) (string, int) {
				said <- x.ID
				return "said", 3
			}, func(x panel.StudyID, err error) { t.Error(x, err) })
		})
		soon(t, "found at the "+start+" start", func() bool { return len(said) > 0 })
		soon(t, "kept at the "+start+" start", func() bool {
			all, err := f.Svc.VerdictLines(t.Context(), "a build", []panel.StudyID{id})
			f.Must(err)
			return all[id].Said == "said"
		})
		stop()
		beside.Wait()
		if got := <-said; got != id || len(said) > 0 {
			t.Errorf("at the %s start %s was found, and %d more", start, got, len(said))
		}
	}
}

// soon waits until something is so.
func soon(t *testing.T, what string, is func() bool) {
	t.Helper()
	for until := time.Now().Add(time.Minute); !is(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatalf("not so after a minute: %s", what)
		}
	}
}

// The list shows the latest studies of a state, and all when it is asked.
func TestALongLibraryShowsTheLatest(t *testing.T) {
	f := servertest.New(t)
	for i := range 52 {
		title := fmt.Sprintf("Course %d", i+1)
		_, err := f.Svc.Begin(t.Context(), servertest.ByLead, []byte("title: "+title+"\n"), title)
		f.Must(err)
	}
	lead := f.Lead()
	short := lead.Get("/studies?q=course").HTML()
	if n := short.Find(".studies li").Length(); n != 50 {
		t.Errorf("%d studies are shown", n)
	}
	more := short.Find("main a").FilterFunction(func(_ int, a *goquery.Selection) bool {
		return a.Text() == "Show all 52"
	})
	at, _ := more.Attr("href")
	all := lead.Get(at).HTML()
	if all.Find(".studies li").Length() != 52 || all.Find("#q").AttrOr("value", "") != "course" {
		t.Errorf("%q shows %d studies", at, all.Find(".studies li").Length())
	}
}
