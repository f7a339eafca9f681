package phone_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestSittingWithNamesInRealBrowsers: two phones read names before they taste, while
// floor enters them for a guest without a phone. One phone loses its network at the
// first name, and again at the second, from where it goes on to its plates; the
// other has no network for a moment over plain HTTP.
func TestSittingWithNamesInRealBrowsers(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Expecting, panel.Open)
	ballot := f.Web.URL + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := servertest.Tab(t, ctx)
	defer closeTab()
	floor, plain := servertest.Browser(t, 360, 740, true), servertest.Browser(t, 360, 740, true)
	f.JoinInBrowser(floor, f.Room(), id, panel.RoleFloor)
	servertest.Run(t, plain, chromedp.Navigate(f.Room()+"/join/"+string(join)))
	servertest.Press(t, plain, ".next")
	servertest.Press(t, plain, ".next") // begin
	servertest.Run(t, floor, chromedp.Navigate(f.Room()+"/floor?show=all"))
	servertest.Poll(t, floor, `document.querySelectorAll(".seat.reading").length === 2`)

	first, second := readsWithoutNetwork(f, t, phone, ballot, net)
	tastesWithoutNetwork(f, t, phone, id, net, first, second)

	servertest.Run(t, plain, chromedp.WaitVisible(chromedp.CSS(".expect")))
	net.Away.Store(true)
	servertest.Answer(t, plain, "81", "8")
	servertest.Says(t, plain, "#outbox", "kept on this phone")
	net.Away.Store(false)
	servertest.Eval[bool](t, plain, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, plain, ".plate h1", "name 2 of 2")
	servertest.Press(t, plain, `.own a[href$="/change"]`)
	if got := servertest.Eval[string](t, plain, `document.querySelector("#a1").value`); got != "81" {
		t.Errorf("to change: %q, want what was given for the first name", got)
	}
	servertest.Eval[bool](t, plain, `document.querySelector("#a1").select() || true`)
	servertest.Run(t, plain, chromedp.SendKeys(chromedp.CSS("#a1"), "82"))
	servertest.Run(t, plain, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, plain, ".plate h1", "name 2 of 2")
	for range 3 { // the second name and two plates
		servertest.Poll(t, plain, `document.querySelector(".plate h1") !== null && `+
			`!document.querySelector("form")?.inert`)
		servertest.Answer(t, plain, "50", "5")
		servertest.Poll(t, plain, `document.querySelector(".plate h1") === null || `+
			`document.querySelector("#a1")?.value === ""`)
	}
	servertest.Says(t, plain, "h1", "Thank you")

	floorReads(f, t, floor)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, c, err := f.Svc.Collected(t.Context(), id)
	f.Must(err)
	said := map[int][]string{}
	for _, r := range c.Answers {
		if r.Attribute == "salt" && r.Code == "" {
			said[r.Place] = append(said[r.Place], fmt.Sprint(r.Value, r.EnteredBy))
		}
	}
	if got, want := fmt.Sprint(said), "map[0:[61 31] 1:[82 50] 2:[44floor 1]]"; got != want {
		t.Errorf("expected: %s, want %s", got, want)
	}
	if got := f.Held(id); got != "liking 3, salt 20, liking 6, salt 70, liking 5, salt 50, liking 5, salt 50" {
		t.Errorf("rated: %s", got)
	}
}

// readsWithoutNetwork has a phone read two names; the network is away when it sends
// what it expects of each. It returns the names.
func readsWithoutNetwork(f *servertest.Fixture, t *testing.T, phone context.Context, ballot string,
	net *servertest.Network) (first, second string) {
	t.Helper()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	prepared(f, t, phone)
	first = servertest.Text(t, phone, ".name")
	second = map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[first]
	net.Away.Store(true)
	servertest.Answer(t, phone, "61", "7")
	servertest.Says(t, phone, "#heading", "No network")
	servertest.Says(t, phone, "#outbox", "kept on this phone")
	keepsNo(f, t, phone, append(servertest.Canaries, second)...)
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, ".plate h1", "name 2 of 2")
	if got := servertest.Text(t, phone, ".name"); got != second {
		t.Errorf("the second name is %q, want %q", got, second)
	}
	prepared(f, t, phone)
	return first, second
}

// tastesWithoutNetwork sends what the phone expects of its last name, and both of
// its plates, while the network is away.
func tastesWithoutNetwork(f *servertest.Fixture, t *testing.T, phone context.Context, id panel.StudyID,
	net *servertest.Network, names ...string) {
	t.Helper()
	servertest.Poll(t, phone, `(async () => { const { within } = await `+
		`import(document.querySelector("script[src$='/ballot.js']").src.replace("ballot.js", "outbox.js"));
		window.ahead = (await within("ballots", "readonly", (s) => s.get(location.pathname)))?.ahead.length; `+
		`})() && window.ahead === 2`)
	net.Away.Store(true)
	servertest.Answer(t, phone, "31", "4")
	servertest.Says(t, phone, "#heading", "Serving 1 of 2")
	keepsNo(f, t, phone, `"code":"`+f.Code(id, 2)+`"`, `"code":"`+f.Code(id, 3)+`"`)
	var met []string
	for i, x := range [][2]string{{"20", "3"}, {"70", "6"}} {
		servertest.Run(t, phone, chromedp.WaitVisible(chromedp.CSS("#plate")),
			chromedp.SendKeys(chromedp.CSS("#plate"), f.Code(id, 2+i)), chromedp.Click(chromedp.CSS("#unlock button")))
		servertest.Poll(t, phone, `document.querySelector("#name").textContent !== "" && `+
			`!document.querySelector("#answers").hidden`)
		met = append(met, servertest.Text(t, phone, "#name"))
		servertest.Answer(t, phone, x[0], x[1])
	}
	if fmt.Sprint(met) != fmt.Sprint(names) && fmt.Sprint(met) != fmt.Sprint([]string{names[1], names[0]}) {
		t.Errorf("tasted %v, read %v", met, names)
	}
	servertest.Says(t, phone, "#heading", "All your answers are kept")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "h1", "Thank you")
}

// floorReads seats a guest without a phone, enters the first name and skips the second.
func floorReads(f *servertest.Fixture, t *testing.T, floor context.Context) {
	t.Helper()
	servertest.Run(t, floor, chromedp.Navigate(f.Room()+"/floor/guest"), chromedp.Click(chromedp.CSS("#allergens")),
		chromedp.Click(chromedp.CSS("#consent")))
	servertest.Press(t, floor, "main .next")
	servertest.Press(t, floor, ".acts .next")
	if got := servertest.Text(t, floor, ".plate h1"); !strings.Contains(got, "before tasting: name 1 of 2") {
		t.Errorf("floor's form: %q", got)
	}
	if bad := servertest.Eval[[]string](t, floor, servertest.Misfits); len(bad) > 0 {
		t.Errorf("floor's form: %s", strings.Join(bad, "\n"))
	}
	servertest.Run(t, floor, chromedp.SendKeys(chromedp.CSS("#a1"), "44"),
		chromedp.Click(chromedp.CSS(`label.choice:has([value="6"])`)))
	servertest.Press(t, floor, "form .next")
	servertest.Press(t, floor, `form[action$="/refused"] button`)
	servertest.Says(t, floor, ".plate", "code")
}

// prepared waits until a phone can go on without network.
func prepared(f *servertest.Fixture, t *testing.T, phone context.Context) {
	t.Helper()
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)
}

// keepsNo reads everything that a phone stores.
func keepsNo(f *servertest.Fixture, t *testing.T, phone context.Context, words ...string) {
	t.Helper()
	servertest.Eval[bool](t, phone, allKept)
	servertest.Poll(t, phone, `typeof window.allKept === "string"`)
	kept := servertest.Eval[string](t, phone, `window.allKept`)
	for _, x := range words {
		if strings.Contains(kept, x) {
			t.Errorf("the phone keeps %q", x)
		}
	}
}
