package server_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// sealedBytes are what a phone holds and cannot read: any three digits stand there by chance.
var sealedBytes = regexp.MustCompile(`"(box|salt|nonce)":"[^"]*"`)

// tells reports whether a code stands in what a phone was sent, by itself.
func tells(body, code string) bool {
	return regexp.MustCompile(`\b` + code + `\b`).MatchString(sealedBytes.ReplaceAllString(body, ""))
}

// TestNoByteOfTheNameBeforeTheCode takes a phone through all that it can fetch before the code
// on its plate was typed, with wrong codes too, and reads every byte.
func TestNoByteOfTheNameBeforeTheCode(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Gated, panel.Open)
	w := &servertest.Watched{Visitor: f.Visitor()}
	p := w.Get("/join/" + string(join))
	p = w.Post("/join/"+string(join)+"/consent", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""))
	ballot := p.Path
	token := panel.SeatToken(strings.TrimPrefix(ballot, "/t/"))
	w.Post(ballot + "/start")
	for number, code := range []string{f.Code(id, 0), f.Code(id, 1)} {
		sealed := 2 - number
		p = w.Get(ballot)
		turn := p.HTML().Find("#unlock input[name=turn]").AttrOr("value", "")
		if turn == "" || tells(p.Body, code) {
			t.Fatalf("the page asks for no code, or says it:\n%s", p.Body)
		}
		w.Get("/worker.js")
		w.Get(ballot + "/offline")
		if p = w.Get(ballot + "/ahead"); strings.Count(p.Body, `"box":`) != sealed || tells(p.Body, code) {
			t.Errorf("the phone holds %s, want %d sealed and no code", p.Body, sealed)
		}
		if p = w.Get(ballot + "/events"); tells(p.Body, code) {
			t.Errorf("the phone is told the code: %s", p.Body)
		}
		for _, aside := range []string{"/withdraw", "/stop", "/other-phone", "/plate", "/turns/" + turn} {
			w.Get(ballot + aside)
		}
		w.Post(ballot+"/turns/"+turn, "a1", "5", "a2", "5", "id", "too-soon")
		for _, wrong := range []string{"", "1", "abc"} {
			p = w.Post(ballot+"/plate", "turn", turn, "code", wrong)
			if p.Status != http.StatusUnprocessableEntity || !strings.Contains(p.Body, "tell a member of staff") {
				t.Errorf("code %q: status %d, %s", wrong, p.Status, p.HTML().Find("main").Text())
			}
		}
		refusals(w, id, join, ballot)
		if number == 0 {
			w.Reads(servertest.NameA, servertest.NameB, "How salty is it?", "How much do you like it?")
		}
		p = w.Visitor.Post(ballot+"/plate", "turn", turn, "code", code)
		name := p.HTML().Find(".name").Text()
		if name != servertest.NameA && name != servertest.NameB || p.HTML().Find(".ask").Length() != 2 {
			t.Fatalf("after the code: %q", p.HTML().Find("main").Text())
		}
		other := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[name]
		w.Seen.WriteString(p.All())
		if number == 0 {
			w.Reads(other)
		}
		w.Post(ballot+"/turns/"+turn, "a1", "5", "a2", "5", "id", "in-time-"+code)
	}
	if b, err := f.Svc.Ballot(t.Context(), token); err != nil || b.Stage != panel.StageDone {
		t.Errorf("stage %d, %v; want the end", b.Stage, err)
	}
	w.Reads(servertest.Canaries...)
}

// TestFloorReadsNoQuestionBeforeTheCode: scores are entered under the rule that guests follow.
func TestFloorReadsNoQuestionBeforeTheCode(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Gated, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor/guest")
	p = v.Post("/floor/guest", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""), "allergens", "yes",
		"consent", "yes")
	scores := ""
	p.HTML().Find("a").Each(func(_ int, a *goquery.Selection) {
		if to := a.AttrOr("href", ""); strings.Contains(to, "/scores/") {
			scores = to
		}
	})
	code := p.HTML().Find("header .code").First().Text()
	code = code[len(code)-3:]
	if p = v.Get(scores); p.Status != http.StatusOK || strings.Contains(p.Body, "How salty") ||
		strings.Contains(p.HTML().Find("main").Text(), code) {
		t.Errorf("the scores before the code: %d %s", p.Status, p.HTML().Find("main").Text())
	}
	if p = v.Get(scores + "?code=111"); p.Status != http.StatusUnprocessableEntity ||
		!strings.Contains(p.Body, "Look at the plate again") || strings.Contains(p.Body, "How salty") {
		t.Errorf("another code: %d %s", p.Status, p.HTML().Find("main").Text())
	}
	p = v.Get(scores + "?code=" + code)
	if p.HTML().Find(".ask").Length() != 2 || p.HTML().Find("input[name=code]").AttrOr("value", "") != code {
		t.Fatalf("the right code: %s", p.HTML().Find("main").Text())
	}
	nonce := p.HTML().Find("input[name=nonce]").AttrOr("value", "")
	if p = v.Post(scores, "nonce", nonce, "code", code, "a1", "", "a2", "5"); p.HTML().Find(".problems").Length() != 1 {
		t.Errorf("an answer is missing: %s", p.HTML().Find("main").Text())
	}
	if p = v.Post(scores, "nonce", nonce, "code", code, "a1", "40", "a2", "5"); !strings.Contains(p.Body,
		"The scores are kept") {
		t.Errorf("the scores: %s", p.HTML().Find("main").Text())
	}
}
