package server_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// TestPhoneRestartsInTheMiddleOfABallot: a phone without network keeps answers, and
// the ones that were typed and not sent; it is switched off, that is, the whole
// browser ends and another begins on the same files. With the network back, the
// ballot completes, and the phone keeps nothing of the servings.
func TestPhoneRestartsInTheMiddleOfABallot(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(commented, panel.Open)
	ballot := f.web.URL + f.begun(join)
	files := t.TempDir()
	phone, off := browserOn(t, files, 360, 740, false)
	run(t, phone, chromedp.Navigate(ballot))
	poll(t, phone, `navigator.serviceWorker.controller !== null`)
	await[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) await new Promise((r) => setTimeout(r, 50)); return true; })()`)
	net.away.Store(true)
	answer(t, phone, "20", "3")
	says(t, phone, "#heading", "Serving 2 of 2")
	typeIn(t, phone, "#plate", f.code(id, 1))
	tap(t, phone, "Open")
	typeIn(t, phone, "#a1", "70")
	typeIn(t, phone, "#a2-6", "")
	typeIn(t, phone, "#comment", "Sweet.")
	poll(t, phone, `window.waited ??= (setTimeout(() => { window.waited = true; }, 1000), false)`) // what is typed is kept a moment later
	off()

	phone, off = browserOn(t, files, 360, 740, false)
	defer func() { off() }()
	run(t, phone, chromedp.Navigate(ballot))
	says(t, phone, "#heading", "Serving 2 of 2")
	poll(t, phone, `document.querySelector("#a1")?.value === "70" && document.querySelector("#a2-6").checked && document.querySelector("#comment").value === "Sweet."`)
	if got := text(t, phone, "main"); !strings.Contains(got, "needs the network") {
		t.Errorf("the page does not say what needs the network: %s", got)
	}
	looksSound(t, phone, "a ballot without network", script)
	tap(t, phone, "Send these 2 answers")
	says(t, phone, "#heading", "All your answers are kept")
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, "h1", "Thank you")
	poll(t, phone, `window.left ??= (import(document.querySelector("script[src$='/ballot.js']").src.replace("ballot.js", "outbox.js"))
		.then(({ within }) => within("ballots", "readonly", (s) => s.getAllKeys())).then((keys) => { window.left = keys.filter((k) => /^(opened|draft|done) /.test(k)).length === 0 ? true : null; }), null) === true`)
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestDraftOutlivesItsTab: over plain HTTP, what was typed and not sent is there
// when the tab is opened again, and is not offered for the next serving.
func TestDraftOutlivesItsTab(t *testing.T) {
	f := newFixture(t)
	_, join := f.inState(custard, panel.Open)
	ballot := f.room() + f.begun(join)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := tab(t, ctx)
	run(t, phone, chromedp.Navigate(ballot))
	typeIn(t, phone, "#a1", "33")
	poll(t, phone, `window.waited ??= (setTimeout(() => { window.waited = true; }, 1000), false)`)
	closeTab()
	phone, closeTab = tab(t, ctx)
	defer closeTab()
	run(t, phone, chromedp.Navigate(ballot))
	poll(t, phone, `document.querySelector("#a1").value === "33" && !document.querySelector(".mark").hidden`)
	run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="5"])`)))
	press(t, phone, "form .next")
	says(t, phone, ".plate h1", "Serving 2 of 2")
	if got := eval[string](t, phone, `document.querySelector("#a1").value`); got != "" {
		t.Errorf("the next serving begins with %q", got)
	}
}

// TestSeatKeepsItselfFresh: the page of a seat shows what another phone did, and
// leaves what is being typed alone.
func TestSeatKeepsItselfFresh(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	f.began(join, "a-guest-with-a-phone-1")
	v := f.staff(id, panel.RoleFloor)
	seat := f.floorLinks(v)[0][0]
	phone := browser(t, 360, 740, false)
	f.joinInBrowser(phone, f.room(), id, panel.RoleFloor)
	run(t, phone, chromedp.Navigate(f.room()+seat))
	typeIn(t, phone, "#place", "the win")
	p := v.get(seat)
	v.post(actionEnding(p, "/dropped"))
	fresh := strings.TrimPrefix(v.get(seat).html().Find(".plate .code").Text(), "code ")
	says(t, phone, ".plate .code", fresh)
	if got := eval[string](t, phone, `document.querySelector("#place").value`); got != "the win" {
		t.Errorf("what was being typed is %q", got)
	}
}
