package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTrayOpensByItsFirstCodeWithoutNetwork: where the study says so, the phone asks for
// the three digits of the first plate alone, and shows the whole tray.
func TestTrayOpensByItsFirstCodeWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(strings.Replace(servertest.Smokiest, "warm-up: canaryA",
		"tray opens: first code, taste once: true", 1), panel.Open)
	token := f.Began(join, "a-guest-with-a-tray-1")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Says(t, phone, ".plate", "Taste each of them only once")
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)
	net.Away.Store(true)
	servertest.Run(t, phone, pick(2)...)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, "#heading", "Round 2 of 2")
	servertest.Says(t, phone, "#type", "on your first plate, on the left")
	last := f.TrayAt(id, 1)
	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), last[1]),
		chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#wrong", "not the code of your next serving")
	servertest.TypeIn(t, phone, "#plate", last[0])
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#order", "Taste each of them only once")
	if got := servertest.Eval[[]string](t, phone, `[...document.querySelectorAll("#answers .digits")].map((e) => `+
		`e.textContent)`); strings.Join(got, " ") != strings.Join(last, " ") {
		t.Errorf("the tray shows %q, want %q", got, last)
	}
}
