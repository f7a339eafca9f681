package server_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// canaries stand in every field of the study that an assessor may not know.
var canaries = []string{canaryTitle, canaryHypothesis, canaryDish, canaryDishTitle, canarySampleA, canarySampleB, canaryNameID}

// watched is a phone that keeps every byte it was given.
type watched struct {
	*visitor
	seen strings.Builder
}

func (w *watched) get(path string) page {
	p := w.visitor.get(path)
	w.seen.WriteString(p.all())
	return p
}

func (w *watched) post(path string, pairs ...string) page {
	p := w.visitor.post(path, pairs...)
	w.seen.WriteString(p.all())
	return p
}

// TestAssessorNeverReadsWhatIsHidden takes a phone through everything that it
// can fetch, errors and refused addresses included, and reads every byte:
// headers, addresses and bodies.
func TestAssessorNeverReadsWhatIsHidden(t *testing.T) {
	f := newFixture(t)
	// The rinse pause is real here: it is a screen of its own.
	id, join := f.inState(strings.Replace(custard, "rinse: 0 s", "rinse: 30 s", 1), panel.Open)
	w := &watched{visitor: f.visitor()}

	p := w.get("/join/" + join)
	nonce := p.html().Find("input[name=nonce]").AttrOr("value", "")
	w.post("/join/"+join+"/consent", "nonce", "")
	p = w.post("/join/"+join+"/consent", "nonce", nonce)
	ballot := p.path
	w.get("/join/" + join)
	w.get("/join/" + join + "?anew=1")
	w.get("/join/" + join + "/declined")
	w.refusals(id, join, ballot)

	p = w.post(ballot + "/start")
	first, action := p.html().Find(".name").Text(), p.html().Find("form").AttrOr("action", "")
	second := map[string]string{nameA: nameB, nameB: nameA}[first]
	if second == "" {
		t.Fatalf("the first serving is called %q, want one of the two names", first)
	}
	w.stored(ballot)
	w.post(action, "a1", "no number", "a2", "12")
	w.post(action, "a1", "", "a2", "5")
	w.post(ballot+"/servings/unknown", "a1", "1", "a2", "1")
	w.get(action)
	p = w.post(action, "a1", "40", "a2", "5")
	w.stored(ballot)
	w.get(ballot + "/change")
	w.get(ballot + "/late")
	w.get(ballot + "/withdraw")
	if p.html().Find(".clock").Length() != 1 {
		t.Fatalf("after the first serving: %s, want the rinse pause", p.html().Find("h1").Text())
	}
	w.refusals(id, join, ballot)
	w.reads(canaries...)
	w.reads(second) // not its turn yet

	f.clock.pass(time.Minute)
	p = w.get(ballot)
	if got := p.html().Find(".name").Text(); got != second {
		t.Errorf("the second serving is called %q, want %q", got, second)
	}
	w.post(action, "a1", "99", "a2", "9") // the back button
	p = w.post(p.html().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
	if got := p.html().Find("h1").Text(); got != "Thank you" {
		t.Errorf("the end says %q", got)
	}
	if strings.Contains(p.body, "Both were the same custard") {
		t.Error("the debrief shows before the study is closed")
	}
	f.must(f.svc.Close(t.Context(), id))
	p = w.get(ballot)
	if !strings.Contains(p.body, "Both were the same custard") {
		t.Error("the debrief does not show after the study was closed")
	}
	w.get("/join/" + join + "?anew=1")
	w.refusals(id, join, ballot)
	w.reads(canaries...)
}

// stored asks for everything that a phone may store ahead: the worker, the page
// without network, and the sealed servings.
func (w *watched) stored(ballot string) {
	w.t.Helper()
	w.get("/worker.js")
	w.get(ballot + "/offline")
	if p := w.get(ballot + "/ahead"); strings.Count(p.body, `"box":`) != 1 {
		w.t.Errorf("the phone holds %d sealed servings, want one", strings.Count(p.body, `"box":`))
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
	w.t.Helper()
	for _, x := range words {
		if at := strings.Index(w.seen.String(), x); at >= 0 {
			near := w.seen.String()[max(0, at-120):min(w.seen.Len(), at+120)]
			w.t.Errorf("the phone was given %q:\n%s", x, near)
		}
	}
}

// TestLeadSeesNoCodeBeforeClose: which code belongs to which sample is opened by
// closing, so no code of the plan stands on any of the lead's pages before.
func TestLeadSeesNoCodeBeforeClose(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	token, err := f.svc.Consent(t.Context(), join, "a-nonce-of-a-guest", panel.PhoneConsent{})
	f.must(err)
	f.must(f.svc.Start(t.Context(), token))
	b, err := f.svc.Ballot(t.Context(), token)
	f.must(err)
	code := regexp.MustCompile(`\b` + b.Serving.Code + `\b`)
	lead := f.lead()
	for _, a := range accessTable {
		if a.method != "GET" || !strings.HasPrefix(a.path, "/studies") {
			continue
		}
		p := lead.get(fill(a.path, id, join, token))
		doc := p.html()
		doc.Find(".hash, .detail, .link, svg").Remove() // random characters, where any digits may stand
		if code.MatchString(doc.Text()) {
			t.Errorf("%s shows the code %s", a.path, b.Serving.Code)
		}
	}
}

func TestTitlesOfAssessorsPagesSayNothing(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard, panel.Open)
	v := f.visitor()
	for _, path := range []string{"/join/" + join, "/join/" + join + "/declined", "/t/" + f.seatedTokenAt(join)} {
		if got := v.get(path).html().Find("title").Text(); got != "Tasting" {
			t.Errorf("%s: title %q, want Tasting", path, got)
		}
	}
}

func (f *fixture) seatedTokenAt(join string) string {
	f.t.Helper()
	token, err := f.svc.Consent(f.t.Context(), join, "one-more-guest-at-the-table", panel.PhoneConsent{})
	f.must(err)
	return token
}
