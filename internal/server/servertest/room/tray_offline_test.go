package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorServesTraysWithoutNetwork: for a guest without a phone, a phone of the floor
// notes the warm-up as tasted, opens a tray by its codes, serves it and enters what the
// guest chose. It is there when the network is back.
func TestFloorServesTraysWithoutNetwork(t *testing.T) {
	t.Parallel()
	script := servertest.Axe(t)
	f := servertest.New(t)
	net := f.Network()
	id, _ := f.InState(servertest.Smokiest, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
	v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	warm, tray := f.TrayAt(id, 0), f.TrayAt(id, 1)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)

	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	servertest.TypeIn(t, phone, "#plate", warm[0])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Tap(t, phone, "Enter the scores")
	servertest.Tap(t, phone, "The guest has tasted it")
	servertest.Says(t, phone, "#kept-note", "2 notes are kept")
	servertest.Says(t, phone, "#seats", "type all its codes")
	servertest.TypeIn(t, phone, "#plate", tray[0])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#wrong", "No plate that this phone knows has this code")
	servertest.TypeIn(t, phone, "#plate", tray[1]+" "+tray[2]+" "+tray[0])
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#seat-plates", "A tray of 3")
	if got := servertest.Eval[[]string](t, phone, `[...document.querySelectorAll("#seat-plates .code")].map((e) => `+
		`e.textContent)`); strings.Join(got, " ") != strings.Join(tray, " ") {
		t.Errorf("the tray shows %q, want %q", got, tray)
	}
	servertest.LooksSound(t, phone, "without network: a tray", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Tap(t, phone, "Set down")
	servertest.Says(t, phone, "#kept-note", "3 notes are kept")
	servertest.TypeIn(t, phone, "#plate", tray[2]) // one of a tray that is open finds it
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Tap(t, phone, "Enter the answer")
	servertest.LooksSound(t, phone, "without network: the choice", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch),
		chromedp.Click(chromedp.CSS(`#answers label.choice:has([value="3"])`)))
	servertest.Tap(t, phone, "Keep this answer")
	servertest.Says(t, phone, "#kept-note", "4 notes are kept")

	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelector("#live") !== null && `+
		`document.querySelector("#kept-note").textContent === ""`)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, c, err := f.Svc.Collected(t.Context(), id)
	f.Must(err)
	if len(c.Answers) != 3 {
		t.Fatalf("%d answers, want one for each plate of the tray", len(c.Answers))
	}
	for _, a := range c.Answers {
		if (a.Value == 1) != (string(a.Code) == tray[2]) || a.EnteredBy != "floor 1" && a.EnteredBy != "floor 2" ||
			a.NotSetDown {
			t.Errorf("kept %+v, want %s chosen and set down", a, tray[2])
		}
	}
}
