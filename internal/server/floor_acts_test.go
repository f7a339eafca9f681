package server_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
)

// wireAct is what a phone's script is told.
type wireAct struct{ Outcome, Words, To string }

// act sends a form of the floor as a phone's script does.
func (v *visitor) act(path string, pairs ...string) wireAct {
	v.t.Helper()
	_, got := v.script(path, pairs...)
	text := func(key string) string { s, _ := got[key].(string); return s }
	return wireAct{text("outcome"), text("words"), text("to")}
}

// TestFloorActsByScript: what a phone of the floor kept is taken once, in whatever
// state the room is by then, and each answer says what became of it.
func TestFloorActsByScript(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	f.began(join, "a-guest-at-the-window")
	v := f.staff(id, panel.RoleFloor)
	p := v.get("/floor")
	seat, code := p.html().Find(".seat a").AttrOr("href", ""), p.html().Find(".seat .code").Text()
	serve := p.html().Find(".seat form").AttrOr("action", "")
	serving := strings.TrimSuffix(serve, "/served")
	scores := strings.Replace(serving, "/servings/", "/scores/", 1)
	want := func(what, outcome string, got wireAct) {
		t.Helper()
		if got.Outcome != outcome || (outcome != "done" && outcome != "repeated") != (got.Words != "" && got.To == "") {
			t.Errorf("%s: %+v, want %s", what, got, outcome)
		}
	}
	want("served", "done", v.act(serve, "id", "1", "code", code))
	want("served again", "repeated", v.act(serve, "id", "1", "code", code))
	dropped := v.act(serving+"/dropped", "id", "2", "code", code)
	fresh := v.get(seat).html().Find(".plate .code").Text()
	if dropped.Outcome != "done" || !strings.Contains(dropped.Words, strings.TrimPrefix(fresh, "code ")) || !strings.Contains(dropped.Words, code) {
		t.Errorf("dropped: %+v; the plate shows %s instead of %s", dropped, fresh, code)
	}
	want("served under the old code", "refused", v.act(serve, "id", "3", "code", code))
	want("another phone dropped it", "refused", v.act(serving+"/dropped", "id", "4", "code", code))
	want("no answers", "incomplete", v.act(scores, "id", "5"))
	want("scores", "done", v.act(scores, "id", "6", "a1", "42", "a2", "6"))
	want("scores again", "repeated", v.act(scores, "id", "6", "a1", "42", "a2", "6"))
	want("served after the scores", "done", v.act(serve, "id", "7", "code", code))
	want("refused after the scores", "refused", v.act(serving+"/refused", "id", "8"))
	want("a rinse that does not run", "refused", v.act(seat+"/rinse", "id", "9", "over", "1"))
	want("left", "done", v.act(seat+"/left", "id", "10"))
	want("left again", "repeated", v.act(seat+"/left", "id", "10"))
	want("a seat that is none", "refused", v.act("/floor/seats/nobody/left", "id", "11"))
	f.must(f.svc.Close(t.Context(), id))
	want("after close", "refused", v.act(seat+"/back", "id", "12"))
	want("what was taken before close", "repeated", v.act(serve, "id", "1", "code", code))
	want("scores that were taken before close", "repeated", v.act(scores, "id", "6", "a1", "42", "a2", "6"))
	if got := f.held(id); got != "liking 6, salt 42" {
		t.Errorf("held: %s", got)
	}
}

// TestFloorHoldsNoLaterName reads what a phone of the floor holds.
func TestFloorHoldsNoLaterName(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	b, err := f.svc.Ballot(t.Context(), f.began(join, "a-guest-at-the-window"))
	f.must(err)
	later := map[string]string{nameA: nameB, nameB: nameA}[b.Serving.Name]
	w := &watched{visitor: f.staff(id, panel.RoleFloor)}
	if p := w.get("/floor/ahead"); !strings.Contains(p.body, b.Serving.Name) || strings.Contains(p.body, f.code(id, 1)) {
		t.Errorf("the phone holds %s; want the name at the seat and no later code", p.body)
	}
	if p := w.get("/floor/offline"); strings.Contains(p.body, b.Serving.Name) || strings.Contains(p.body, b.Serving.Code) {
		t.Error("the page without network holds a serving")
	}
	w.reads(append(canaries, later)...)
}
