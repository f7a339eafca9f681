package room_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

const (
	covers   = 40
	twoPages = 2 * 740 // px
)

// fullHouse is a sitting at which forty guests wait for their first plate.
func fullHouse(t *testing.T) (*servertest.Fixture, panel.StudyID) {
	t.Helper()
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "assessors: 12", "assessors: 40", 1), panel.Open)
	for i := range covers {
		f.Began(join, fmt.Sprintf("a-guest-of-a-full-house-%d", i))
		f.Clock.Pass(time.Second)
	}
	return f, id
}

// key taps a key of the pad as a thumb does, where it stands on the screen.
func key(t *testing.T, phone context.Context, digit byte, taps int) {
	t.Helper()
	at := servertest.Eval[[]float64](t, phone, fmt.Sprintf(`(() => {
		const b = document.querySelector('[data-key="%c"]').getBoundingClientRect();
		return [b.left + b.width / 2, b.top + b.height / 2, b.width, b.height];
	})()`, digit))
	if at[1] < 740/2 || at[1] > 740 || at[2] < 44 || at[3] < 44 {
		t.Fatalf("key %c is %g × %g px at a height of %g: out of the thumb's reach", digit, at[2], at[3], at[1])
	}
	if taps == 2 {
		doubleTap(t, phone, at[0], at[1])
		return
	}
	servertest.Run(t, phone, chromedp.MouseClickXY(at[0], at[1]))
	time.Sleep(100 * time.Millisecond) // the thumb's own pace
}

// TestPadServesAFullHouse: with forty guests waiting, the list scrolls for two screens at
// most, and each plate takes its three digits and one more tap. On a phone six times as
// slow, the last digit and the button are tapped twice: one seat is served each time.
func TestPadServesAFullHouse(t *testing.T) {
	f, id := fullHouse(t)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	servertest.Poll(t, phone, `document.querySelectorAll(".seat.waiting").length === 40`)
	servertest.Poll(t, phone, `document.querySelector('[data-key="7"]')?.checkVisibility()`)
	list := servertest.Eval[float64](t, phone, `document.querySelector(".seats").getBoundingClientRect().height`)
	scroll := servertest.Eval[float64](t, phone, `document.documentElement.scrollHeight - innerHeight`)
	t.Logf("forty covers: a list of %g px, %g px to scroll", list, scroll)
	if list > twoPages || scroll > twoPages {
		t.Errorf("the list is %g px and scrolls for %g px, want %d at most", list, scroll, twoPages)
	}
	slow := emulation.SetCPUThrottlingRateParams{Rate: 6}
	servertest.Run(t, phone, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, emulation.SetCPUThrottlingRate, slow)
		return err
	}))
	for done := 1; done <= 3; done++ {
		code := servertest.Eval[string](t, phone, fmt.Sprintf(`document.querySelectorAll(".seat.waiting `+
			`.code")[%d].textContent`,
			5*done))
		key(t, phone, code[0], 1)
		key(t, phone, code[1], 1)
		key(t, phone, code[2], 2)
		servertest.Says(t, phone, ".plate .code", code)
		if got := served(f, id); got != done-1 {
			t.Fatalf("typing %s set %d plates down, want %d", code, got, done-1)
		}
		steady(t, phone)
		x, y := servertest.Middle(t, phone, ".acts .next", .5)
		doubleTap(t, phone, x, y)
		servertest.Poll(t, phone, `document.querySelector("#unlock") !== null`)
		servertest.Poll(t, phone, fmt.Sprintf(`document.querySelectorAll(".seat.out").length === %d`, done))
		steady(t, phone)
		if got := served(f, id); got != done {
			t.Fatalf("after %d plates %d are on the table", done, got)
		}
	}
}

// TestPadWithoutNetwork: a code that is typed while the network is away leads to the same
// seat and the same button, and what is set down is told when it is back.
func TestPadWithoutNetwork(t *testing.T) {
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-who-waits-one")
	f.Began(join, "a-guest-who-waits-two")
	code, later := f.Code(id, 0), f.Code(id, 1)
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)
	servertest.Poll(t, phone, `document.querySelector('[data-key="7"]')?.checkVisibility()`)
	net.Away.Store(true)
	for i := range code {
		key(t, phone, code[i], 1)
	}
	servertest.Says(t, phone, "#seat-plates .code", code)
	servertest.Tap(t, phone, "Set down")
	servertest.Says(t, phone, "#kept-note", "1 note is kept on this phone")
	servertest.Poll(t, phone, `document.querySelector('[data-key="7"]')?.checkVisibility()`)
	for i := range later {
		key(t, phone, later[i], 1)
	}
	servertest.Says(t, phone, "#seat-plates .code", later) // a guest with a phone may be one further on
	servertest.TypeIn(t, phone, "#table", "4")
	servertest.Tap(t, phone, "Move here")
	servertest.Says(t, phone, "#seat-at", "table 4")
	servertest.Tap(t, phone, "All seats")
	for _, digit := range "100" {
		key(t, phone, byte(digit), 1)
	}
	servertest.Says(t, phone, "#wrong", "No plate that this phone knows has this code")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `document.querySelector("#plate").value = "";
		window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelector("#live") !== null && `+
		`document.querySelectorAll(".seat.out").length === 1`)
	if got := served(f, id); got != 1 {
		t.Errorf("%d plates are on the table, want 1", got)
	}
	if got := f.Staff(id, panel.RoleFloor).Get("/floor?show=all").HTML().Find("h2.table").Text(); !strings.Contains(got,
		"Table 4") {
		t.Errorf("the guest who was moved without network sits at %q", got)
	}
}
