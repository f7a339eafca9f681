package server_test

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorAndLeadFreeAPlaceThatNeverTasted: the next guest gets it; where a plate was
// set down it stays taken.
func TestFloorAndLeadFreeAPlaceThatNeverTasted(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	first := f.Began(join, "a-script-that-takes-places")
	v, lead := f.Staff(id, panel.RoleFloor), f.Lead()
	seat, _ := v.Get("/floor").HTML().Find(".seat a").Attr("href")
	label := func(token panel.SeatToken) int {
		b, err := f.Svc.Ballot(t.Context(), token)
		f.Must(err)
		return b.Label
	}
	taken := label(first)
	free := func() string { return v.Get(seat).HTML().Find("form[action$='/free']").AttrOr("action", "") }
	if p := v.Post(free()); p.Path != "/floor" {
		t.Fatalf("the floor frees a place: %s, %d", p.Path, p.Status)
	}
	told := func(path string) {
		t.Helper()
		p := f.Visitor().Get(path)
		if p.Status != http.StatusGone || !strings.Contains(p.Body, "made free for the next guest") ||
			p.HTML().Find("h1").Text() != "Your place was made free" ||
			p.HTML().Find("main a.button").AttrOr("href", "") != "/join/"+string(join) {
			t.Errorf("the phone that had it at %s: %d %s", path, p.Status, p.HTML().Find("main").Text())
		}
		for _, word := range servertest.Canaries {
			if strings.Contains(p.All(), word) {
				t.Errorf("%s holds %q", path, word)
			}
		}
	}
	told("/t/" + string(first))
	told("/t/" + string(first) + "/withdraw")
	servertest.MustStatus(t, f.Visitor().Get("/t/nobody"), http.StatusNotFound)
	next := f.Began(join, "a-guest-who-came-to-taste")
	if got := label(next); got != taken {
		t.Errorf("the next guest has number %d, want %d", got, taken)
	}
	servertest.MustStatus(t, lead.Post("/studies/"+string(id)+"/free", "number", strconv.Itoa(taken+1)),
		http.StatusUnprocessableEntity)
	servertest.MustStatus(t, lead.Post("/studies/"+string(id)+"/free", "number", strconv.Itoa(taken)), http.StatusOK)
	last := f.Began(join, "a-guest-who-has-a-plate")
	p := v.Get("/floor")
	seat = p.HTML().Find(".seat a").AttrOr("href", "")
	path := free()
	v.Post(p.HTML().Find(".seat form").AttrOr("action", ""), "code", p.HTML().Find(".seat .code").Text())
	if free() != "" {
		t.Error("a place with a plate on the table may be freed")
	}
	servertest.MustStatus(t, v.Post(path), http.StatusConflict)
	servertest.MustStatus(t, lead.Post("/studies/"+string(id)+"/free", "number", strconv.Itoa(label(last))),
		http.StatusUnprocessableEntity)
	if log := lead.Get("/studies/" + string(id) + "/log").Body; strings.Count(log, "place freed") != 2 {
		t.Error("the log does not say twice that a place was freed")
	}
}
