package server_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// planted closes an attribute, a script and an element, and begins an element of its own:
// wherever it is written without being escaped, the page has an element that is called so,
// or something with the attribute.
const planted = `'"></script></textarea><planted onplanted="x`

// withMarkup has the markup in every text that a lead writes.
func withMarkup() string {
	quoted := `"` + strings.ReplaceAll(planted, `"`, `\"`) + `"`
	return strings.NewReplacer(
		"CANARYTITLE does a name change a custard?", quoted, "CANARYHYPOTHESIS the dessert's name makes it saltier",
		quoted, "CANARYDISHTITLE custard", quoted, "[nutmeg]", "["+quoted+"]",
		"text: celeriac crème brûlée", `text: "a `+quoted[1:], "text: celeriac royale", `text: "b `+quoted[1:],
		"How salty is it?", quoted, "[not at all salty, extremely salty]",
		`["c `+quoted[1:]+`, "d `+quoted[1:]+`]`, "How much do you like it?", quoted,
		"I agree to taste two spoonfuls.", quoted, "Take a spoonful, then answer.", quoted, "That was all.", quoted,
		"Both were the same custard under two names.", quoted+"\n  comment: "+quoted,
	).Replace(servertest.Custard)
}

// bodies are the pages and pictures of an answer: itself, or what is in a package.
func bodies(t *testing.T, path string, p servertest.Page) map[string]string {
	t.Helper()
	if !strings.HasSuffix(path, ".zip") {
		return map[string]string{path: p.Body}
	}
	archive, err := zip.NewReader(strings.NewReader(p.Body), int64(len(p.Body)))
	if err != nil {
		t.Fatal(err)
	}
	in := map[string]string{}
	for _, x := range archive.File {
		if !strings.HasSuffix(x.Name, ".html") && !strings.HasSuffix(x.Name, ".svg") {
			continue
		}
		r, err := x.Open()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if _, err := io.Copy(&b, r); err != nil {
			t.Fatal(err)
		}
		in[path+"/"+x.Name] = b.String()
	}
	return in
}

// comments takes a guest through the whole ballot, with markup as comment.
func comments(t *testing.T, f *servertest.Fixture, join panel.JoinToken, nonce, salt string) {
	t.Helper()
	token := f.Began(join, nonce)
	for range 2 {
		b, err := f.Svc.Ballot(t.Context(), token)
		f.Must(err)
		_, err = f.Svc.Submit(t.Context(), token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
			Given: map[string]string{"a1": salt, "a2": "6"}, Comment: planted})
		f.Must(err)
	}
}

// TestTextsAreNeverMarkup opens every screen, print and download of studies whose every text
// is markup, and in which guests, floor and kitchen typed it too.
func TestTextsAreNeverMarkup(t *testing.T) {
	f := servertest.New(t)
	paths, prepare := f.EveryScreen(withMarkup())
	v := f.Visitor()
	shown := 0
	look := func(v *servertest.Visitor, path string) {
		t.Helper()
		p := v.Get(path)
		if p.Status != http.StatusOK {
			t.Errorf("%s: status %d", path, p.Status)
		}
		kind := p.Header.Get("Content-Type")
		if !strings.HasPrefix(kind, "text/html") && !strings.HasPrefix(kind, "image/svg") && kind != "application/zip" {
			t.Errorf("%s is %q", path, kind)
		}
		for name, body := range bodies(t, path, p) {
			shown += strings.Count(body, "planted")
			doc, err := goquery.NewDocumentFromReader(strings.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			if n := doc.Find("planted, [onplanted]").Length(); n > 0 {
				t.Errorf("%s: %d of the texts are markup", name, n)
			}
		}
	}
	for _, path := range paths {
		if do := prepare[path]; do != nil {
			do()
		}
		if path == "/studies" {
			v = f.Lead()
		}
		look(v, path)
	}
	id, join := f.InState(withMarkup(), panel.Open)
	floor, kitchen := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen)
	f.Began(join, "a-guest-at-a-planted-table")
	f.Began(join, "a-guest-at-no-table")
	links := f.FloorLinks(floor)
	for i, act := range []string{"/place", "/place"} {
		floor.Post(links[i][0]+act, "place", planted)
	}
	floor.Post(links[0][1])
	kitchen.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius", planted)
	for _, path := range []string{"/floor", "/floor?show=all", "/floor?show=table", links[0][0], links[1][0],
		"/floor/guest", "/floor/ballots", "/floor/blind", "/floor/hand-over",
		links[0][0] + "/tablet"} {
		look(floor, path)
	}
	for _, path := range []string{"/kitchen", "/kitchen/plating", "/kitchen/labels", "/kitchen/blind"} {
		look(kitchen, path)
	}
	closed, over := f.InState(withMarkup(), panel.Open)
	for i, nonce := range []string{"the-first-who-comments", "the-second-who-comments", "the-third-who-comments"} {
		comments(t, f, over, nonce, fmt.Sprint(10+10*i))
	}
	f.Must(f.Svc.Close(t.Context(), f.LeadSession(), closed))
	at := "/studies/" + string(closed)
	for _, path := range []string{at, at + "/plan", at + "/log", at + "/data.zip", at + "/card", at + "/card.svg"} {
		look(v, path)
	}
	if shown < 500 {
		t.Errorf("the markup was shown %d times only", shown)
	}
}
