package server_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// commented is the custard with a question for comments.
var commented = strings.Replace(custard, "texts:\n", "texts:\n  comment: Anything else?\n", 1)

// hidden returns a field that stands in the page's first form already.
func (p page) hidden(name string) string {
	p.t.Helper()
	return p.html().Find("form input[name="+name+"]").AttrOr("value", "")
}

func (p page) action() string {
	p.t.Helper()
	return p.html().Find("form").AttrOr("action", "")
}

// held returns the ratings of a closed study as "attribute value", in order.
func (f *fixture) held(id string) string {
	f.t.Helper()
	_, ratings, err := f.svc.Ratings(f.t.Context(), id)
	f.must(err)
	var all []string
	for _, r := range ratings {
		all = append(all, fmt.Sprint(r.Attribute, " ", r.Value))
	}
	return strings.Join(all, ", ")
}

// seated returns a study, a phone without scripts on its first serving, and the
// ballot's address.
func (f *fixture) seated(file string) (id string, v *visitor, p page) {
	f.t.Helper()
	id, join := f.inState(file, panel.Open)
	v = f.visitor()
	ballot := v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-guest").path
	return id, v, v.post(ballot + "/start")
}

func TestFormThatIsSentTwiceCountsOnce(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(custard)
	first, action := p.hidden("id"), p.action()
	if len(first) < 16 {
		t.Fatalf("submission id %q, want an unguessable one", first)
	}
	for range 3 {
		p = v.post(action, "id", first, "a1", "10", "a2", "3")
	}
	if got := p.html().Find(".plate h1").Text(); !strings.HasPrefix(got, "Serving 2") {
		t.Errorf("after sending thrice: %q", got)
	}
	if p.hidden("id") == first {
		t.Error("the second serving has the submission id of the first")
	}
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 10" {
		t.Errorf("held: %s", got)
	}
}

func TestLastAnswersCanBeChanged(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(commented)
	ballot := p.path
	if got := v.get(ballot + "/change"); got.path != ballot {
		t.Errorf("with nothing to change, the page is %s", got.path)
	}
	p = v.post(p.action(), "id", p.hidden("id"), "a1", "10", "a2", "3", "comment", "A little <b>sweet</b>.")
	second, secondID := p.action(), p.hidden("id")
	if p.html().Find(`.own a[href="`+ballot+`/change"]`).Length() != 1 {
		t.Fatal("nothing leads to changing the last answers")
	}
	p = v.get(ballot + "/change")
	doc := p.html()
	if got := doc.Find("#a1").AttrOr("value", ""); got != "10" {
		t.Errorf("the line stands at %q, want 10", got)
	}
	if got := doc.Find("[checked]").AttrOr("value", ""); got != "3" {
		t.Errorf("the chosen answer is %q, want 3", got)
	}
	if got := doc.Find("#comment").Text(); got != "A little <b>sweet</b>." {
		t.Errorf("the comment is %q", got)
	}
	change, changeID := p.action(), p.hidden("id")
	back := v.post(change, "id", changeID, "change", "yes", "a1", "", "a2", "4")
	if back.status != http.StatusUnprocessableEntity || back.html().Find(".change").Length() != 1 {
		t.Errorf("a change without an answer: status %d, want 422 on the page for changes", back.status)
	}
	v.post(change, "id", changeID, "change", "yes", "a1", "20", "a2", "4", "comment", "Sweet.")
	v.post(second, "id", secondID, "a1", "70", "a2", "6")
	late := v.post(change, "id", "made-after-the-second", "a1", "99", "a2", "9")
	if got := late.html().Find("h1").Text(); got != "The earlier answers stand" {
		t.Errorf("a change after the next serving ends at %q", got)
	}
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 4, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
	if p = v.get(ballot + "/change"); p.path != ballot {
		t.Errorf("after close, changing ends at %s", p.path)
	}
}

func TestCommentThatIsTooLong(t *testing.T) {
	f := newFixture(t)
	_, v, p := f.seated(commented)
	long := strings.Repeat("x", panel.MaxComment+1)
	p = v.post(p.action(), "id", p.hidden("id"), "a1", "10", "a2", "3", "comment", long)
	doc := p.html()
	if p.status != http.StatusUnprocessableEntity || doc.Find(`.problems a[href="#comment"]`).Length() != 1 {
		t.Errorf("status %d, links %q", p.status, doc.Find(".problems").Text())
	}
	if got := doc.Find("#comment-wrong").Text(); got != "Write at most 1000 characters." {
		t.Errorf("beside the comment stands %q", got)
	}
	if doc.Find("#comment").Text() != long {
		t.Error("the comment did not come back as it was typed")
	}
	if _, p = f.serving(custard); p.html().Find("#comment").Length() != 0 {
		t.Error("a study that asks for no comment has a box for it")
	}
}

func TestAnswersCanBeTakenOut(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(custard)
	ballot, action := p.path, p.action()
	v.post(action, "id", p.hidden("id"), "a1", "10", "a2", "3")
	p = v.get(ballot + "/withdraw")
	if got := p.html().Find("h1").Text(); got != "Take your answers out?" {
		t.Fatalf("heading %q", got)
	}
	p = v.post(p.action())
	if got := p.html().Find("h1").Text(); got != "Your answers are out" || p.path != ballot {
		t.Errorf("after taking them out: %q at %s", got, p.path)
	}
	p = v.post(action, "id", "a-late-submission-of-it", "a1", "10", "a2", "3")
	if got := p.html().Find("h1").Text(); got != "Your answers are out" || p.html().Find(".own").Length() != 0 {
		t.Errorf("answers sent after that end at %q", got)
	}
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "" {
		t.Errorf("held: %s", got)
	}
}

func TestLargeTextIsKept(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard, panel.Open)
	v := f.visitor()
	large := func(p page) bool { return p.html().Find("html.large").Length() == 1 }
	p := v.get("/join/" + join)
	if large(p) {
		t.Error("the text is large before anybody asked for it")
	}
	p = v.get(p.html().Find(".size a").AttrOr("href", ""))
	if !large(p) || p.path != "/join/"+join {
		t.Errorf("after asking for larger text: large %v at %s", large(p), p.path)
	}
	p = v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-guest")
	if !large(p) || !large(v.get("/t/nothing")) {
		t.Error("the choice does not last on the next pages")
	}
	usual := p.html().Find(".size a")
	if usual.Text() != "Usual text size" {
		t.Errorf("the link says %q", usual.Text())
	}
	if large(v.get(usual.AttrOr("href", ""))) {
		t.Error("the text stays large")
	}
}

// script sends a form as a phone's script does and returns status and answer.
func (v *visitor) script(path string, pairs ...string) (int, map[string]any) {
	v.t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	r, err := http.NewRequestWithContext(v.t.Context(), http.MethodPost, v.base+path, strings.NewReader(form.Encode()))
	if err != nil {
		v.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	r.Header.Set("Origin", v.base)
	answer, err := v.http.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	var got map[string]any
	if err := json.NewDecoder(answer.Body).Decode(&got); err != nil {
		v.t.Fatalf("%s: status %d, no JSON: %v", path, answer.StatusCode, err)
	}
	return answer.StatusCode, got
}

func TestScriptIsToldWhatBecameOfASubmission(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(commented)
	ballot, action := p.path, p.action()
	check := func(name string, wantStatus int, want string, pairs ...string) map[string]any {
		t.Helper()
		status, got := v.script(action, pairs...)
		if status != wantStatus || got["outcome"] != want {
			t.Errorf("%s: status %d, outcome %v; want %d, %s", name, status, got["outcome"], wantStatus, want)
		}
		return got
	}
	got := check("no answer", http.StatusUnprocessableEntity, "incomplete", "id", "one", "seq", "1", "a1", "", "a2", "5", "comment", strings.Repeat("x", 1001))
	if want := map[string]any{"a1": "No mark yet: tap the line, or type a number.", "comment": "Write at most 1000 characters."}; !reflect.DeepEqual(got["problems"], want) {
		t.Errorf("problems %v, want %v", got["problems"], want)
	}
	got = check("first", http.StatusOK, "recorded", "id", "two", "seq", "2", "a1", "40", "a2", "5", "comment", "Sweet.")
	if want := map[string]any{"a1": "40", "a2": "5"}; !reflect.DeepEqual(got["held"], want) || got["comment"] != "Sweet." {
		t.Errorf("held %v and %v, want %v and the comment", got["held"], got["comment"], want)
	}
	check("again", http.StatusOK, "repeated", "id", "two", "seq", "2", "a1", "40", "a2", "5")
	check("changed", http.StatusOK, "corrected", "id", "three", "seq", "3", "a1", "50", "a2", "5")
	check("an older one", http.StatusOK, "superseded", "id", "one", "seq", "1", "a1", "10", "a2", "5")
	check("an id that is too long", http.StatusBadRequest, "unknown", "id", strings.Repeat("x", 65), "a1", "10", "a2", "5")
	if status, got := v.script(ballot+"/servings/none", "id", "four", "a1", "1", "a2", "1"); status != http.StatusNotFound || got["outcome"] != "unknown" {
		t.Errorf("no such serving: status %d, %v", status, got)
	}
	f.must(f.svc.Close(t.Context(), id))
	check("after close", http.StatusOK, "after close", "id", "five", "seq", "5", "a1", "10", "a2", "5")
	check("what was taken before close", http.StatusOK, "repeated", "id", "three", "seq", "3", "a1", "50", "a2", "5")
}
