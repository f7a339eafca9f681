package phones_test

import (
	"net/http"
	"reflect"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// hidden returns a field that stands in the page's first form already.
func hiddenIn(p servertest.Page, name string) string {
	p.T.Helper()
	return p.HTML().Find("form input[name="+name+"]").AttrOr("value", "")
}

func TestFormThatIsSentTwiceCountsOnce(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Custard)
	first, action := hiddenIn(p, "id"), p.Action()
	if len(first) < 16 {
		t.Fatalf("submission id %q, want an unguessable one", first)
	}
	for range 3 {
		p = v.Post(action, "id", first, "a1", "10", "a2", "3")
	}
	if got := p.HTML().Find(".plate h1").Text(); !strings.HasPrefix(got, "Serving 2") {
		t.Errorf("after sending thrice: %q", got)
	}
	if hiddenIn(p, "id") == first {
		t.Error("the second serving has the submission id of the first")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 10" {
		t.Errorf("held: %s", got)
	}
}

func TestLastAnswersCanBeChanged(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Commented)
	ballot := p.Path
	if got := v.Get(ballot + "/change"); got.Path != ballot {
		t.Errorf("with nothing to change, the page is %s", got.Path)
	}
	p = v.Post(p.Action(), "id", hiddenIn(p, "id"), "a1", "10", "a2", "3", "comment", "A little <b>sweet</b>.")
	second, secondID := p.Action(), hiddenIn(p, "id")
	if p.HTML().Find(`.own a[href="`+ballot+`/change"]`).Length() != 1 {
		t.Fatal("nothing leads to changing the last answers")
	}
	p = v.Get(ballot + "/change")
	doc := p.HTML()
	if got := doc.Find("#a1").AttrOr("value", ""); got != "10" {
		t.Errorf("the line stands at %q, want 10", got)
	}
	if got := doc.Find("[checked]").AttrOr("value", ""); got != "3" {
		t.Errorf("the chosen answer is %q, want 3", got)
	}
	if got := doc.Find("#comment").Text(); got != "A little <b>sweet</b>." {
		t.Errorf("the comment is %q", got)
	}
	change, changeID := p.Action(), hiddenIn(p, "id")
	back := v.Post(change, "id", changeID, "change", "yes", "a1", "", "a2", "4")
	if back.Status != http.StatusUnprocessableEntity || back.HTML().Find(".change").Length() != 1 {
		t.Errorf("a change without an answer: status %d, want 422 on the page for changes", back.Status)
	}
	v.Post(change, "id", changeID, "change", "yes", "a1", "20", "a2", "4", "comment", "Sweet.")
	v.Post(second, "id", secondID, "a1", "70", "a2", "6")
	late := v.Post(change, "id", "made-after-the-second", "a1", "99", "a2", "9")
	if got := late.HTML().Find("h1").Text(); got != "The earlier answers stand" {
		t.Errorf("a change after the next serving ends at %q", got)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 4, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
	if p = v.Get(ballot + "/change"); p.Path != ballot {
		t.Errorf("after close, changing ends at %s", p.Path)
	}
}

func TestCommentThatIsTooLong(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(servertest.Commented)
	long := strings.Repeat("x", panel.MaxComment+1)
	p = v.Post(p.Action(), "id", hiddenIn(p, "id"), "a1", "10", "a2", "3", "comment", long)
	doc := p.HTML()
	if p.Status != http.StatusUnprocessableEntity || doc.Find(`.problems a[href="#comment"]`).Length() != 1 {
		t.Errorf("status %d, links %q", p.Status, doc.Find(".problems").Text())
	}
	if got := doc.Find("#comment-wrong").Text(); got != "Write at most 1000 characters." {
		t.Errorf("beside the comment stands %q", got)
	}
	if doc.Find("#comment").Text() != long {
		t.Error("the comment did not come back as it was typed")
	}
	if _, _, p = f.Seated(servertest.Custard); p.HTML().Find("#comment").Length() != 0 {
		t.Error("a study that asks for no comment has a box for it")
	}
}

func TestAnswersCanBeTakenOut(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Custard)
	ballot, action := p.Path, p.Action()
	v.Post(action, "id", hiddenIn(p, "id"), "a1", "10", "a2", "3")
	p = v.Get(ballot + "/withdraw")
	if got := p.HTML().Find("h1").Text(); got != "Delete your answers?" {
		t.Fatalf("heading %q", got)
	}
	p = v.Post(p.Action())
	if got := p.HTML().Find("h1").Text(); got != "Your answers are deleted" || p.Path != ballot {
		t.Errorf("after taking them out: %q at %s", got, p.Path)
	}
	p = v.Post(action, "id", "a-late-submission-of-it", "a1", "10", "a2", "3")
	if got := p.HTML().Find("h1").Text(); got != "Your answers are deleted" || p.HTML().Find(".own").Length() != 0 {
		t.Errorf("answers sent after that end at %q", got)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "" {
		t.Errorf("held: %s", got)
	}
}

func TestLargeTextIsKept(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	large := func(p servertest.Page) bool { return p.HTML().Find("html.large").Length() == 1 }
	p := v.Get("/join/" + string(join))
	if large(p) {
		t.Error("the text is large before anybody asked for it")
	}
	p = v.Get(p.HTML().Find(".size a").AttrOr("href", ""))
	if !large(p) || p.Path != "/join/"+string(join) {
		t.Errorf("after asking for larger text: large %v at %s", large(p), p.Path)
	}
	p = v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest")
	if !large(p) || !large(v.Get("/t/nothing")) {
		t.Error("the choice does not last on the next pages")
	}
	usual := p.HTML().Find(".size a")
	if usual.Text() != "Usual text size" {
		t.Errorf("the link says %q", usual.Text())
	}
	if large(v.Get(usual.AttrOr("href", ""))) {
		t.Error("the text stays large")
	}
}

func TestScriptIsToldWhatBecameOfASubmission(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Commented)
	ballot, action := p.Path, p.Action()
	check := func(name string, wantStatus int, want string, pairs ...string) map[string]any {
		t.Helper()
		status, got := v.Script(action, pairs...)
		if status != wantStatus || got["outcome"] != want {
			t.Errorf("%s: status %d, outcome %v; want %d, %s", name, status, got["outcome"], wantStatus, want)
		}
		return got
	}
	got := check("no answer", http.StatusUnprocessableEntity, "incomplete", "id", "one", "seq", "1", "a1", "", "a2",
		"5", "comment", strings.Repeat("x", 1001))
	if want := map[string]any{"a1": "No mark yet: tap the line, or type a number.",
		"comment": "Write at most 1000 characters."}; !reflect.DeepEqual(got["problems"], want) {
		t.Errorf("problems %v, want %v", got["problems"], want)
	}
	got = check("first", http.StatusOK, "recorded", "id", "two", "seq", "2", "a1", "40", "a2", "5", "comment", "Sweet.")
	if want := map[string]any{"a1": "40", "a2": "5"}; !reflect.DeepEqual(got["held"], want) ||
		got["comment"] != "Sweet." {
		t.Errorf("held %v and %v, want %v and the comment", got["held"], got["comment"], want)
	}
	check("again", http.StatusOK, "repeated", "id", "two", "seq", "2", "a1", "40", "a2", "5")
	check("changed", http.StatusOK, "corrected", "id", "three", "seq", "3", "a1", "50", "a2", "5")
	check("an older one", http.StatusOK, "superseded", "id", "one", "seq", "1", "a1", "10", "a2", "5")
	check("an id that is too long", http.StatusBadRequest, "unknown", "id", strings.Repeat("x", 65), "a1", "10", "a2",
		"5")
	if status, got := v.Script(ballot+"/turns/none", "id", "four", "a1", "1", "a2",
		"1"); status != http.StatusNotFound || got["outcome"] != "unknown" {
		t.Errorf("no such serving: status %d, %v", status, got)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	check("after close", http.StatusOK, "after close", "id", "five", "seq", "5", "a1", "10", "a2", "5")
	check("what was taken before close", http.StatusOK, "repeated", "id", "three", "seq", "3", "a1", "50", "a2", "5")
}
