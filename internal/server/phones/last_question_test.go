package phones_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
	"cloche/internal/words"
)

// The page comes after the last plate, comes back half answered, and leads to the thanks.
func TestPhoneAsksAfterTheLastPlate(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.AskingLast, panel.Open)
	f.Tasted(join, "a-nonce-of-a-guest", "10")
	token, err := f.Svc.Consent(t.Context(), join, "a-nonce-of-a-guest", panel.PhoneConsent{})
	f.Must(err)
	v, at := f.Visitor(), "/t/"+string(token)
	asked := "Were your plates the same dish"
	for _, path := range []string{at, at + "/ahead", at + "/offline"} {
		if strings.Contains(v.Get(path).All(), asked) {
			t.Errorf("%s tells the last question before the last plate", path)
		}
	}
	if p := v.Post(at+"/last", "guess", "1"); p.Path != at || p.HTML().Find(".plate").Length() != 1 {
		t.Errorf("an answer before the last plate leads to %s", p.Path)
	}
	f.Tasted(join, "a-nonce-of-a-guest", "20")
	p := v.Get(at)
	doc := p.HTML()
	if doc.Find("h1").Text() != "To finish" || !strings.HasPrefix(doc.Find("legend").Text(), asked) ||
		doc.Find("[name=guess]").Length() != 3 || doc.Find(`a[href$="/change"]`).Length() != 0 {
		t.Fatalf("the page asks %s", doc.Find("main").Text())
	}
	for _, x := range servertest.Canaries {
		if strings.Contains(p.All(), x) {
			t.Errorf("the page tells %q", x)
		}
	}
	back := v.Post(at+"/last", "comment", "The name.")
	servertest.MustStatus(t, back, http.StatusUnprocessableEntity)
	if got := back.HTML(); got.Find("#guess-wrong").Length() != 1 || got.Find("#comment").Text() != "The name." {
		t.Errorf("half answered: %s", got.Find("main").Text())
	}
	if p := v.Post(at+"/last", "comment", "The name.", "guess", "2"); p.HTML().Find("h1").Text() != "Thank you" {
		t.Errorf("answered, and the page is %s", p.HTML().Find("main").Text())
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.InPackage(id, "guesses.csv"); !strings.Contains(got, "1,different,false,The name.,false,") {
		t.Errorf("exported: %s", got)
	}
}

func TestPhoneAsksLastInEveryLanguage(t *testing.T) {
	f := servertest.New(t)
	for _, lang := range study.Spoken {
		_, join := f.InState(strings.Replace(servertest.AskingLast, "question:", "languages: ["+lang+"]\nquestion:", 1),
			panel.Open)
		f.Tasted(join, "a-nonce-of-a-guest", "10", "20")
		token, err := f.Svc.Consent(t.Context(), join, "a-nonce-of-a-guest", panel.PhoneConsent{})
		f.Must(err)
		doc := f.Visitor().Get("/t/" + string(token)).HTML()
		spec := &study.Study{Languages: []string{lang}, Panel: study.Panel{LastQuestion: study.AskSame}}
		if doc.Find("h1").Text() != words.In(lang).LastHeading || doc.Find("legend").Text() != spec.GuessAsk() ||
			doc.Find(".comment label").Text() != spec.ComparedAsk() {
			t.Errorf("%s: %s", lang, doc.Find("main").Text())
		}
	}
}

// A rehearsal shows the page, and sends it back half answered.
func TestRehearsalAsksAfterTheLastPlate(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.AskingLast)
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal/1/en/5"
	if got := v.Get(at).HTML().Find("h1").Text(); got != "To finish" {
		t.Fatalf("screen 5 is %q", got)
	}
	servertest.MustStatus(t, v.Post(at+"/last"), http.StatusUnprocessableEntity)
	if p := v.Post(at+"/last", "guess", "3"); !strings.HasSuffix(p.Path, "/6") {
		t.Errorf("answered, and the screen is %s", p.Path)
	}
}
