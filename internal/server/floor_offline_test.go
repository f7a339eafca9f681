package server_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// floorKept reads everything that a phone of the floor stores.
const floorKept = `(async () => {
  let all = "";
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) if (!request.url.includes("/assets/")) all += request.url + await (await cache.match(request)).text();
  }
  const { within } = await import(document.querySelector("script[src$='/floor.js'], script[src$='/floor_offline.js']").src.replace(/[a-z_]+\.js$/, "acts.js"));
  for (const store of ["acts", "held"]) all += JSON.stringify(await within(store, "readonly", (s) => s.getAll()));
  return all + JSON.stringify(localStorage) + JSON.stringify(sessionStorage);
})()`

// await runs a script that ends later and returns its value.
func await[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return got
}

// floorReady waits until a phone of the floor can go on without network.
func floorReady(t *testing.T, ctx context.Context) {
	t.Helper()
	poll(t, ctx, `navigator.serviceWorker.controller !== null`)
	await[bool](t, ctx, `(async () => { while (!(await caches.match("/floor/offline"))) await new Promise((r) => setTimeout(r, 50)); return true; })()`)
}

// tap clicks the button with a text on it, as soon as there is one.
func tap(t *testing.T, ctx context.Context, words string) {
	t.Helper()
	poll(t, ctx, fmt.Sprintf(`(() => {
		const b = [...document.querySelectorAll("button, a.button")].find((b) => b.checkVisibility() && !b.disabled && !b.closest("[inert]") && b.textContent.trim().startsWith(%q));
		b?.click();
		return Boolean(b);
	})()`, words))
}

// typeIn types into fields of the page that is shown, in one step.
func typeIn(t *testing.T, ctx context.Context, selector, value string) {
	t.Helper()
	poll(t, ctx, fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		if (!e?.checkVisibility()) return false;
		if (e.type === "radio") e.checked = true; else e.value = %q;
		e.dispatchEvent(new Event("input", {bubbles: true}));
		return true;
	})()`, selector, value))
}

// servedButton taps the first “Served” of the list.
const servedButton = `(() => { const b = [...document.querySelectorAll(".seat.waiting")].map((s) => [...s.querySelectorAll("button")].at(-1)).find((b) => b && !b.closest("[inert]")); b?.click(); return Boolean(b); })()`

// TestFloorGoesOnWithoutNetwork: a phone of the floor loses its network, serves two
// seats, enters the scores of a guest who has no phone, opens the next plate by its
// code, serves it and notes the other one as dropped. The browser is closed and
// started again on the same files, as a phone that was switched off. When the
// network is back, everything is there once.
func TestFloorGoesOnWithoutNetwork(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	v := f.staff(id, panel.RoleFloor)
	nonce := v.get("/floor/guest").html().Find("[name=nonce]").AttrOr("value", "")
	seat := v.post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes").path
	f.began(join, "a-guest-with-a-phone-1")
	first, second := f.code(id, 0), f.code(id, 1)
	files := t.TempDir()
	phone, closeBrowser := browserOn(t, files, 360, 740, false)
	f.joinInBrowser(phone, f.web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	hidden := func(names int) {
		t.Helper()
		kept := await[string](t, phone, floorKept)
		for _, x := range append(canaries, second) {
			if strings.Contains(kept, x) && (x != second || names == 2) {
				t.Errorf("the phone keeps %q", x)
			}
		}
		if got := strings.Count(kept, nameA) + strings.Count(kept, nameB); got != names {
			t.Errorf("the phone keeps %d names in the open, want %d", got, names)
		}
	}

	net.away.Store(true)
	run(t, phone, chromedp.Sleep(time.Second)) // a tap just after the list moved is not taken
	poll(t, phone, servedButton)
	says(t, phone, "h1", "no network")
	says(t, phone, "#kept-note", "1 note is kept on this phone")
	poll(t, phone, `document.querySelectorAll(".seat.tasting").length === 1`)
	poll(t, phone, servedButton)
	poll(t, phone, `document.querySelectorAll(".seat.tasting").length === 2`)
	hidden(2)
	looksSound(t, phone, "without network: the list", script)
	run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))

	// The next plate of the guest without a phone: not before the scores.
	typeIn(t, phone, "#plate", second)
	tap(t, phone, "Whose is it?")
	says(t, phone, "#wrong", "Serving 1 comes first: enter its scores")
	hidden(2)
	typeIn(t, phone, "#plate", first)
	tap(t, phone, "Whose is it?")
	says(t, phone, "#seat-code", first)
	tap(t, phone, "Enter the scores")
	tap(t, phone, "Keep these scores")
	says(t, phone, ".problems", "2 answers are missing")
	typeIn(t, phone, "#a1", "42")
	typeIn(t, phone, `#a2-6`, "")
	looksSound(t, phone, "without network: the scores", script)
	run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	tap(t, phone, "Keep these scores")
	says(t, phone, "#kept-note", "3 notes are kept")
	typeIn(t, phone, "#plate", second)
	tap(t, phone, "Whose is it?")
	says(t, phone, "#seat-code", second)
	says(t, phone, "#seat-words", "Say")
	tap(t, phone, "Served")
	says(t, phone, "#kept-note", "4 notes are kept")
	hidden(3)
	looksSound(t, phone, "without network: the list again", script)
	run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	typeIn(t, phone, "#plate", second)
	tap(t, phone, "Whose is it?")
	tap(t, phone, "Dropped")
	poll(t, phone, `document.querySelector("#seat-dropped").checkVisibility()`)
	says(t, phone, "#kept-note", "5 notes are kept")
	looksSound(t, phone, "without network: the seat", script)
	run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	closeBrowser()

	phone, closeBrowser = browserOn(t, files, 360, 740, false)
	defer closeBrowser()
	run(t, phone, chromedp.Navigate(f.web.URL+"/floor"))
	says(t, phone, "#kept-note", "5 notes are kept")
	hidden(3)
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, "#kept", "The new code is")
	poll(t, phone, `document.querySelector("#live") !== null && document.querySelector("#kept-note").textContent === ""`)
	fresh := strings.TrimPrefix(v.get(seat).html().Find(".plate .code").Text(), "code ")
	if got := text(t, phone, "#kept"); fresh == second || !strings.Contains(got, fresh) {
		t.Errorf("the phone says %q, the plate carries %s", got, fresh)
	}
	tap(t, phone, "I have read this")
	poll(t, phone, `document.querySelector("#kept").textContent === ""`)

	log, err := f.svc.Log(t.Context(), f.leadSession(), id)
	f.must(err)
	count := map[string]int{}
	for _, e := range log {
		if strings.HasPrefix(e.Who, "floor") {
			count[e.What]++
		}
	}
	if count["served"] != 3 || count["entered"] != 1 || count["dropped"] != 1 {
		t.Errorf("the log has %v; want 3 served, 1 entered, 1 dropped", count)
	}
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 6, salt 42" {
		t.Errorf("held: %s", got)
	}
}

// TestPlainFloorKeepsActs: over plain HTTP an open page of the floor keeps what is
// done and sends it when the network is back.
func TestPlainFloorKeepsActs(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(custard, panel.Open)
	f.began(join, "a-guest-with-a-phone-1")
	phone := browser(t, 360, 740, false)
	f.joinInBrowser(phone, f.room(), id, panel.RoleFloor)
	poll(t, phone, `document.querySelectorAll(".seat.waiting").length === 1`)
	net.away.Store(true)
	run(t, phone, chromedp.Sleep(time.Second))
	poll(t, phone, servedButton)
	says(t, phone, "#kept-note", "1 note is kept on this phone")
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	poll(t, phone, `document.querySelectorAll(".seat.waiting").length === 0 && document.querySelector("#kept").textContent === ""`)
	log, err := f.svc.Log(t.Context(), f.leadSession(), id)
	f.must(err)
	served := 0
	for _, e := range log {
		if e.What == "served" {
			served++
		}
	}
	if served != 1 {
		t.Errorf("served %d times, want once", served)
	}
}
