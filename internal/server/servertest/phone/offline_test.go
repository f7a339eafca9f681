package phone_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// keeps waits until a phone has answers to a ballot on its disk.
func keeps(t *testing.T, ctx context.Context, ballot string) {
	t.Helper()
	servertest.Poll(t, ctx, `window.keepsThem || (indexedDB.open("cloche").onsuccess = (opened) => {
		const db = opened.target.result;
		db.transaction("outbox").objectStore("outbox").getAll().onsuccess = (read) => {
			window.keepsThem = read.target.result.some((entry) => entry.url.startsWith("`+ballot+`"));
			db.close();
		};
	}, false)`)
}

// TestPlainPhoneKeepsAnswersWithoutNetwork: over plain HTTP the network goes away
// in the middle of a ballot, the tab is closed, and the answers go when the ballot
// is opened again.
func TestPlainPhoneKeepsAnswersWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	ballot := f.Room() + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank")) // keeps the browser when tabs close
	phone, closeTab := servertest.Tab(t, ctx)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	net.Away.Store(true)
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	if got := servertest.Text(t, phone, ".plate h1"); !strings.HasPrefix(got, "Serving 1 of 2") {
		t.Errorf("without network the page is %q", got)
	}
	closeTab()

	net.Away.Store(false)
	phone, closeTab = servertest.Tab(t, ctx)
	defer closeTab()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
	servertest.Says(t, phone, "#outbox", "have been received")
	net.Away.Store(true)
	servertest.Answer(t, phone, "70", "6")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestPageThatAnotherTabOutran: a page was written before another tab's answers
// arrived, and looks for them on the phone after that tab has let them go. It asks
// the service again instead of asking the guest twice.
func TestPageThatAnotherTabOutran(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	path := f.Begun(join)
	old := httptest.NewRecorder()
	net.ServeHTTP(old, httptest.NewRequest(http.MethodGet, f.Room()+path, nil))
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Room()+path))
	servertest.Answer(t, ctx, "20", "3")
	servertest.Says(t, ctx, ".plate h1", "Serving 2 of 2")
	net.Late.Store(old)
	servertest.Run(t, ctx, chromedp.Navigate(f.Room()+path))
	servertest.Says(t, ctx, ".plate h1", "Serving 2 of 2")
	if net.Late.Load() != nil {
		t.Fatal("the old page was never shown")
	}
	servertest.Answer(t, ctx, "70", "6")
	servertest.Says(t, ctx, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// TestTwoBallotsWithoutNetwork: a phone that two guests share loses its network
// in the middle of both ballots and its tabs are closed. Both ballots complete when
// it is back, however often answers arrive.
func TestTwoBallotsWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank"))
	var ballots []string
	for i := range 2 {
		token, err := f.Svc.Consent(t.Context(), join, fmt.Sprintf("nonce-of-guest-%d", i), panel.PhoneConsent{})
		f.Must(err)
		f.Must(f.Svc.Start(t.Context(), token))
		ballots = append(ballots, f.Room()+"/t/"+string(token))
		net.Away.Store(false)
		phone, closeTab := servertest.Tab(t, ctx)
		servertest.Run(t, phone, chromedp.Navigate(ballots[i]))
		net.Away.Store(true)
		net.Lost.Store(i == 1) // the first attempt of the second guest's answers arrives, its receipt does not
		servertest.Answer(t, phone, "20", "3")
		keeps(t, phone, ballots[i]) // the page may speak of the other guest's answers
		servertest.Says(t, phone, "#outbox", "kept on this phone")
		closeTab()
	}
	net.Away.Store(false)
	net.Lost.Store(false)
	for _, ballot := range ballots {
		phone, closeTab := servertest.Tab(t, ctx)
		servertest.Run(t, phone, chromedp.Navigate(ballot))
		servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
		servertest.Answer(t, phone, "70", "6")
		servertest.Says(t, phone, "h1", "Thank you")
		closeTab()
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got, want := f.Held(id), "liking 3, salt 20, liking 6, salt 70, liking 3, salt 20, liking 6, salt "+
		"70"; got != want {
		t.Errorf("held: %s; want %s", got, want)
	}
}

// TestBallotWithoutScripts: with scripts switched off in the browser, a phone goes
// through the whole ballot.
func TestBallotWithoutScripts(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Commented, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	if _, err := chromedp.Call(phone, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+"/join/"+string(join)))
	servertest.Press(t, phone, ".size a")
	servertest.Press(t, phone, ".next") // consent
	servertest.Press(t, phone, ".next") // begin
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("nothing given: %q", got)
	}
	for _, x := range [][2]string{{"20", "3"}, {"70", "6"}} {
		servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), x[0]),
			chromedp.Click(chromedp.CSS(`label.choice:has([value="`+x[1]+`"])`)),
			chromedp.SendKeys(chromedp.CSS("#comment"), "Sweet."))
		servertest.Press(t, phone, "form .next")
	}
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}
	servertest.Press(t, phone, `.own a[href$="/change"]`)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="7"])`)))
	servertest.Press(t, phone, "form .next")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 7, salt 70" {
		t.Errorf("held: %s", got)
	}
}

// allKept reads everything that a phone stores: caches and databases.
const allKept = `(async () => {
  let all = "";
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) all += request.url + await (await cache.match(request)).text();
  }
  const { within } = await import(document.querySelector("script[src$='/ballot.js'], ` +
	`script[src$='/offline.js']").src.replace(/[a-z]+\.js$/, "outbox.js"));
  for (const store of ["outbox", "ballots"]) all += JSON.stringify(await within(store, "readonly", (s) => s.getAll()));
  window.allKept = all;
})() && true`

// TestPhoneGoesOnWithoutNetwork: where browsers allow it, a ballot that was opened
// once goes on without network, with its tab closed and opened again. The name of
// a later serving is on the phone only under its code.
func TestPhoneGoesOnWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(strings.Replace(servertest.Commented, "rinse: 0 s", "rinse: 1 s", 1), panel.Open)
	ballot := f.Web.URL + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := servertest.Tab(t, ctx)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)
	first := servertest.Text(t, phone, ".name")
	second := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[first]

	net.Away.Store(true)
	servertest.Answer(t, phone, "20", "3")
	servertest.Says(t, phone, "#heading", "Serving 2 of 2")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	closeTab()
	phone, closeTab = servertest.Tab(t, ctx)
	defer func() { closeTab() }()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Says(t, phone, "#heading", "Serving 2 of 2")
	servertest.Eval[bool](t, phone, allKept)
	servertest.Poll(t, phone, `typeof window.allKept === "string"`)
	kept := servertest.Eval[string](t, phone, `window.allKept`)
	if !strings.Contains(kept, first) || strings.Contains(kept, second) || second == "" {
		t.Errorf("the phone keeps the first name: %v, and the second in the open: %v", strings.Contains(kept, first),
			strings.Contains(kept, second))
	}
	for _, x := range servertest.Canaries {
		if strings.Contains(kept, x) {
			t.Errorf("the phone keeps %q", x)
		}
	}

	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), "111"),
		chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#wrong", "not the code of your next serving")
	servertest.Eval[bool](t, phone, `document.querySelector("#plate").select() || true`)
	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), f.Code(id, 1)),
		chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#name", second)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#answers .next")),
		chromedp.WaitVisible(chromedp.CSS(".problems")))
	if bad := servertest.Eval[[]string](t, phone, servertest.Misfits); len(bad) > 0 {
		t.Errorf("without network: %s", strings.Join(bad, "\n"))
	}
	servertest.Answer(t, phone, "70", "6")
	servertest.Says(t, phone, "#heading", "All your answers are kept")

	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70" {
		t.Errorf("held: %s", got)
	}
}
