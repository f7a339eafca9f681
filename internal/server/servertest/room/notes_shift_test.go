package room_test

import (
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNotesThatAppearHoldTapsBack: what the phone keeps is written above the list, which
// moves down by it; a tap that was aimed before counts no more than on a list that is new.
func TestNotesThatAppearHoldTapsBack(t *testing.T) {
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-waits-here")
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Room(), id, panel.RoleFloor)
	servertest.Poll(t, phone, `document.readyState === "complete"`)
	servertest.Settled(t, phone)
	servertest.Eval[bool](t, phone, `new MutationObserver(() => {
		window.moving = document.querySelector("#live").dataset.moving !== undefined;
	}).observe(document.querySelector("#kept"), { childList: true }) || true`)
	net.Away.Store(true)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "#kept-note", "1 note is kept on this phone")
	if !servertest.Eval[bool](t, phone, `window.moving`) {
		t.Error("the list takes taps while it moves down")
	}
}
