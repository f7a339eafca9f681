package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorOpensATrayByItsFirstCode without network, where the study says so: the list
// says which code, and the field takes three digits.
func TestFloorOpensATrayByItsFirstCode(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, _ := f.InState(strings.Replace(servertest.Smokiest, "spare codes: 3",
		"spare codes: 3, tray opens: first code", 1), panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
	v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	tray := f.TrayAt(id, 1)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	servertest.Says(t, phone, "#type", "or on the first plate of the tray")
	servertest.TypeIn(t, phone, "#plate", f.TrayAt(id, 0)[0])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Tap(t, phone, "The guest does not want it")
	servertest.Tap(t, phone, "All seats")
	servertest.Says(t, phone, "#seats", "tray 1: type the code of its first plate")
	servertest.TypeIn(t, phone, "#plate", tray[1])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#wrong", "No plate that this phone knows has this code")
	servertest.TypeIn(t, phone, "#plate", tray[0])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#seat-plates", "A tray of 3")
}
