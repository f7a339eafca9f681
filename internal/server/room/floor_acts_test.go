package room_test

import (
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// wireAct is what a phone's script is told.
type wireAct struct{ Outcome, Words, To string }

// act sends a form of the floor as a phone's script does.
func act(v *servertest.Visitor, path string, pairs ...string) wireAct {
	v.T.Helper()
	_, got := v.Script(path, pairs...)
	text := func(key string) string { s, _ := got[key].(string); return s }
	return wireAct{text("outcome"), text("words"), text("to")}
}

// TestFloorActsByScript: what a phone of the floor kept is taken once, in whatever
// state the room is by then, and each answer says what became of it.
func TestFloorActsByScript(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	f.Began(join, "a-guest-at-the-window")
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor")
	seat, code := p.HTML().Find(".seat a").AttrOr("href", ""), p.HTML().Find(".seat .code").Text()
	serve := p.HTML().Find(".seat form").AttrOr("action", "")
	serving := strings.TrimSuffix(serve, "/served")
	scores := strings.Replace(serving, "/turns/", "/scores/", 1)
	want := func(what, outcome string, got wireAct) {
		t.Helper()
		if got.Outcome != outcome || (outcome != "done" && outcome != "repeated") != (got.Words != "" && got.To == "") {
			t.Errorf("%s: %+v, want %s", what, got, outcome)
		}
	}
	drop := seat + "/servings/" + v.PlateAt(strings.TrimPrefix(seat, "/floor/seats/")) + "/dropped"
	want("served", "done", act(v, serve, "id", "1", "code", code))
	want("served again", "repeated", act(v, serve, "id", "1", "code", code))
	dropped := act(v, drop, "id", "2", "code", code)
	fresh := v.Get(seat).HTML().Find(".plate .code").Text()
	if dropped.Outcome != "done" || !strings.Contains(dropped.Words, strings.TrimPrefix(fresh, "code ")) ||
		!strings.Contains(dropped.Words, code) {
		t.Errorf("dropped: %+v; the plate shows %s instead of %s", dropped, fresh, code)
	}
	want("served under the old code", "refused", act(v, serve, "id", "3", "code", code))
	want("another phone dropped it", "refused", act(v, drop, "id", "4", "code", code))
	want("no answers", "incomplete", act(v, scores, "id", "5"))
	want("scores", "done", act(v, scores, "id", "6", "a1", "42", "a2", "6"))
	want("scores again", "repeated", act(v, scores, "id", "6", "a1", "42", "a2", "6"))
	want("served after the scores", "done", act(v, serve, "id", "7", "code", code))
	want("refused after the scores", "refused", act(v, serving+"/refused", "id", "8"))
	want("a rinse that does not run", "refused", act(v, seat+"/rinse", "id", "9", "over", "1"))
	want("left", "done", act(v, seat+"/left", "id", "10"))
	want("left again", "repeated", act(v, seat+"/left", "id", "10"))
	want("a seat that is none", "refused", act(v, "/floor/seats/nobody/left", "id", "11"))
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	want("after close", "refused", act(v, seat+"/back", "id", "12"))
	want("what was taken before close", "repeated", act(v, serve, "id", "1", "code", code))
	want("scores that were taken before close", "repeated", act(v, scores, "id", "6", "a1", "42", "a2", "6"))
	if got := f.Held(id); got != "liking 6, salt 42" {
		t.Errorf("held: %s", got)
	}
}

// TestFloorHoldsNoLaterName reads what a phone of the floor holds.
func TestFloorHoldsNoLaterName(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	b, err := f.Svc.Ballot(t.Context(), f.Began(join, "a-guest-at-the-window"))
	f.Must(err)
	later := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[b.Turn.Name]
	w := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)}
	quoted := func(code string) string { return `"` + code + `"` } // ids, salts and boxes hold any three digits
	if p := w.Get("/floor/ahead"); !strings.Contains(p.Body, b.Turn.Name) ||
		!strings.Contains(p.Body, quoted(string(b.Turn.Code))) || strings.Contains(p.Body, quoted(f.Code(id, 1))) {
		t.Errorf("the phone holds %s; want the name at the seat and no later code", p.Body)
	}
	if p := w.Get("/floor/offline"); strings.Contains(p.Body, b.Turn.Name) ||
		slices.Contains(strings.Fields(p.HTML().Find("body").Text()), string(b.Turn.Code)) {
		t.Error("the page without network holds a serving")
	}
	w.Reads(append(servertest.Canaries, later)...)
}
