package room_test

import (
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestKitchenPlatesWhatIsDue: a second plate is not asked for while its guest has
// not had the first.
func TestKitchenPlatesWhatIsDue(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	floor, kitchen := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen)
	due := func(state string) []string {
		var codes []string
		for _, li := range kitchen.Get("/kitchen").HTML().Find("#due-" + state + " .codes li").EachIter() {
			codes = append(codes, strings.TrimSpace(li.Find(".digits").Text()))
		}
		return codes
	}
	if now, next := due("now"), due("next"); len(now)+len(next) != 0 {
		t.Errorf("with nobody there, %v are due now and %v next", now, next)
	}
	first, err := f.Svc.Consent(t.Context(), join, "a-guest-with-time", panel.PhoneConsent{})
	f.Must(err)
	if now, next := due("now"), due("next"); len(now) != 0 || len(next) != 1 {
		t.Errorf("while the guest reads, %v are due now and %v next; want one next", now, next)
	}
	f.Must(f.Svc.Start(t.Context(), first))
	b, err := f.Svc.Ballot(t.Context(), first)
	f.Must(err)
	if now, next := due("now"), due("next"); !slices.Equal(now, []string{string(b.Turn.Code)}) || len(next) != 0 {
		t.Errorf("%v are due now and %v next; want %s now", now, next, string(b.Turn.Code))
	}
	floor.Post(floor.Get("/floor").HTML().Find("form[action$='/served']").AttrOr("action", ""))
	if now, next := due("now"), due("next"); len(now) != 0 || len(next) != 1 || next[0] == string(b.Turn.Code) {
		t.Errorf("with the plate on the table %v are due now and %v next; want the second next", now, next)
	}
	if got := kitchen.Get("/kitchen").HTML().Find("#wave-1 .how").First().Text(); !strings.Contains(got,
		"12 plates: 11 without a guest yet, 1 out") {
		t.Errorf("the wave says %q", got)
	}
}

// TestPlatingSheetsAscend prints a sheet while plates stand in every state.
func TestPlatingSheetsAscend(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	floor, kitchen := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen)
	for _, nonce := range []string{"a-guest-who-is-eating", "a-guest-who-waits-one", "a-guest-who-waits-two"} {
		f.Began(join, nonce)
	}
	floor.Post(floor.Get("/floor").HTML().Find("form[action$='/served']").AttrOr("action", ""))
	for _, list := range kitchen.Get("/kitchen/plating").HTML().Find("ul.tick").EachIter() {
		var codes []string
		for _, li := range list.Find("li").EachIter() {
			codes = append(codes, li.Text())
		}
		if len(codes) != 12 || !slices.IsSorted(codes) {
			t.Errorf("a list of the sheet: %v, want 12 codes in order", codes)
		}
	}
}
