package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestWhatWentWrongWithoutNetwork: floor notes on the phone that part of a plate was spilt,
// and later, with network, that the guest feels unwell; the service has both, once.
func TestWhatWentWrongWithoutNetwork(t *testing.T) {
	t.Parallel()
	script := servertest.Axe(t)
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-with-a-phone-1")
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	servertest.Poll(t, phone, `(() => {
		if (document.querySelector(".wrongs summary")?.checkVisibility()) return true;
		document.querySelector(".seat .to")?.click(); // again, where the page was put together anew meanwhile
		return false;
	})()`)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(".wrongs summary")))
	servertest.LooksSound(t, phone, "without network: what went wrong", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Tap(t, phone, "Part of it was spilt")
	servertest.Says(t, phone, "#kept-note", "2 notes are kept")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, ".wrongs", "Noted: Part of it was spilt")
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(".wrongs summary")))
	servertest.LooksSound(t, phone, "what went wrong", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Tap(t, phone, "Feels unwell")
	servertest.Says(t, phone, ".told", "emergency services")
	var got []string
	for _, e := range f.Events(id) {
		if e.What == "incident" {
			got = append(got, e.Detail[strings.Index(e.Detail, ": ")+2:])
		}
	}
	if text := strings.Join(got, ", "); text != "part of it was spilt, the guest felt unwell" {
		t.Errorf("the log has: %s", text)
	}
}
