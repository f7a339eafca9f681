package server_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// TestDoubleTapServesOneSeat taps “Served” twice on a phone that is six times as slow
// as this computer, three times over. One seat is served each time, on the page as it
// stands: nothing is loaded, nothing scrolls, and what was done can be taken back there.
func TestDoubleTapServesOneSeat(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	for i := range 9 {
		f.began(join, fmt.Sprintf("a-guest-who-waits-%d", i))
		f.clock.pass(time.Second) // so that the list has an order
	}
	phone := browser(t, 360, 740, false)
	f.joinInBrowser(phone, f.web.URL, id, panel.RoleFloor)
	slow := emulation.SetCPUThrottlingRateParams{Rate: 6}
	run(t, phone, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, emulation.SetCPUThrottlingRate, slow)
		return err
	}))
	eval[bool](t, phone, `window.same = true`)
	for done := 1; done <= 3; done++ {
		steady(t, phone)
		x, y := middle(t, phone, fmt.Sprintf(".seat.waiting:nth-child(%d) button", done+3), .5)
		scrolled := eval[float64](t, phone, `scrollY`)
		doubleTap(t, phone, x, y)
		poll(t, phone, fmt.Sprintf(`document.querySelectorAll(".seat.out").length >= %d`, done))
		steady(t, phone)
		if got := eval[float64](t, phone, `scrollY`); got != scrolled || !eval[bool](t, phone, `window.same === true`) {
			t.Errorf("the page was at %g and is at %g, or was loaded anew", scrolled, got)
		}
		if got := f.served(id); got != done {
			t.Fatalf("after %d double taps %d seats are served", done, got)
		}
	}
	poll(t, phone, `document.querySelector(".tabs strong").textContent === "6"`)
	run(t, phone, chromedp.Click(chromedp.CSS(".seat.out .undo button")))
	poll(t, phone, `document.querySelectorAll(".seat.out").length === 2`)
	if got := f.served(id); got != 2 {
		t.Errorf("after one was taken back %d seats are served", got)
	}
	f.clock.pass(2 * time.Minute)
	run(t, phone, chromedp.Navigate(f.web.URL+"/floor?show=table"))
	poll(t, phone, `document.querySelectorAll(".seat.out .undo button").length === 2`)
}

// doubleTap taps a point twice as a thumb does, which does not wait until the page has
// dealt with the first tap.
func doubleTap(t *testing.T, phone context.Context, x, y float64) {
	t.Helper()
	var sent sync.WaitGroup
	for _, kind := range []input.DispatchMouseEventType{chromedp.MousePressed, chromedp.MouseReleased, chromedp.MousePressed, chromedp.MouseReleased} {
		one := input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1}
		sent.Go(func() {
			run(t, phone, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
				_, err := cdp.Call(ctx, tab, input.DispatchMouseEvent, one)
				return err
			}))
		})
		time.Sleep(60 * time.Millisecond) // the thumb's own pace
	}
	sent.Wait()
}

// steady waits until the list has stood still long enough for a tap to count.
func steady(t *testing.T, ctx context.Context) {
	t.Helper()
	poll(t, ctx, `document.querySelector("#live:not([data-moving])") !== null`)
}

// served counts the seats that have a plate on the table.
func (f *fixture) served(id string) int {
	f.t.Helper()
	live, err := f.svc.Live(f.t.Context(), panel.Session{Role: panel.RoleLead}, id)
	f.must(err)
	return live.All.Tasting
}

// TestPlainServedComesBackToItsSeat: without scripts, “Served” twice counts once, and
// leads to where the seat stands in the list, with the undo beside it.
func TestPlainServedComesBackToItsSeat(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	f.began(join, "a-guest-who-waits-one")
	v := f.staff(id, panel.RoleFloor)
	form := v.get("/floor").html().Find("form[action$='/served']")
	serve, code := form.AttrOr("action", ""), form.Find("[name=code]").AttrOr("value", "")
	for range 2 {
		p := v.first(http.MethodPost, serve)
		if !strings.HasPrefix(p.header.Get("Location"), "/floor?show=out#seat-") {
			t.Errorf("served leads to %q", p.header.Get("Location"))
		}
	}
	p := v.get("/floor")
	if got := p.html().Find(".seat.out .code").Text(); got != code || f.served(id) != 1 {
		t.Errorf("the list shows %q as served, want %s where it was", got, code)
	}
	p = v.post(p.html().Find(".undo").AttrOr("action", ""), "code", code, "list", "out")
	if p.path != "/floor" || p.html().Find(".seat.waiting").Length() != 1 || f.served(id) != 0 {
		t.Errorf("taking back leads to %s: %s", p.path, p.html().Find("main").Text())
	}
	v.post(serve)
	f.clock.pass(2 * time.Minute)
	if got := v.get("/floor").html().Find(".seat").Length(); got != 0 {
		t.Errorf("%d seats stand among those that wait, two minutes after the plate", got)
	}
}
