package server_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// TestSittingWithNamesInRealBrowsers: two phones read names before they taste, while
// floor enters them for a guest without a phone. One phone loses its network at the
// first name, and again at the second, from where it goes on to its plates; the
// other has no network for a moment over plain HTTP.
func TestSittingWithNamesInRealBrowsers(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(expecting, panel.Open)
	ballot := f.web.URL + f.begun(join)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := tab(t, ctx)
	defer closeTab()
	floor, plain := browser(t, 360, 740, true), browser(t, 360, 740, true)
	f.joinInBrowser(floor, f.room(), id, panel.RoleFloor)
	run(t, plain, chromedp.Navigate(f.room()+"/join/"+join))
	press(t, plain, ".next")
	press(t, plain, ".next") // begin
	run(t, floor, chromedp.Navigate(f.room()+"/floor?show=all"))
	poll(t, floor, `document.querySelectorAll(".seat.reading").length === 2`)

	first, second := f.readsWithoutNetwork(t, phone, ballot, net)
	f.tastesWithoutNetwork(t, phone, id, net, first, second)

	run(t, plain, chromedp.WaitVisible(chromedp.CSS(".expect")))
	net.away.Store(true)
	answer(t, plain, "81", "8")
	says(t, plain, "#outbox", "kept on this phone")
	net.away.Store(false)
	eval[bool](t, plain, `window.dispatchEvent(new Event("online"))`)
	says(t, plain, ".plate h1", "name 2 of 2")
	press(t, plain, `.own a[href$="/change"]`)
	if got := eval[string](t, plain, `document.querySelector("#a1").value`); got != "81" {
		t.Errorf("to change: %q, want what was given for the first name", got)
	}
	eval[bool](t, plain, `document.querySelector("#a1").select() || true`)
	run(t, plain, chromedp.SendKeys(chromedp.CSS("#a1"), "82"))
	run(t, plain, chromedp.Click(chromedp.CSS("form .next")))
	says(t, plain, ".plate h1", "name 2 of 2")
	for range 3 { // the second name and two plates
		poll(t, plain, `document.querySelector(".plate h1") !== null && !document.querySelector("form")?.inert`)
		answer(t, plain, "50", "5")
		poll(t, plain, `document.querySelector(".plate h1") === null || document.querySelector("#a1")?.value === ""`)
	}
	says(t, plain, "h1", "Thank you")

	f.floorReads(t, floor)
	f.must(f.svc.Close(t.Context(), id))
	_, c, err := f.svc.Collected(t.Context(), id)
	f.must(err)
	said := map[int][]string{}
	for _, r := range c.Ratings {
		if r.Attribute == "salt" && r.Code == "" {
			said[r.Place] = append(said[r.Place], fmt.Sprint(r.Value, r.EnteredBy))
		}
	}
	if got, want := fmt.Sprint(said), "map[0:[61 31] 1:[82 50] 2:[44floor 1]]"; got != want {
		t.Errorf("expected: %s, want %s", got, want)
	}
	if got := f.held(id); got != "liking 3, salt 20, liking 6, salt 70, liking 5, salt 50, liking 5, salt 50" {
		t.Errorf("rated: %s", got)
	}
}

// readsWithoutNetwork has a phone read two names; the network is away when it sends
// what it expects of each. It returns the names.
func (f *fixture) readsWithoutNetwork(t *testing.T, phone context.Context, ballot string, net *network) (first, second string) {
	t.Helper()
	run(t, phone, chromedp.Navigate(ballot))
	f.prepared(t, phone)
	first = text(t, phone, ".name")
	second = map[string]string{nameA: nameB, nameB: nameA}[first]
	net.away.Store(true)
	answer(t, phone, "61", "7")
	says(t, phone, "#heading", "No network")
	says(t, phone, "#outbox", "kept on this phone")
	f.keepsNo(t, phone, append(canaries, second)...)
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, ".plate h1", "name 2 of 2")
	if got := text(t, phone, ".name"); got != second {
		t.Errorf("the second name is %q, want %q", got, second)
	}
	f.prepared(t, phone)
	return first, second
}

// tastesWithoutNetwork sends what the phone expects of its last name, and both of
// its plates, while the network is away.
func (f *fixture) tastesWithoutNetwork(t *testing.T, phone context.Context, id string, net *network, names ...string) {
	t.Helper()
	poll(t, phone, `(async () => { const { within } = await import(document.querySelector("script[src$='/ballot.js']").src.replace("ballot.js", "outbox.js"));
		window.ahead = (await within("ballots", "readonly", (s) => s.get(location.pathname)))?.ahead.length; })() && window.ahead === 2`)
	net.away.Store(true)
	answer(t, phone, "31", "4")
	says(t, phone, "#heading", "Serving 1 of 2")
	f.keepsNo(t, phone, `"code":"`+f.code(id, 2)+`"`, `"code":"`+f.code(id, 3)+`"`)
	var met []string
	for i, x := range [][2]string{{"20", "3"}, {"70", "6"}} {
		run(t, phone, chromedp.WaitVisible(chromedp.CSS("#plate")), chromedp.SendKeys(chromedp.CSS("#plate"), f.code(id, 2+i)), chromedp.Click(chromedp.CSS("#unlock button")))
		poll(t, phone, `document.querySelector("#name").textContent !== "" && !document.querySelector("#answers").hidden`)
		met = append(met, text(t, phone, "#name"))
		answer(t, phone, x[0], x[1])
	}
	if fmt.Sprint(met) != fmt.Sprint(names) && fmt.Sprint(met) != fmt.Sprint([]string{names[1], names[0]}) {
		t.Errorf("tasted %v, read %v", met, names)
	}
	says(t, phone, "#heading", "All your answers are kept")
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, "h1", "Thank you")
}

// floorReads seats a guest without a phone, enters the first name and skips the second.
func (f *fixture) floorReads(t *testing.T, floor context.Context) {
	t.Helper()
	run(t, floor, chromedp.Navigate(f.room()+"/floor/guest"), chromedp.Click(chromedp.CSS("#allergens")), chromedp.Click(chromedp.CSS("#consent")))
	press(t, floor, "main .next")
	press(t, floor, ".acts .next")
	if got := text(t, floor, ".plate h1"); !strings.Contains(got, "before tasting: name 1 of 2") {
		t.Errorf("floor's form: %q", got)
	}
	if bad := eval[[]string](t, floor, misfits); len(bad) > 0 {
		t.Errorf("floor's form: %s", strings.Join(bad, "\n"))
	}
	run(t, floor, chromedp.SendKeys(chromedp.CSS("#a1"), "44"), chromedp.Click(chromedp.CSS(`label.choice:has([value="6"])`)))
	press(t, floor, "form .next")
	press(t, floor, `form[action$="/refused"] button`)
	says(t, floor, ".plate", "code")
}

// prepared waits until a phone can go on without network.
func (f *fixture) prepared(t *testing.T, phone context.Context) {
	t.Helper()
	poll(t, phone, `navigator.serviceWorker.controller !== null`)
	eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	poll(t, phone, `window.prepared === true`)
}

// keepsNo reads everything that a phone stores.
func (f *fixture) keepsNo(t *testing.T, phone context.Context, words ...string) {
	t.Helper()
	eval[bool](t, phone, allKept)
	poll(t, phone, `typeof window.allKept === "string"`)
	kept := eval[string](t, phone, `window.allKept`)
	for _, x := range words {
		if strings.Contains(kept, x) {
			t.Errorf("the phone keeps %q", x)
		}
	}
}

// TestNamesFitAndPassAxe looks at the screens of names on a phone, in light and dark.
func TestNamesFitAndPassAxe(t *testing.T) {
	script := axe(t)
	for _, dark := range []bool{false, true} {
		f := newFixture(t)
		long := strings.Repeat("celeriac royale long told ", 7)
		id, join := f.inState(strings.ReplaceAll(expecting, "text: celeriac royale", "text: "+long), panel.Open)
		ctx := browser(t, 360, 740, dark)
		f.joinInBrowser(ctx, f.web.URL, id, panel.RoleFloor)
		ballot := f.begun(join)
		by, err := f.svc.Session(t.Context(), f.staffToken(id, panel.RoleFloor))
		f.must(err)
		guest, err := f.svc.SeatGuest(t.Context(), by, "a-guest-without-a-phone", panel.GuestConsent{AllergensRead: true, ConsentRead: true})
		f.must(err)
		token := "/t/" + f.seatedTokenAt(join)
		for _, path := range []string{token, ballot, "/floor", "/floor?show=all", "/floor/seats/" + guest.ID, "/floor/seats/" + guest.ID + "/scores/" + guest.Reads.ID} {
			if bad := violations(t, ctx, f.web.URL+path, script); len(bad) > 0 {
				t.Errorf("%s (dark: %t):\n%s", path, dark, strings.Join(bad, "\n"))
			}
			for _, size := range [][2]int64{{360, 740}, {820, 1180}} {
				run(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
				if bad := eval[[]string](t, ctx, misfits); len(bad) > 0 {
					t.Errorf("%s at %d × %d:\n%s", path, size[0], size[1], strings.Join(bad, "\n"))
				}
			}
		}
	}
}
