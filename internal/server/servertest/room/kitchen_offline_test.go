package room_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestKitchenGoesOnWithoutNetwork: every act of the kitchen is kept on the device and sent when
// the network is back, with the time at which it was noted.
func TestKitchenGoesOnWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-waits-1")
	tablet := servertest.Browser(t, 1280, 800, false)
	f.JoinInBrowser(tablet, f.Web.URL, id, panel.RoleKitchen)
	servertest.Says(t, tablet, "#due-now", f.Code(id, 0))
	net.Away.Store(true)
	servertest.Run(t, tablet, chromedp.Click(chromedp.CSS("#due-now form button")))
	servertest.Says(t, tablet, "#kept", "At the pass: "+f.Code(id, 0))
	servertest.Settled(t, tablet) // what was kept stands above it, and has moved it
	servertest.Tap(t, tablet, "Hold back what comes after wave 1")
	servertest.Says(t, tablet, "#kept", "Wave 1 released")
	servertest.TypeIn(t, tablet, "#celsius", "54")
	servertest.Run(t, tablet, chromedp.Click(chromedp.CSS(".measure .next")))
	servertest.Says(t, tablet, "#kept", "Wave 1: 54 °C")
	servertest.Says(t, tablet, "#kept-note", "3 notes are kept on this phone")
	servertest.Poll(t, tablet, `document.getElementById("celsius").value === "" &&
		!document.querySelector(".measure").inert`)
	kitchen, err := f.Svc.Session(t.Context(), f.StaffToken(id, panel.RoleKitchen))
	f.Must(err)
	sheet := func() panel.KitchenSheet {
		t.Helper()
		s, err := f.Svc.KitchenSheet(t.Context(), kitchen)
		f.Must(err)
		return s
	}
	if s := sheet(); s.Released.Released != 0 || len(s.Waves[0].Log) != 0 {
		t.Fatalf("the service has what was not sent: %+v", s)
	}
	net.Away.Store(false)
	servertest.Eval[bool](t, tablet, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, tablet, "#pass", f.Code(id, 0))
	servertest.Says(t, tablet, ".log", "54")
	servertest.Poll(t, tablet, `document.getElementById("kept").textContent === ""`)
	s := sheet()
	if s.Released.Released != 1 || len(s.Waves[0].Log) != 1 || s.Waves[0].Log[0].Celsius != 54 {
		t.Errorf("the service has %+v", s.Waves[0])
	}
	now := time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC) // the service's clock stands still
	if at := s.Waves[0].Log[0].At; at.After(now) || now.Sub(at) > time.Minute {
		t.Errorf("measured at %v", at)
	}
}
