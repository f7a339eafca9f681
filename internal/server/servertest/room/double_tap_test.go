package room_test

import (
	"context"
	"fmt"
	"math"
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
	"cloche/internal/server/servertest"
)

// TestDoubleTapServesOneSeat taps “Set down” twice on a phone that is six times as slow
// as this computer, three times over. One seat is served each time, on the page as it
// stands: nothing is loaded, nothing scrolls, and what was done can be taken back there.
func TestDoubleTapServesOneSeat(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	for i := range 9 {
		f.Began(join, fmt.Sprintf("a-guest-who-waits-%d", i))
		f.Clock.Pass(time.Second) // so that the list has an order
	}
	phone := servertest.Browser(t, 700, 740, false) // narrower ones set it down from the page of the seat
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	slow := emulation.SetCPUThrottlingRateParams{Rate: 6}
	servertest.Run(t, phone, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, emulation.SetCPUThrottlingRate, slow)
		return err
	}))
	servertest.Eval[bool](t, phone, `window.same = true`)
	for done := 1; done <= 3; done++ {
		steady(t, phone)
		x, y := servertest.Middle(t, phone, fmt.Sprintf(".seat.waiting:nth-child(%d) button", done+3), .5)
		seat := fmt.Sprintf(`document.querySelectorAll("#live .seat")[%d].getBoundingClientRect().top`, done+2)
		stood := servertest.Eval[float64](t, phone, seat)
		doubleTap(t, phone, x, y)
		servertest.Poll(t, phone, fmt.Sprintf(`document.querySelectorAll(".seat.out").length >= %d`, done))
		steady(t, phone)
		// The browser keeps the list under the thumb where something above it changed.
		if got := servertest.Eval[float64](t, phone, seat); math.Abs(got-stood) > 1 {
			t.Errorf("the seat stood at %g and stands at %g", stood, got)
		}
		if !servertest.Eval[bool](t, phone, `window.same === true`) {
			t.Errorf("the page was loaded anew")
		}
		if got := served(f, id); got != done {
			t.Fatalf("after %d double taps %d seats are served", done, got)
		}
	}
	servertest.Poll(t, phone, `document.querySelector(".tabs strong").textContent === "6"`)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(".seat.out .undo button")))
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.out").length === 2`)
	if got := served(f, id); got != 2 {
		t.Errorf("after one was taken back %d seats are served", got)
	}
	f.Clock.Pass(2 * time.Minute)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/floor?show=table"))
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.out .undo button").length === 2`)
}

// doubleTap taps a point twice as a thumb does, which does not wait until the page has
// dealt with the first tap.
func doubleTap(t *testing.T, phone context.Context, x, y float64) {
	t.Helper()
	var sent sync.WaitGroup
	for _, kind := range []input.DispatchMouseEventType{chromedp.MousePressed, chromedp.MouseReleased,
		chromedp.MousePressed, chromedp.MouseReleased} {
		one := input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1}
		sent.Go(func() {
			servertest.Run(t, phone, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
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
	servertest.Poll(t, ctx, `document.querySelector("#live:not([data-moving])") !== null`)
}

// served counts the seats that have a plate on the table.
func served(f *servertest.Fixture, id panel.StudyID) int {
	f.T.Helper()
	live, err := f.Svc.Live(f.T.Context(), panel.Session{Role: panel.RoleLead}, id)
	f.Must(err)
	return live.All.Tasting
}

// TestPlainServedComesBackToItsSeat: without scripts, “Set down” twice counts once, and
// leads to where the seat stands in the list, with the undo beside it.
func TestPlainServedComesBackToItsSeat(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-waits-one")
	v := f.Staff(id, panel.RoleFloor)
	form := v.Get("/floor").HTML().Find("form[action$='/served']")
	serve, code := form.AttrOr("action", ""), form.Find("[name=code]").AttrOr("value", "")
	for range 2 {
		p := v.First(http.MethodPost, serve)
		if !strings.HasPrefix(p.Header.Get("Location"), "/floor?show=out#seat-") {
			t.Errorf("served leads to %q", p.Header.Get("Location"))
		}
	}
	p := v.Get("/floor")
	if got := p.HTML().Find(".seat.out .code").Text(); got != code || served(f, id) != 1 {
		t.Errorf("the list shows %q as served, want %s where it was", got, code)
	}
	p = v.Post(p.HTML().Find(".undo").AttrOr("action", ""), "code", code, "list", "out")
	if p.Path != "/floor" || p.HTML().Find(".seat.waiting").Length() != 1 || served(f, id) != 0 {
		t.Errorf("taking back leads to %s: %s", p.Path, p.HTML().Find("main").Text())
	}
	v.Post(serve)
	f.Clock.Pass(2 * time.Minute)
	if got := v.Get("/floor").HTML().Find(".seat").Length(); got != 0 {
		t.Errorf("%d seats stand among those that wait, two minutes after the plate", got)
	}
}
