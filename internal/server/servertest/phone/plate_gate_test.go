package phone_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPlateGateWithAndWithoutNetwork: the code on the plate opens a serving in the same way with
// network and without, and what it opened without need not be typed again.
func TestPlateGateWithAndWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Gated, panel.Open)
	token := f.Began(join, "a-guest-with-plates-1")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Says(t, phone, ".plate h1", "Serving 1 of 2")
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => {
		while (!(await caches.match(location.pathname + "/offline"))) await new Promise((r) => setTimeout(r, 50));
		window.prepared = true;
	})() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)

	servertest.TypeIn(t, phone, "#plate", "111")
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#wrong", "tell a member of staff")
	net.Away.Store(true)
	servertest.TypeIn(t, phone, "#plate", f.Code(id, 0))
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#name", "celeriac") // the page without network, opened by the same code
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.readyState === "complete" && document.getElementById("shell") === null`)
	servertest.Says(t, phone, ".plate .name", "celeriac") // the service's own page, which does not ask again
	servertest.Answer(t, phone, "20", "3")

	servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
	servertest.TypeIn(t, phone, "#plate", f.Code(id, 1))
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, ".plate .name", "celeriac")
	servertest.Answer(t, phone, "70", "6")
	servertest.Says(t, phone, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}
