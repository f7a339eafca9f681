package servertest

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// Watched is a visitor who keeps every byte that it was given.
type Watched struct {
	*Visitor
	Seen strings.Builder
}

// Get fetches a page as [Visitor.Get] does.
func (w *Watched) Get(path string) Page {
	p := w.Visitor.Get(path)
	w.Seen.WriteString(p.All())
	return p
}

// Post sends a form as [Visitor.Post] does.
func (w *Watched) Post(path string, pairs ...string) Page {
	p := w.Visitor.Post(path, pairs...)
	w.Seen.WriteString(p.All())
	return p
}

// Reads fails when the visitor was given any of the words.
func (w *Watched) Reads(words ...string) {
	w.T.Helper()
	for _, x := range words {
		if at := strings.Index(w.Seen.String(), x); at >= 0 {
			near := w.Seen.String()[max(0, at-120):min(w.Seen.Len(), at+120)]
			w.T.Errorf("the phone was given %q:\n%s", x, near)
		}
	}
}

// Script sends a form as a phone's script does and returns status and answer.
func (v *Visitor) Script(path string, pairs ...string) (int, map[string]any) {
	v.T.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	r, err := http.NewRequestWithContext(v.T.Context(), http.MethodPost, v.Base+path, strings.NewReader(form.Encode()))
	if err != nil {
		v.T.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	r.Header.Set("Origin", v.Base)
	answer, err := v.HTTP.Do(r)
	if err != nil {
		v.T.Fatal(err)
	}
	defer answer.Body.Close()
	var got map[string]any
	if err := json.NewDecoder(answer.Body).Decode(&got); err != nil {
		v.T.Fatalf("%s: status %d, no JSON: %v", path, answer.StatusCode, err)
	}
	return answer.StatusCode, got
}

// Action is where the first form of a page goes to.
func (p Page) Action() string {
	p.T.Helper()
	return p.HTML().Find("form").AttrOr("action", "")
}

// Unpacked is the text of a ZIP file; "" when p is none.
func (p Page) Unpacked() string {
	p.T.Helper()
	if p.Header.Get("Content-Type") != "application/zip" {
		return ""
	}
	files := p.Files()
	var all strings.Builder
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(&all, "== %s\n%s\n", name, files[name])
	}
	return all.String()
}

// Seated returns a study, a phone without scripts on its first serving, and the
// page that it stands on.
func (f *Fixture) Seated(file string) (id panel.StudyID, v *Visitor, p Page) {
	f.T.Helper()
	id, join := f.InState(file, panel.Open)
	v = f.Visitor()
	ballot := v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest").Path
	return id, v, v.Post(ballot + "/start")
}

// Events are what has happened in a study.
func (f *Fixture) Events(id panel.StudyID) []panel.Entry {
	f.T.Helper()
	by := ByLead
	by.Owner = true
	log, err := f.Svc.Log(f.T.Context(), by, id)
	f.Must(err)
	return log.Entries
}

// Partner returns a browser in which the partner is signed in.
func (f *Fixture) Partner() *Visitor { return f.User("Petra", panel.RolePartner) }

// UserPassword is that of all users but the owner.
const UserPassword = "a lamp beside the ledger"

// User adds a user with a role in all studies, and returns a browser in which they are signed in.
func (f *Fixture) User(name string, r panel.Role) *Visitor {
	f.T.Helper()
	_, token, err := f.Svc.AddUser(f.T.Context(), f.LeadSession(), name, r)
	f.Must(err)
	f.Must(f.Svc.AcceptInvitation(f.T.Context(), token, UserPassword))
	v := f.Visitor()
	if p := v.Post("/sign-in", "name", name, "password", UserPassword); p.Path != "/studies" {
		f.T.Fatalf("the sign-in of %s ended at %s, want /studies", name, p.Path)
	}
	return v
}

// NoCanary finds nothing in an answer that its reader may not know.
func NoCanary(t *testing.T, what string, p Page, more ...string) {
	t.Helper()
	for _, word := range append(more, Canaries...) {
		if strings.Contains(p.All(), word) {
			t.Errorf("%s holds %q", what, word)
		}
	}
}
