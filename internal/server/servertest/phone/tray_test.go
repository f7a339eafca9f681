package phone_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// pick chooses the plate at a place of the tray on the page, and sends that.
func pick(at int) []chromedp.Action[chromedp.Void] {
	return []chromedp.Action[chromedp.Void]{
		chromedp.Click(chromedp.CSS(fmt.Sprintf(`form label.choice:has([value="%d"])`, at)))}
}

// choices are what a study collected, by turn: the places on the tray of what was chosen.
func choices(f *servertest.Fixture, id panel.StudyID) string {
	f.Must(f.Svc.Close(f.T.Context(), servertest.ByLead, id))
	_, c, err := f.Svc.Collected(f.T.Context(), id)
	f.Must(err)
	var all []string
	for _, x := range c.Turns {
		for _, a := range c.Answers {
			if a.Place == x.Place && a.Turn == x.Order+1 && a.Value == 1 {
				for i, v := range x.Servings {
					if v.Code == a.Code {
						all = append(all, fmt.Sprintf("turn %d: %d", a.Turn, i+1))
					}
				}
			}
		}
	}
	return strings.Join(all, ", ")
}

// TestTrayWithoutScripts: a choice among three plates, by forms alone.
func TestTrayWithoutScripts(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Smokiest, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	if _, err := chromedp.Call(phone, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+"/join/"+string(join)))
	servertest.Press(t, phone, ".next") // consent
	if got := servertest.Text(t, phone, "main"); !strings.Contains(got,
		"First you taste one plate by itself. There are 2 rounds. In each you get 3 plates at once") {
		t.Errorf("the instructions say %q", got)
	}
	servertest.Press(t, phone, ".next") // begin
	if got := servertest.Text(t, phone, "form .next"); got != "I have tasted it" {
		t.Errorf("the warm-up's button: %q", got)
	}
	servertest.Press(t, phone, "form .next")
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, ".problems"); !strings.Contains(got, "One answer is missing") {
		t.Errorf("nothing chosen: %q", got)
	}
	for _, at := range []int{3, 1} {
		servertest.Run(t, phone, pick(at)...)
		servertest.Press(t, phone, "form .next")
	}
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}
	servertest.Press(t, phone, `.own a[href$="/change"]`)
	servertest.Run(t, phone, pick(2)...)
	servertest.Press(t, phone, "form .next")
	if got := choices(f, id); got != "turn 2: 3, turn 3: 2" {
		t.Errorf("chosen: %s", got)
	}
}

// TestTrayGoesOnWithoutNetwork: the network goes at the first tray; the second opens
// under its three codes in another order than they stand, and both are sent later.
func TestTrayGoesOnWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Smokiest, panel.Open)
	script := servertest.Axe(t)
	token := f.Began(join, "a-guest-with-a-tray-1")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Press(t, phone, "form .next") // the warm-up
	servertest.Says(t, phone, "h1", "Round 1 of 2")
	servertest.LooksSound(t, phone, "a tray", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)

	net.Away.Store(true)
	servertest.Run(t, phone, pick(2)...)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, "#heading", "Round 2 of 2")
	last := f.TrayAt(id, 2)
	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#plate"), last[0]),
		chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#wrong", "not the codes of your next plates")
	servertest.LooksSound(t, phone, "a tray to open", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.TypeIn(t, phone, "#plate", last[2]+" "+last[0]+" "+last[1])
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Says(t, phone, "#order", "one after another, in this order")
	if got := servertest.Eval[[]string](t, phone, `[...document.querySelectorAll("#answers .digits")].map((e) => `+
		`e.textContent)`); strings.Join(got, " ") != strings.Join(last, " ") {
		t.Errorf("the tray shows %q, want %q", got, last)
	}
	servertest.LooksSound(t, phone, "a tray without network", script)
	servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#answers .next")),
		chromedp.WaitVisible(chromedp.CSS(".problems")))
	servertest.Run(t, phone, pick(3)...)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("#answers .next")))
	servertest.Says(t, phone, "#heading", "All your answers are kept")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, phone, "h1", "Thank you")
	if got := choices(f, id); got != "turn 2: 2, turn 3: 3" {
		t.Errorf("chosen: %s", got)
	}
}

// TestPauseAfterATasteSpeaksOfNoAnswers: after a plate that was only tasted nothing is
// said of answers, with network and without; after an answer it is.
func TestPauseAfterATasteSpeaksOfNoAnswers(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	_, join := f.InState(strings.Replace(servertest.Smokiest, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	pauseSays := func(phone context.Context, answered bool) {
		t.Helper()
		const seen = `document.querySelector("main").innerText`
		servertest.Poll(t, phone, seen+`.includes("Rinse your mouth")`)
		if got := servertest.Eval[string](t, phone, seen); strings.Contains(got, "answers are kept") != answered {
			t.Errorf("the pause says %q; something was answered: %v", got, answered)
		}
	}
	plain := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, plain, chromedp.Navigate(f.Room()+f.Begun(join)))
	servertest.Press(t, plain, "form .next") // the warm-up
	pauseSays(plain, false)
	f.Clock.Pass(5 * time.Minute)
	servertest.Run(t, plain, chromedp.Reload())
	servertest.Run(t, plain, pick(2)...)
	servertest.Press(t, plain, "form .next")
	pauseSays(plain, true)

	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(f.Began(join, "a-guest-with-a-tray-1"))))
	servertest.Poll(t, phone, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, phone, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, phone, `window.prepared === true`)
	net.Away.Store(true)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, phone, "#outbox", "What you entered is kept on this phone")
	pauseSays(phone, false)
}
