package phone_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestOrderMovedByButtons: below the tray stands the order so far; each plate of it has two
// buttons that move it by one place, by finger and by keyboard, and those at the ends stay.
func TestOrderMovedByButtons(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Crusts, panel.Open)
	script := servertest.Axe(t)
	token := f.Began(join, "a-guest-with-an-order2")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Press(t, phone, "form .next") // the warm-up
	servertest.Says(t, phone, ".how", "Tap them in that order")
	tapPlaces(t, phone, 1, 2, 3, 4)
	servertest.Poll(t, phone, badges+` === "1 2 3 4"`)
	servertest.LooksSound(t, phone, "an order with its buttons", script)
	const row = ".order li:nth-of-type(4) button:first-of-type"
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(row)))
	servertest.Poll(t, phone, badges+` === "1 2 4 3"`)
	servertest.Run(t, phone, chromedp.KeyEvent(" ")) // the focus went with the plate
	servertest.Poll(t, phone, badges+` === "1 3 4 2"`)
	if !servertest.Eval[bool](t, phone, `document.querySelector(".order li button").disabled &&
		document.querySelector(".order li:last-of-type button:last-of-type").disabled`) {
		t.Error("a plate at an end can be moved beyond it")
	}
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, "h1", "Thank you")
	if got := given(f, string(id)); got != "turn 2: 1 3 4 2" {
		t.Errorf("kept %s", got)
	}
}
