package room_test

import (
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestGuestMayBeFurtherOnThanTheFloorKnows: without network, the next plate of a guest
// with a phone opens while the one before is on the table; what is noted of it moves the
// seat on, and a guest who left and came back stands where they stood.
func TestGuestMayBeFurtherOnThanTheFloorKnows(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-with-a-phone-1")
	first, second := f.Code(id, 0), f.Code(id, 1)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	typed := func(code string) {
		t.Helper()
		servertest.TypeIn(t, phone, "#plate", code)
		servertest.Tap(t, phone, "Whose is it?")
	}

	typed(second)
	servertest.Says(t, phone, "#seat-state", "next plate")
	servertest.Says(t, phone, "#seat-plates .code", second)
	servertest.Tap(t, phone, "Set down")
	servertest.Says(t, phone, "#seats", "has the plate")
	servertest.Says(t, phone, "#seats .code", second)
	typed(first)
	servertest.Says(t, phone, "#wrong", "it is over")
	typed(second)
	servertest.Tap(t, phone, "The guest has left")
	servertest.Says(t, phone, "#seat-state", "has left")
	servertest.Tap(t, phone, "The guest is back")
	servertest.Says(t, phone, "#seat-state", "has the plate")
	servertest.Tap(t, phone, "The guest does not want it")
	servertest.Says(t, phone, "#seat-state", "all noted here")
	servertest.TypeIn(t, phone, "#place", "the window")
	servertest.Tap(t, phone, "Save")
	servertest.Says(t, phone, "#seat-at", "the window")
	servertest.Says(t, phone, "#kept", "sits at “the window”")
}
