package room_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorEntersOrdersWithoutNetwork: for a guest without a phone, staff tap the order that
// the guest says, and which plates go together; it is there when the network is back.
func TestFloorEntersOrdersWithoutNetwork(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, study, want string }{
		{"order", servertest.Crusts, "2 1 4 3"}, {"pairs", servertest.Creams, "1 1 2 2"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			script := servertest.Axe(t)
			f := servertest.New(t)
			net := f.Network()
			id, _ := f.InState(tc.study, panel.Open)
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
			servertest.TypeIn(t, phone, "#plate", strings.Join(tray, " "))
			servertest.Tap(t, phone, "Whose is it?")
			servertest.Tap(t, phone, "Set down")
			servertest.TypeIn(t, phone, "#plate", tray[1])
			servertest.Tap(t, phone, "Whose is it?")
			servertest.Tap(t, phone, "Enter the answer")
			servertest.LooksSound(t, phone, "without network: "+tc.name, script)
			servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
			if tc.name == "pairs" {
				servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`#answers label.choice:has([value="2"])`)))
			} else {
				for _, at := range []int{2, 1, 4, 3} {
					servertest.Run(t, phone, chromedp.Click(chromedp.CSS(
						fmt.Sprintf("#answers .places .tray > button:nth-of-type(%d)", at))))
				}
			}
			servertest.Tap(t, phone, "Keep this answer")
			servertest.Says(t, phone, "#kept-note", "4 notes are kept")

			net.Away.Store(false)
			servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
			servertest.Poll(t, phone, `document.querySelector("#live") !== null && `+
				`document.querySelector("#kept-note").textContent === ""`)
			f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			_, c, err := f.Svc.Collected(t.Context(), id)
			f.Must(err)
			at := map[string]string{}
			for _, a := range c.Answers {
				at[string(a.Code)] = fmt.Sprint(a.Value)
			}
			var got []string
			for _, code := range tray {
				got = append(got, at[code])
			}
			if all := strings.Join(got, " "); all != tc.want {
				t.Errorf("kept %s, want %s", all, tc.want)
			}
		})
	}
}
