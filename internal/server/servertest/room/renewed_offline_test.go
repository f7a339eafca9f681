package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestAPlateWithANewCodeIsClosedAgain: a phone of the floor opened a later plate without
// network, and another one dropped it since. When the network goes again, the plate opens
// by its new code alone.
func TestAPlateWithANewCodeIsClosedAgain(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	f.Began(join, "a-guest-with-a-phone-1")
	v := f.Staff(id, panel.RoleFloor)
	seat := v.Get("/floor").HTML().Find(".seat a").AttrOr("href", "")
	second := f.Code(id, 1)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	away := func() {
		t.Helper()
		net.Away.Store(true)
		servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/floor/offline"))
		servertest.Says(t, phone, "h1", "no network")
	}
	away()
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "#seats", "has the plate")
	servertest.TypeIn(t, phone, "#plate", second)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#seat-plates .code", second)
	servertest.Tap(t, phone, "All seats")

	net.Away.Store(false)
	v.Post(seat+"/dropped", "code", second)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelector("#live") !== null && `+
		`document.querySelector("#kept-note").textContent === ""`)
	servertest.Await[bool](t, phone, `(async () => {
  const { within } = await import(document.querySelector("script[src$='/floor.js']").src.replace("floor.js", `+
		`"acts.js"));
  while (!(await within("held", "readonly", (s) => s.get("room")))?.seats[0].now) await new Promise((r) => `+
		`setTimeout(r, 50));
  return true;
})()`)
	away()
	servertest.TypeIn(t, phone, "#plate", second)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#wrong", "No plate that this phone knows has this code")
}
