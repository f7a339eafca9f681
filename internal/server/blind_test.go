package server_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestAssessorNeverReadsWhatIsHidden takes a phone through everything that it
// can fetch, errors and refused addresses included, and reads every byte:
// headers, addresses and bodies.
func TestAssessorNeverReadsWhatIsHidden(t *testing.T) {
	f := servertest.New(t)
	// The rinse pause is real here: it is a screen of its own.
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 30 s", 1), panel.Open)
	w := &servertest.Watched{Visitor: f.Visitor()}

	p := w.Get("/join/" + string(join))
	nonce := p.HTML().Find("input[name=nonce]").AttrOr("value", "")
	w.Post("/join/"+string(join)+"/consent", "nonce", "")
	p = w.Post("/join/"+string(join)+"/consent", "nonce", nonce)
	ballot := p.Path
	w.Get("/join/" + string(join))
	w.Get("/join/" + string(join) + "?anew=1")
	w.Get("/join/" + string(join) + "/declined")
	refusals(w, id, join, ballot)

	p = w.Post(ballot + "/start")
	first, action := p.HTML().Find(".name").Text(), p.HTML().Find("form").AttrOr("action", "")
	second := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[first]
	if second == "" {
		t.Fatalf("the first serving is called %q, want one of the two names", first)
	}
	stored(w, ballot)
	w.Post(action, "a1", "no number", "a2", "12")
	w.Post(action, "a1", "", "a2", "5")
	w.Post(ballot+"/turns/unknown", "a1", "1", "a2", "1")
	w.Get(action)
	p = w.Post(action, "a1", "40", "a2", "5")
	stored(w, ballot)
	w.Get(ballot + "/change")
	w.Get(ballot + "/late")
	w.Get(ballot + "/withdraw")
	if p.HTML().Find(".clock").Length() != 1 {
		t.Fatalf("after the first serving: %s, want the rinse pause", p.HTML().Find("h1").Text())
	}
	refusals(w, id, join, ballot)
	w.Reads(servertest.Canaries...)
	w.Reads(second) // not its turn yet

	f.Clock.Pass(time.Minute)
	p = w.Get(ballot)
	if got := p.HTML().Find(".name").Text(); got != second {
		t.Errorf("the second serving is called %q, want %q", got, second)
	}
	w.Post(action, "a1", "99", "a2", "9") // the back button
	p = w.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
	if got := p.HTML().Find("h1").Text(); got != "Thank you" {
		t.Errorf("the end says %q", got)
	}
	if strings.Contains(p.Body, "Both were the same custard") {
		t.Error("the debrief shows before the study is closed")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	p = w.Get(ballot)
	if !strings.Contains(p.Body, "Both were the same custard") {
		t.Error("the debrief does not show after the study was closed")
	}
	w.Get("/join/" + string(join) + "?anew=1")
	refusals(w, id, join, ballot)
	w.Reads(servertest.Canaries...)
}

// stored asks for everything that a phone may store ahead: the worker, the page
// without network, and the sealed servings.
func stored(w *servertest.Watched, ballot string) {
	w.T.Helper()
	w.Get("/worker.js")
	w.Get(ballot + "/offline")
	if p := w.Get(ballot + "/ahead"); strings.Count(p.Body, `"box":`) != 1 {
		w.T.Errorf("the phone holds %d sealed servings, want one", strings.Count(p.Body, `"box":`))
	}
}

// refusals asks for everything that is not for an assessor.
func refusals(w *servertest.Watched, id panel.StudyID, join panel.JoinToken, ballot string) {
	for _, a := range accessTable {
		path := fill(a.path, id, join, panel.SeatToken(strings.TrimPrefix(ballot, "/t/")))
		if strings.HasPrefix(path, "/studies") && a.method == "GET" {
			w.Get(path)
		}
		if strings.HasPrefix(path, "/studies") && a.method == "POST" {
			w.Post(path, "confirm", "yes", "number", "1")
		}
	}
	w.Get("/")
	w.Get("/setup")
	w.Get("/sign-in")
	w.Get("/no/such/page")
	w.Get(ballot + "/start")
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
	code := regexp.MustCompile(`(?:^|[^.\d])` + string(b.Turn.Code) + `\b`) // not the digits of 0.426
	lead := f.Lead()
	for _, a := range accessTable {
		if a.method != "GET" || !strings.HasPrefix(a.path, "/studies") {
			continue
		}
		p := lead.Get(fill(a.path, id, join, token))
		doc := p.HTML()
		doc.Find(".hash, .detail, .link, svg").Remove() // random characters, where any digits may stand
		if code.MatchString(doc.Text()) {
			t.Errorf("%s shows the code %s", a.path, string(b.Turn.Code))
		}
	}
}

func TestTitlesOfAssessorsPagesSayNothing(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	for _, path := range []string{"/join/" + string(join), "/join/" + string(join) + "/declined", "/t/" +
		string(f.SeatedTokenAt(join))} {
		if got := v.Get(path).HTML().Find("title").Text(); got != "Tasting" {
			t.Errorf("%s: title %q, want Tasting", path, got)
		}
	}
}
