package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTheTabletForgetsTheLastGuest: a guest rates on the house's tablet and gives it back; neither
// the browser's way back nor what it keeps shows the next guest anything of it. A tablet that floor
// takes back in the middle leaves the ballot by itself.
func TestTheTabletForgetsTheLastGuest(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-has-no-phone")
	f.Began(join, "another-without-a-phone-1")
	floor := f.Staff(id, panel.RoleFloor)
	links := f.FloorLinks(floor)
	tablet := servertest.Browser(t, 820, 1180, false)
	hand := func(i int) {
		t.Helper()
		code := floor.Get(links[i][0] + "/tablet").HTML().Find(".tablet-code").Text()
		servertest.Run(t, tablet, chromedp.Navigate(f.Web.URL+"/tablet"),
			chromedp.SendKeys(chromedp.CSS("#code"), code))
		servertest.Press(t, tablet, "main .next")
	}
	kept := func() int {
		t.Helper()
		return servertest.Await[int](t, tablet, `new Promise((done, fail) => {
			const open = indexedDB.open("cloche");
			open.onerror = fail;
			open.onsuccess = async () => {
				const count = (name) => !open.result.objectStoreNames.contains(name) ? 0 : new Promise((n) => {
					const r = open.result.transaction(name).objectStore(name).count();
					r.onsuccess = () => n(r.result);
				});
				done(await count("outbox") + await count("ballots") + sessionStorage.length + localStorage.length);
				open.result.close();
			};
		})`)
	}
	hand(0)
	own := servertest.Eval[string](t, tablet, "location.pathname")
	servertest.Answer(t, tablet, "20", "5")
	servertest.Poll(t, tablet, `document.querySelector(".plate .code")?.textContent.includes("`+f.Code(id, 1)+`")`)
	servertest.Answer(t, tablet, "70", "5")
	servertest.Says(t, tablet, "h1", "Thank you")
	if kept() == 0 {
		t.Error("nothing was kept before it was given back: the check below says nothing")
	}
	const workers = `navigator.serviceWorker.getRegistrations().then((r) => r.length)`
	if n := servertest.Await[int](t, tablet, workers); n != 0 {
		t.Errorf("%d service workers hold pages of the guest", n)
	}
	servertest.Press(t, tablet, `form[action$="/give-back"] .next`)
	servertest.Says(t, tablet, "h1", "Ready for the next guest")
	servertest.Poll(t, tablet, `document.readyState === "complete"`)
	for range 100 {
		if kept() == 0 {
			break
		}
	}
	if n := kept(); n != 0 {
		t.Errorf("the browser keeps %d things of the last guest", n)
	}
	servertest.Run(t, tablet, chromedp.Evaluate[chromedp.Void](`history.back()`))
	servertest.Poll(t, tablet, `location.pathname === "/tablet" || !document.body.innerText.includes("Thank you")`)
	servertest.Run(t, tablet, chromedp.Navigate(f.Web.URL+own))
	servertest.Says(t, tablet, "h1", "Ready for the next guest")

	hand(1)
	servertest.Poll(t, tablet, `document.querySelector(".plate .code") !== null`)
	second := servertest.Eval[string](t, tablet, "location.pathname")
	if !strings.HasPrefix(second, "/t/") || second == own {
		t.Errorf("the next guest is at %s, the last one was at %s", second, own)
	}
	servertest.Run(t, tablet, chromedp.Evaluate[chromedp.Void](`history.back()`))
	servertest.Poll(t, tablet, `!document.body.innerText.includes("`+f.Code(id, 0)+`")`)
	servertest.Run(t, tablet, chromedp.Navigate(f.Web.URL+second))
	floor.Post(links[1][0] + "/tablet/back")
	servertest.Says(t, tablet, "h1", "Ready for the next guest")
}
