package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPhoneRestartsInTheMiddleOfABallot: a phone without network keeps answers, and
// the ones that were typed and not sent; it is switched off, that is, the whole
// browser ends and another begins on the same files. With the network back, the
// ballot completes, and the phone keeps nothing of the servings.
func TestPhoneRestartsInTheMiddleOfABallot(t *testing.T) {
	t.Parallel()
	script := servertest.Axe(t)
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Commented, panel.Open)
	ballot := f.Web.URL + f.Begun(join)
	files := t.TempDir()
	phone, off := servertest.BrowserOn(t, files, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Await[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); return true; })()`)
	net.Away.Store(true)
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "#heading", "Serving 2 of 2")
	servertest.TypeIn(t, phone, "#plate", f.Code(id, 1))
	servertest.Tap(t, phone, "Open")
	servertest.TypeIn(t, phone, "#a1", "70")
	servertest.TypeIn(t, phone, "#a2-6", "")
	servertest.TypeIn(t, phone, "#comment", "Sweet.")
	// what is typed is kept a moment later
	servertest.Poll(t, phone, `window.waited ??= (setTimeout(() => { window.waited = true; }, 1000), false)`)
	off()

	phone, off = servertest.BrowserOn(t, files, 360, 740, false)
	defer func() { off() }()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Says(t, phone, "#heading", "Serving 2 of 2")
	servertest.Poll(t, phone, `document.querySelector("#a1")?.value === "70" && `+
		`document.querySelector("#a2-6").checked && document.querySelector("#comment").value === "Sweet."`)
	if got := servertest.Text(t, phone, "main"); !strings.Contains(got, "needs the network") {
		t.Errorf("the page does not say what needs the network: %s", got)
	}
	servertest.LooksSound(t, phone, "a ballot without network", script)
	servertest.Tap(t, phone, "Send these 2 answers")
	servertest.Says(t, phone, "#heading", "All your answers are kept")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "h1", "Thank you")
	servertest.Poll(t, phone, `window.left ??= `+
		`(import(document.querySelector("script[src$='/ballot.js']").src.replace("ballot.js", "outbox.js"))
		.then(({ within }) => within("ballots", "readonly", (s) => s.getAllKeys())).then((keys) => { window.left = `+
		`keys.filter((k) => /^(opened|draft|done) /.test(k)).length === 0 ? true : null; }), null) === true`)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestDraftOutlivesItsTab: over plain HTTP, what was typed and not sent is there
// when the tab is opened again, and is not offered for the next serving.
func TestDraftOutlivesItsTab(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	ballot := f.Room() + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := servertest.Tab(t, ctx)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.TypeIn(t, phone, "#a1", "33")
	servertest.Poll(t, phone, `window.waited ??= (setTimeout(() => { window.waited = true; }, 1000), false)`)
	closeTab()
	phone, closeTab = servertest.Tab(t, ctx)
	defer closeTab()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Poll(t, phone, `document.querySelector("#a1").value === "33" && !document.querySelector(".mark").hidden`)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="5"])`)))
	servertest.Press(t, phone, "form .next")
	servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
	if got := servertest.Eval[string](t, phone, `document.querySelector("#a1").value`); got != "" {
		t.Errorf("the next serving begins with %q", got)
	}
}
