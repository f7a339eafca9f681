package phone_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// given are the answers that a study collected from its first place, by turn, in the order
// of the tray.
func given(f *servertest.Fixture, id string) string {
	f.Must(f.Svc.Close(f.T.Context(), servertest.ByLead, panel.StudyID(id)))
	_, c, err := f.Svc.Collected(f.T.Context(), panel.StudyID(id))
	f.Must(err)
	var all []string
	for _, x := range c.Turns {
		text := ""
		for _, v := range x.Servings {
			for _, a := range c.Answers {
				if a.Place == x.Place && a.Code == v.Code && a.Turn == x.Order+1 {
					text += fmt.Sprintf(" %g", a.Value)
				}
			}
		}
		if text != "" {
			all = append(all, fmt.Sprintf("turn %d:%s", x.Order+1, text))
		}
	}
	return strings.Join(all, ", ")
}

// choosePlaces chooses a place in each list of the page, without its script.
func choosePlaces(t *testing.T, phone context.Context, places ...string) {
	t.Helper()
	for i, place := range places {
		servertest.Run(t, phone, chromedp.SetValue(chromedp.CSS(fmt.Sprintf("#rank-%d", i+1)), place))
	}
}

// TestOrderWithoutScripts: four lists, one for each plate. A form with a place missing or
// given twice comes back as it was filled in.
func TestOrderWithoutScripts(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Crusts, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	if _, err := chromedp.Call(phone, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+"/join/"+string(join)))
	for range 3 { // consent, begin, the warm-up
		servertest.Press(t, phone, "form .next")
	}
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, "main"); !strings.Contains(got, "Give each of them a place.") ||
		!strings.Contains(got, "Give each its place: 1 is the first.") {
		t.Errorf("nothing chosen: %q", got)
	}
	choosePlaces(t, phone, "3", "1", "3", "2")
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, "main"); !strings.Contains(got, "Two of them have the same place") {
		t.Errorf("a place given twice: %q", got)
	}
	choosePlaces(t, phone, "3", "1", "4") // the fourth is kept
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q: %s", got, servertest.Text(t, phone, "main"))
	}
	servertest.Press(t, phone, `.own a[href$="/change"]`)
	choosePlaces(t, phone, "4", "1", "3") // 4 1 3 2
	servertest.Press(t, phone, "form .next")
	if got := given(f, string(id)); got != "turn 2: 4 1 3 2" {
		t.Errorf("kept %s", got)
	}
}

// tapPlaces taps plates by their place on the tray.
func tapPlaces(t *testing.T, phone context.Context, at ...int) {
	t.Helper()
	for _, i := range at {
		servertest.Run(t, phone, chromedp.Click(chromedp.CSS(
			fmt.Sprintf("form .places .tray > button:nth-of-type(%d)", i))))
	}
}

const badges = `[...document.querySelectorAll("form .places .badge")].map((e) => e.textContent || "-").join(" ")`

// TestOrderByTaps: the first tap is the first place; a tap on a plate takes it back and
// those after it close up; what was tapped is there after the page is loaded again; the
// keyboard does the same.
func TestOrderByTaps(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Crusts, panel.Open)
	script := servertest.Axe(t)
	token := f.Began(join, "a-guest-with-an-order1")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Press(t, phone, "form .next") // the warm-up
	servertest.Says(t, phone, "h1", "4 plates side by side")
	servertest.Says(t, phone, ".how", "Tap them in that order")
	servertest.LooksSound(t, phone, "an order", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	tapPlaces(t, phone, 3, 1)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, ".problems", "One answer is missing")
	tapPlaces(t, phone, 4)
	servertest.Poll(t, phone, badges+` === "2 - 1 3"`)
	tapPlaces(t, phone, 3)
	servertest.Poll(t, phone, badges+` === "1 - - 2"`)
	servertest.LooksSound(t, phone, "an order, half given", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("pagehide"))`)
	servertest.Eval[bool](t, phone, `(document.title = "left", true)`)
	servertest.Run(t, phone, chromedp.Reload())
	servertest.Poll(t, phone, `document.title !== "left" && `+badges+` === "1 - - 2"`)
	servertest.Run(t, phone, chromedp.Focus(chromedp.CSS("form .places .tray > button:nth-of-type(2)")),
		chromedp.KeyEvent(" "))
	servertest.Poll(t, phone, badges+` === "1 3 - 2"`)
	tapPlaces(t, phone, 3)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, "h1", "Thank you")
	if got := given(f, string(id)); got != "turn 2: 1 3 4 2" {
		t.Errorf("kept %s", got)
	}
}

// TestOrderAndPairsWithoutNetwork: trays that are sealed open under their codes, and the
// answers are there when the network is back.
func TestOrderAndPairsWithoutNetwork(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, study string
		answer      func(t *testing.T, phone context.Context)
		want        string
	}{
		{"order", servertest.Crusts, func(t *testing.T, phone context.Context) { tapPlaces(t, phone, 2, 4, 1, 3) },
			"turn 2: 3 1 4 2"},
		{"pairs", servertest.Creams, func(t *testing.T, phone context.Context) {
			servertest.Says(t, phone, "#answers .known", "goes with one of the others")
			servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`#answers label.choice:has([value="3"])`)))
		}, "turn 2: 1 2 1 2"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			net := f.Network()
			id, join := f.InState(tc.study, panel.Open)
			script := servertest.Axe(t)
			token := f.Began(join, "a-guest-with-an-order2")
			phone := servertest.Browser(t, 360, 740, false)
			servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
			servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
			servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + `+
				`"/offline"))) await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
			servertest.Poll(t, phone, `window.prepared === true`)
			net.Away.Store(true)
			servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next"))) // the warm-up
			servertest.Poll(t, phone, `document.querySelector("#plate")?.checkVisibility()`)
			servertest.TypeIn(t, phone, "#plate", strings.Join(f.TrayAt(id, 1), " "))
			servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
			servertest.Says(t, phone, "#order", "one after another, in this order")
			servertest.LooksSound(t, phone, "without network: "+tc.name, script)
			servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
			tc.answer(t, phone)
			servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#answers .next")))
			servertest.Says(t, phone, "#outbox", "kept on this phone")
			net.Away.Store(false)
			servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
			servertest.Poll(t, phone, `document.querySelector("#unlock") === null`)
			if got := given(f, string(id)); got != tc.want {
				t.Errorf("kept %s, want %s", got, tc.want)
			}
		})
	}
}
