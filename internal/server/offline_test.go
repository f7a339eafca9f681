package server_test

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/server"
)

// network stands between phones and the service. While it is away, connections
// end without an answer.
type network struct {
	away atomic.Bool
	lost atomic.Bool                               // while away, requests arrive and answers do not
	late atomic.Pointer[httptest.ResponseRecorder] // an answer written earlier, given once to a request for a page
	next http.Handler
}

func (n *network) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
		if old := n.late.Swap(nil); old != nil {
			maps.Copy(w.Header(), old.Header())
			_, _ = w.Write(old.Body.Bytes()) // a phone that leaves shows in the test
			return
		}
	}
	if n.away.Load() {
		if n.lost.Load() {
			n.next.ServeHTTP(httptest.NewRecorder(), r)
		}
		panic(http.ErrAbortHandler) // closes the connection
	}
	n.next.ServeHTTP(w, r)
}

// network puts one in front of the fixture, before its first request.
func (f *fixture) network() *network {
	n := &network{next: f.web.Config.Handler}
	f.web.Config.Handler = n
	return n
}

// tab opens a tab of a browser, as large as a phone, and returns how to close it.
func tab(t *testing.T, ctx context.Context) (context.Context, func()) {
	t.Helper()
	tab, stop := chromedp.NewContext(ctx)
	if err := chromedp.Listen(tab, func(event any) { complain(t, event) }); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	return tab, stop
}

// answer fills the custard's form in and sends it, without waiting.
func answer(t *testing.T, ctx context.Context, salt, liking string) {
	t.Helper()
	run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), salt), chromedp.Click(chromedp.CSS(`label.choice:has([value="`+liking+`"])`)),
		chromedp.Click(chromedp.CSS("form:not([hidden]) .next")))
}

// says waits until an element's text has words in it.
func says(t *testing.T, ctx context.Context, selector, words string) {
	t.Helper()
	poll(t, ctx, `document.querySelector("`+selector+`")?.textContent.includes("`+words+`") === true`)
}

// keeps waits until a phone has answers to a ballot on its disk.
func keeps(t *testing.T, ctx context.Context, ballot string) {
	t.Helper()
	poll(t, ctx, `window.keepsThem || (indexedDB.open("cloche").onsuccess = (opened) => {
		const db = opened.target.result;
		db.transaction("outbox").objectStore("outbox").getAll().onsuccess = (read) => {
			window.keepsThem = read.target.result.some((entry) => entry.url.startsWith("`+ballot+`"));
			db.close();
		};
	}, false)`)
}

// begun seats a guest who has read the instructions and returns the ballot's path.
func (f *fixture) begun(join string) string {
	f.t.Helper()
	token, err := f.svc.Consent(f.t.Context(), join, "nonce-of-a-guest", panel.PhoneConsent{})
	f.must(err)
	f.must(f.svc.Start(f.t.Context(), token))
	return "/t/" + token
}

// room is the service's address as in a dining room: plain HTTP, no localhost.
func (f *fixture) room() string {
	return "http://" + roomHost + f.web.URL[strings.LastIndex(f.web.URL, ":"):]
}

// TestPlainPhoneKeepsAnswersWithoutNetwork: over plain HTTP the network goes away
// in the middle of a ballot, the tab is closed, and the answers go when the ballot
// is opened again.
func TestPlainPhoneKeepsAnswersWithoutNetwork(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(custard, panel.Open)
	ballot := f.room() + f.begun(join)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate("about:blank")) // keeps the browser when tabs close
	phone, closeTab := tab(t, ctx)
	run(t, phone, chromedp.Navigate(ballot))
	net.away.Store(true)
	answer(t, phone, "20", "3")
	says(t, phone, "#outbox", "kept on this phone")
	if got := text(t, phone, ".plate h1"); !strings.HasPrefix(got, "Serving 1 of 2") {
		t.Errorf("without network the page is %q", got)
	}
	closeTab()

	net.away.Store(false)
	phone, closeTab = tab(t, ctx)
	defer closeTab()
	run(t, phone, chromedp.Navigate(ballot))
	says(t, phone, ".plate h1", "Serving 2 of 2")
	says(t, phone, "#outbox", "have been received")
	net.away.Store(true)
	answer(t, phone, "70", "6")
	says(t, phone, "#outbox", "kept on this phone")
	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, "h1", "Thank you")
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestPageThatAnotherTabOutran: a page was written before another tab's answers
// arrived, and looks for them on the phone after that tab has let them go. It asks
// the service again instead of asking the guest twice.
func TestPageThatAnotherTabOutran(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(custard, panel.Open)
	path := f.begun(join)
	old := httptest.NewRecorder()
	net.ServeHTTP(old, httptest.NewRequest(http.MethodGet, f.room()+path, nil))
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate(f.room()+path))
	answer(t, ctx, "20", "3")
	says(t, ctx, ".plate h1", "Serving 2 of 2")
	net.late.Store(old)
	run(t, ctx, chromedp.Navigate(f.room()+path))
	says(t, ctx, ".plate h1", "Serving 2 of 2")
	if net.late.Load() != nil {
		t.Fatal("the old page was never shown")
	}
	answer(t, ctx, "70", "6")
	says(t, ctx, "h1", "Thank you")
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestTwoBallotsWithoutNetwork: a phone that two guests share loses its network
// in the middle of both ballots and its tabs are closed. Both ballots complete when
// it is back, however often answers arrive.
func TestTwoBallotsWithoutNetwork(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(custard, panel.Open)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate("about:blank"))
	var ballots []string
	for i := range 2 {
		token, err := f.svc.Consent(t.Context(), join, fmt.Sprintf("nonce-of-guest-%d", i), panel.PhoneConsent{})
		f.must(err)
		f.must(f.svc.Start(t.Context(), token))
		ballots = append(ballots, f.room()+"/t/"+token)
		net.away.Store(false)
		phone, closeTab := tab(t, ctx)
		run(t, phone, chromedp.Navigate(ballots[i]))
		net.away.Store(true)
		net.lost.Store(i == 1) // the first attempt of the second guest's answers arrives, its receipt does not
		answer(t, phone, "20", "3")
		keeps(t, phone, ballots[i]) // the page may speak of the other guest's answers
		says(t, phone, "#outbox", "kept on this phone")
		closeTab()
	}
	net.away.Store(false)
	net.lost.Store(false)
	for _, ballot := range ballots {
		phone, closeTab := tab(t, ctx)
		run(t, phone, chromedp.Navigate(ballot))
		says(t, phone, ".plate h1", "Serving 2 of 2")
		answer(t, phone, "70", "6")
		says(t, phone, "h1", "Thank you")
		closeTab()
	}
	f.must(f.svc.Close(t.Context(), id))
	if got, want := f.held(id), "liking 3, salt 20, liking 6, salt 70, liking 3, salt 20, liking 6, salt 70"; got != want {
		t.Errorf("held: %s; want %s", got, want)
	}
}

// TestBallotWithoutScripts: with scripts switched off in the browser, a phone goes
// through the whole ballot.
func TestBallotWithoutScripts(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(commented, panel.Open)
	phone := browser(t, 360, 740, false)
	if _, err := chromedp.Call(phone, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	run(t, phone, chromedp.Navigate(f.room()+"/join/"+join))
	press(t, phone, ".size a")
	press(t, phone, ".next") // consent
	press(t, phone, ".next") // begin
	press(t, phone, "form .next")
	if got := text(t, phone, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("nothing given: %q", got)
	}
	for _, x := range [][2]string{{"20", "3"}, {"70", "6"}} {
		run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), x[0]), chromedp.Click(chromedp.CSS(`label.choice:has([value="`+x[1]+`"])`)), chromedp.SendKeys(chromedp.CSS("#comment"), "Sweet."))
		press(t, phone, "form .next")
	}
	if got := text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}
	press(t, phone, `.own a[href$="/change"]`)
	run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="7"])`)))
	press(t, phone, "form .next")
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 20, liking 7, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// code returns the blinding code of a serving of the first place, from 0.
func (f *fixture) code(id string, at int) string {
	f.t.Helper()
	kept, err := f.svc.Study(f.t.Context(), id)
	f.must(err)
	plan, err := design.Draw(kept.Asked, design.Options{Seed: kept.Lock.Seed})
	f.must(err)
	for _, v := range plan.Servings {
		if v.Assessor == 0 && at == 0 {
			return v.Code.String()
		}
		if v.Assessor == 0 {
			at--
		}
	}
	f.t.Fatalf("the plan has no serving %d for the first place", at)
	return ""
}

// allKept reads everything that a phone stores: caches and databases.
const allKept = `(async () => {
  let all = "";
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) all += request.url + await (await cache.match(request)).text();
  }
  const { within } = await import(document.querySelector("script[src$='/ballot.js'], script[src$='/offline.js']").src.replace(/[a-z]+\.js$/, "outbox.js"));
  for (const store of ["outbox", "ballots"]) all += JSON.stringify(await within(store, "readonly", (s) => s.getAll()));
  window.allKept = all;
})() && true`

// TestPhoneGoesOnWithoutNetwork: where browsers allow it, a ballot that was opened
// once goes on without network, with its tab closed and opened again. The name of
// a later serving is on the phone only under its code.
func TestPhoneGoesOnWithoutNetwork(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(strings.Replace(commented, "rinse: 0 s", "rinse: 1 s", 1), panel.Open)
	ballot := f.web.URL + f.begun(join)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := tab(t, ctx)
	run(t, phone, chromedp.Navigate(ballot))
	poll(t, phone, `navigator.serviceWorker.controller !== null`)
	eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	poll(t, phone, `window.prepared === true`)
	first := text(t, phone, ".name")
	second := map[string]string{nameA: nameB, nameB: nameA}[first]

	net.away.Store(true)
	answer(t, phone, "20", "3")
	says(t, phone, "#heading", "Serving 2 of 2")
	says(t, phone, "#outbox", "kept on this phone")
	closeTab()
	phone, closeTab = tab(t, ctx)
	defer func() { closeTab() }()
	run(t, phone, chromedp.Navigate(ballot))
	says(t, phone, "#heading", "Serving 2 of 2")
	eval[bool](t, phone, allKept)
	poll(t, phone, `typeof window.allKept === "string"`)
	kept := eval[string](t, phone, `window.allKept`)
	if !strings.Contains(kept, first) || strings.Contains(kept, second) || second == "" {
		t.Errorf("the phone keeps the first name: %v, and the second in the open: %v", strings.Contains(kept, first), strings.Contains(kept, second))
	}
	for _, x := range canaries {
		if strings.Contains(kept, x) {
			t.Errorf("the phone keeps %q", x)
		}
	}

	run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), "111"), chromedp.Click(chromedp.CSS("#unlock button")))
	says(t, phone, "#wrong", "not the code of your next serving")
	eval[bool](t, phone, `document.querySelector("#plate").select() || true`)
	run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), f.code(id, 1)), chromedp.Click(chromedp.CSS("#unlock button")))
	says(t, phone, "#name", second)
	run(t, phone, chromedp.Click(chromedp.CSS("#answers .next")), chromedp.WaitVisible(chromedp.CSS(".problems")))
	if bad := eval[[]string](t, phone, misfits); len(bad) > 0 {
		t.Errorf("without network: %s", strings.Join(bad, "\n"))
	}
	answer(t, phone, "70", "6")
	says(t, phone, "#heading", "All your answers are kept")

	net.away.Store(false)
	eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	says(t, phone, "h1", "Thank you")
	f.must(f.svc.Close(t.Context(), id))
	if got := f.held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

func TestLeadIsToldWhatPhonesDoWithoutNetwork(t *testing.T) {
	for _, tc := range []struct{ name, url, want string }{
		{"HTTPS", "https://tasting.example.org", "goes on: the service is reached over HTTPS"},
		{"plain HTTP", "http://192.168.1.20:8080", "over plain HTTP browsers allow no more"},
		{"this computer", "", "on this computer alone"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := newFixtureWith(t, server.Options{SetupCode: setupCode, URL: tc.url})
			id, _ := f.inState(custard, panel.Open)
			if tc.url == "" {
				if got := f.lead().get("/studies/" + id).html().Find("main").Text(); !strings.Contains(got, tc.want) {
					t.Errorf("the lead's page does not say %q", tc.want)
				}
				return
			}
			if got := server.WithoutNetwork(tc.url); !strings.Contains(got, tc.want) {
				t.Errorf("%q does not say %q", got, tc.want)
			}
		})
	}
}
