package server_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// watched is a phone that keeps every byte it was given.
type watched struct {
	*servertest.Visitor
	seen strings.Builder
}

func (w *watched) get(path string) servertest.Page {
	p := w.Visitor.Get(path)
	w.seen.WriteString(p.All())
	return p
}

func (w *watched) post(path string, pairs ...string) servertest.Page {
	p := w.Visitor.Post(path, pairs...)
	w.seen.WriteString(p.All())
	return p
}

// TestAssessorNeverReadsWhatIsHidden takes a phone through everything that it
// can fetch, errors and refused addresses included, and reads every byte:
// headers, addresses and bodies.
func TestAssessorNeverReadsWhatIsHidden(t *testing.T) {
	f := servertest.New(t)
	// The rinse pause is real here: it is a screen of its own.
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 30 s", 1), panel.Open)
	w := &watched{Visitor: f.Visitor()}

	p := w.get("/join/" + join)
	nonce := p.HTML().Find("input[name=nonce]").AttrOr("value", "")
	w.post("/join/"+join+"/consent", "nonce", "")
	p = w.post("/join/"+join+"/consent", "nonce", nonce)
	ballot := p.Path
	w.get("/join/" + join)
	w.get("/join/" + join + "?anew=1")
	w.get("/join/" + join + "/declined")
	w.refusals(id, join, ballot)

	p = w.post(ballot + "/start")
	first, action := p.HTML().Find(".name").Text(), p.HTML().Find("form").AttrOr("action", "")
	second := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[first]
	if second == "" {
		t.Fatalf("the first serving is called %q, want one of the two names", first)
	}
	w.stored(ballot)
	w.post(action, "a1", "no number", "a2", "12")
	w.post(action, "a1", "", "a2", "5")
	w.post(ballot+"/turns/unknown", "a1", "1", "a2", "1")
	w.get(action)
	p = w.post(action, "a1", "40", "a2", "5")
	w.stored(ballot)
	w.get(ballot + "/change")
	w.get(ballot + "/late")
	w.get(ballot + "/withdraw")
	if p.HTML().Find(".clock").Length() != 1 {
		t.Fatalf("after the first serving: %s, want the rinse pause", p.HTML().Find("h1").Text())
	}
	w.refusals(id, join, ballot)
	w.reads(servertest.Canaries...)
	w.reads(second) // not its turn yet

	f.Clock.Pass(time.Minute)
	p = w.get(ballot)
	if got := p.HTML().Find(".name").Text(); got != second {
		t.Errorf("the second serving is called %q, want %q", got, second)
	}
	w.post(action, "a1", "99", "a2", "9") // the back button
	p = w.post(p.HTML().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
	if got := p.HTML().Find("h1").Text(); got != "Thank you" {
		t.Errorf("the end says %q", got)
	}
	if strings.Contains(p.Body, "Both were the same custard") {
		t.Error("the debrief shows before the study is closed")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	p = w.get(ballot)
	if !strings.Contains(p.Body, "Both were the same custard") {
		t.Error("the debrief does not show after the study was closed")
	}
	w.get("/join/" + join + "?anew=1")
	w.refusals(id, join, ballot)
	w.reads(servertest.Canaries...)
}

// stored asks for everything that a phone may store ahead: the worker, the page
// without network, and the sealed servings.
func (w *watched) stored(ballot string) {
	w.T.Helper()
	w.get("/worker.js")
	w.get(ballot + "/offline")
	if p := w.get(ballot + "/ahead"); strings.Count(p.Body, `"box":`) != 1 {
		w.T.Errorf("the phone holds %d sealed servings, want one", strings.Count(p.Body, `"box":`))
	}
}

// refusals asks for everything that is not for an assessor.
func (w *watched) refusals(id, join, ballot string) {
	for _, a := range accessTable {
		path := fill(a.path, id, join, strings.TrimPrefix(ballot, "/t/"))
		if strings.HasPrefix(path, "/studies") && a.method == "GET" {
			w.get(path)
		}
		if strings.HasPrefix(path, "/studies") && a.method == "POST" {
			w.post(path, "confirm", "yes", "number", "1")
		}
	}
	w.get("/")
	w.get("/setup")
	w.get("/sign-in")
	w.get("/no/such/page")
	w.get(ballot + "/start")
}

// reads fails when the phone was given any of the words.
func (w *watched) reads(words ...string) {
	w.T.Helper()
	for _, x := range words {
		if at := strings.Index(w.seen.String(), x); at >= 0 {
			near := w.seen.String()[max(0, at-120):min(w.seen.Len(), at+120)]
			w.T.Errorf("the phone was given %q:\n%s", x, near)
		}
	}
}

// TestLeadSeesNoCodeBeforeClose: which code belongs to which sample is opened by
// closing, so no code of the plan stands on any of the lead's pages before.
func TestLeadSeesNoCodeBeforeClose(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token, err := f.Svc.Consent(t.Context(), join, "a-nonce-of-a-guest", panel.PhoneConsent{})
	f.Must(err)
	f.Must(f.Svc.Start(t.Context(), token))
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	code := regexp.MustCompile(`\b` + b.Turn.Code + `\b`)
	lead := f.Lead()
	for _, a := range accessTable {
		if a.method != "GET" || !strings.HasPrefix(a.path, "/studies") {
			continue
		}
		p := lead.Get(fill(a.path, id, join, token))
		doc := p.HTML()
		doc.Find(".hash, .detail, .link, svg").Remove() // random characters, where any digits may stand
		if code.MatchString(doc.Text()) {
			t.Errorf("%s shows the code %s", a.path, b.Turn.Code)
		}
	}
}

func TestTitlesOfAssessorsPagesSayNothing(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	for _, path := range []string{"/join/" + join, "/join/" + join + "/declined", "/t/" + f.SeatedTokenAt(join)} {
		if got := v.Get(path).HTML().Find("title").Text(); got != "Tasting" {
			t.Errorf("%s: title %q, want Tasting", path, got)
		}
	}
}
