package room_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// floorKept reads everything that a phone of the floor stores.
const floorKept = `(async () => {
  let all = "";
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) if (!request.url.includes("/assets/")) all += request.url + await ` +
	`(await cache.match(request)).text();
  }
  const { within } = await import(document.querySelector("script[src$='/floor.js'], ` +
	`script[src$='/floor_offline.js']").src.replace(/[a-z_]+\.js$/, "acts.js"));
  for (const store of ["acts", "held"]) all += JSON.stringify(await within(store, "readonly", (s) => s.getAll()));
  return all + JSON.stringify(localStorage) + JSON.stringify(sessionStorage);
})()`

// floorReady waits until a phone of the floor can go on without network.
func floorReady(t *testing.T, ctx context.Context) {
	t.Helper()
	servertest.Poll(t, ctx, `navigator.serviceWorker.controller !== null`)
	servertest.Await[bool](t, ctx, `(async () => { while (!(await caches.match("/floor/offline"))) await new `+
		`Promise((r) => setTimeout(r, 50)); return true; })()`)
}

// servedButton taps the first “Set down” of the list.
const servedButton = `(() => { const b = [...document.querySelectorAll(".seat.waiting")].map((s) => ` +
	`[...s.querySelectorAll("button")].at(-1)).find((b) => b && !b.closest("[inert]")); b?.click(); ` +
	`return Boolean(b); })()`

// TestFloorGoesOnWithoutNetwork: a phone of the floor loses its network, serves two
// seats, enters the scores of a guest who has no phone, opens the next plate by its
// code, serves it and notes the other one as dropped. The browser is closed and
// started again on the same files, as a phone that was switched off. When the
// network is back, everything is there once.
func TestFloorGoesOnWithoutNetwork(t *testing.T) {
	t.Parallel()
	script := servertest.Axe(t)
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
	seat := v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes").Path
	f.Began(join, "a-guest-with-a-phone-1")
	first, second := f.Code(id, 0), f.Code(id, 1)
	files := t.TempDir()
	phone, closeBrowser := servertest.BrowserOn(t, files, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	hidden := func(names int) {
		t.Helper()
		kept := servertest.Await[string](t, phone, floorKept)
		for _, x := range servertest.Canaries {
			if strings.Contains(kept, x) {
				t.Errorf("the phone keeps %q", x)
			}
		}
		// Ids, salts and boxes hold any three digits.
		code := regexp.MustCompile(`(^|[^\w+/=-])` + second + `($|[^\w+/=-])`)
		if code.MatchString(kept) != (names != 2) {
			t.Errorf("the phone keeps the code %s in the open, with %d names: %v", second, names, names == 2)
		}
		if got := strings.Count(kept, servertest.NameA) + strings.Count(kept, servertest.NameB); got != names {
			t.Errorf("the phone keeps %d names in the open, want %d", got, names)
		}
	}

	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	servertest.Says(t, phone, "#kept-note", "1 note is kept on this phone")
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.tasting").length === 1`)
	servertest.Poll(t, phone, servedButton)
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.tasting").length === 2`)
	hidden(2)
	servertest.LooksSound(t, phone, "without network: the list", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))

	// The next plate of the guest without a phone: not before the scores.
	servertest.TypeIn(t, phone, "#plate", second)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#wrong", "Serving 1 comes first: enter its scores")
	hidden(2)
	servertest.TypeIn(t, phone, "#plate", first)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#seat-plates .code", first)
	servertest.Tap(t, phone, "Enter the scores")
	servertest.Tap(t, phone, "Keep these scores")
	servertest.Says(t, phone, ".problems", "2 answers are missing")
	servertest.TypeIn(t, phone, "#a1", "42")
	servertest.TypeIn(t, phone, `#a2-6`, "")
	servertest.LooksSound(t, phone, "without network: the scores", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Tap(t, phone, "Keep these scores")
	servertest.Says(t, phone, "#kept-note", "3 notes are kept")
	servertest.TypeIn(t, phone, "#plate", second)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Says(t, phone, "#seat-plates .code", second)
	servertest.Says(t, phone, "#seat-plates .say", "Say")
	servertest.Tap(t, phone, "Set down")
	servertest.Says(t, phone, "#kept-note", "4 notes are kept")
	hidden(3)
	servertest.LooksSound(t, phone, "without network: the list again", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.TypeIn(t, phone, "#plate", second)
	servertest.Tap(t, phone, "Whose is it?")
	servertest.Tap(t, phone, "Dropped")
	servertest.Poll(t, phone, `document.querySelector("#seat-note").checkVisibility()`)
	servertest.Says(t, phone, "#kept-note", "5 notes are kept")
	servertest.LooksSound(t, phone, "without network: the seat", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	closeBrowser()

	phone, closeBrowser = servertest.BrowserOn(t, files, 360, 740, false)
	defer closeBrowser()
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/floor"))
	servertest.Says(t, phone, "#kept-note", "5 notes are kept")
	hidden(3)
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "#kept", "The new code is")
	fresh := strings.TrimPrefix(v.Get(seat).HTML().Find(".plate .code").Text(), "code ")
	if fresh == second {
		t.Errorf("the plate that was dropped has its code %s again", fresh)
	}
	servertest.Poll(t, phone, `document.querySelector("#live") !== null && `+
		`document.querySelector("#kept-note").textContent === ""`)
	servertest.Says(t, phone, "#kept", fresh) // on the list of the service, too
	servertest.Tap(t, phone, "I have read this")
	servertest.Poll(t, phone, `document.querySelector("#kept").textContent === ""`)

	log, err := f.Svc.Log(t.Context(), f.LeadSession(), id)
	f.Must(err)
	count := map[string]int{}
	for _, e := range log.Entries {
		if strings.HasPrefix(e.Who, "floor") {
			count[e.What]++
		}
	}
	if count["served"] != 3 || count["entered"] != 1 || count["dropped"] != 1 {
		t.Errorf("the log has %v; want 3 served, 1 entered, 1 dropped", count)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 6, salt 42" {
		t.Errorf("held: %s", got)
	}
}

// TestPlainFloorKeepsActs: over plain HTTP an open page of the floor keeps what is
// done and sends it when the network is back.
func TestPlainFloorKeepsActs(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-with-a-phone-1")
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Room(), id, panel.RoleFloor)
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.waiting").length === 1`)
	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "#kept-note", "1 note is kept on this phone")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.waiting").length === 0 && `+
		`document.querySelector("#kept").textContent === ""`)
	log, err := f.Svc.Log(t.Context(), f.LeadSession(), id)
	f.Must(err)
	served := 0
	for _, e := range log.Entries {
		if e.What == "served" {
			served++
		}
	}
	if served != 1 {
		t.Errorf("served %d times, want once", served)
	}
}
