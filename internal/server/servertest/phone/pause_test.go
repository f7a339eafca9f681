package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// onScreen reports in a browser whether all of an element is in view.
func onScreen(selector string) string {
	return `(() => { const b = document.querySelector("` + selector + `").getBoundingClientRect();
		return b.height > 0 && b.top >= 0 && b.bottom <= innerHeight; })()`
}

// TestPauseWithoutNetworkGoesOnWhereItWas: without network the pause says what it is,
// and when the network is back it does not begin anew.
func TestPauseWithoutNetworkGoesOnWhereItWas(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	_, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+f.Begun(join)))
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)
	net.Away.Store(true)
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "#pause", "Rinse your mouth before the next serving")
	servertest.Says(t, phone, "#until", "seconds to serving 2 of 2")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	if !servertest.Eval[bool](t, phone, onScreen("#outbox")) || !servertest.Eval[bool](t, phone, onScreen("#pause")) {
		t.Error("the pause, or the word that the answers are kept, is off the screen")
	}

	// As if the answers had been given 200 seconds earlier.
	servertest.Eval[bool](t, phone, `indexedDB.open("cloche").onsuccess = (opened) => {
		const store = opened.target.result.transaction("outbox", "readwrite").objectStore("outbox");
		store.getAll().onsuccess = (read) => {
			for (const entry of read.target.result) store.put({ ...entry, at: entry.at - 200000 });
			store.transaction.oncomplete = () => { opened.target.result.close(); window.aged = true; };
		};
	}, true`)
	servertest.Poll(t, phone, `window.aged === true`)
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelector("[data-seconds]") !== null`)
	if left := servertest.Eval[int](t, phone,
		`Number(document.querySelector("[data-seconds]").dataset.seconds)`); left < 1 || left > 100 {
		t.Errorf("with the network back %d seconds are left, want at most the 100 that were", left)
	}
}

// TestPlainPhoneSaysWhereTheEyeIs: over plain HTTP, whoever pressed the button at the
// foot of the form reads there that the answers are kept.
func TestPlainPhoneSaysWhereTheEyeIs(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	_, join := f.InState(servertest.Commented, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+f.Begun(join)))
	net.Away.Store(true)
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	for _, at := range []string{"start", "end"} {
		servertest.Eval[bool](t, phone, `document.querySelector("form .next").scrollIntoView({ block: "`+at+
			`", behavior: "instant" }), true`)
		if !servertest.Eval[bool](t, phone, onScreen("#outbox")) {
			t.Errorf("with the button at the %s of the screen, the word that answers are kept is off it", at)
		}
	}
}

// TestPlainPhoneWaitsInThePause: a pause that ends without network, over plain HTTP,
// leaves the page on the screen and says what it waits for.
func TestPlainPhoneWaitsInThePause(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	_, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+f.Begun(join)))
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "h1", "A short pause")
	net.Away.Store(true)
	servertest.Eval[bool](t, phone, `document.dispatchEvent(new Event("visibilitychange"))`)
	servertest.Says(t, phone, "#outbox", "No network. This page goes on when it is back.")
	f.Clock.Pass(300e9)
	net.Away.Store(false)
	servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
}
