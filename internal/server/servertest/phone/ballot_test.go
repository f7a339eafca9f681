package phone_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/web"
)

// TestPhoneAndLeadInARealBrowser: a phone goes through consent, two servings
// with a line and a category scale and the rinse pause to the thanks; the lead
// closes in the same kind of browser and reads the report with its figure.
func TestPhoneAndLeadInARealBrowser(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	file := strings.NewReplacer("rinse: 0 s", "rinse: 2 s", "scale: hedonic-9",
		"scale: {categories: [not at all, a little, much]}").Replace(servertest.Custard)
	id, join := f.InState(file, panel.Open)
	for i, salt := range [][]string{{"20", "70"}, {"35", "40"}, {"30", "61"}} {
		token, err := f.Svc.Consent(t.Context(), join, fmt.Sprintf("nonce-of-a-guest-%d", i), panel.PhoneConsent{})
		f.Must(err)
		f.Must(f.Svc.Start(t.Context(), token))
		for _, x := range salt {
			b, err := f.Svc.Ballot(t.Context(), token)
			f.Must(err)
			_, err = f.Svc.Submit(t.Context(), token, panel.Submission{ID: "page/" + string(b.Turn.ID),
				TurnID: b.Turn.ID, Given: map[string]string{"a1": x, "a2": "2"}})
			f.Must(err)
			f.Clock.Pass(time.Minute)
		}
	}
	room := "http://" + servertest.RoomHost + f.Web.URL[strings.LastIndex(f.Web.URL, ":"):]

	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(room+"/join/"+string(join)))
	if !strings.Contains(servertest.Text(t, phone, ".contains"), "celery (including celeriac)") {
		t.Error("the phone shows no allergens before consent")
	}
	servertest.Press(t, phone, ".next")
	servertest.Press(t, phone, ".next") // begin
	markLine(t, phone)
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)))
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, "h1"); got != "A short pause" {
		t.Fatalf("after the first serving: %q, want the rinse pause", got)
	}
	f.Clock.Pass(time.Minute)
	servertest.Run(t, phone, chromedp.WaitVisible(chromedp.CSS(".plate"))) // the script goes on by itself
	if got := servertest.Text(t, phone, ".plate h1"); !strings.HasPrefix(got, "Serving 2 of 2") {
		t.Fatalf("after the pause: %q", got)
	}
	// nothing given
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS("form .next")),
		chromedp.WaitVisible(chromedp.CSS(".problems")))
	if got := servertest.Text(t, phone, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("nothing given: %q", got)
	}
	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), "12"),
		chromedp.Click(chromedp.CSS(`label.choice:has([value="1"])`)))
	servertest.Press(t, phone, "form .next")
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}

	desk := servertest.Browser(t, 1280, 800, false)
	servertest.Run(t, desk, chromedp.Navigate(room+"/studies/"+string(id)),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, desk, "main .next")
	servertest.Press(t, desk, `main a[href$="/close"]`)
	servertest.Press(t, desk, "main .next")
	if got := servertest.Text(t, desk, ".report-first"); !strings.Contains(got, servertest.NameA) {
		t.Errorf("verdict %q", got)
	}
	if !web.FiguresBuilt() {
		servertest.Skip(t, "the figure script is not built: run npm --prefix web ci")
	}
	servertest.Run(t, desk, chromedp.WaitVisible(chromedp.CSS("figure svg")))
	if got := servertest.Eval[int](t, desk, `document.querySelectorAll("figure svg path").length`); got < 4 {
		t.Errorf("the figures have %d paths, want at least one for each assessor", got)
	}
	if got := salts(t, f, id); got != "75 12" {
		t.Errorf("the phone's line was kept as %q, want 75 and 12", got)
	}
}

// markLine marks a line in each way that a phone has, and ends at 75.
func markLine(t *testing.T, ctx context.Context) {
	t.Helper()
	// The browser hands a touch to the page at its next frame: what it did is waited for.
	value := func(want, after string) {
		t.Helper()
		t.Logf("after %s the line holds %q", after, want)
		shown := want
		if want == "" {
			shown = "not yet marked"
		}
		servertest.Poll(t, ctx, fmt.Sprintf(`(() => {
			const l = document.querySelector(".line");
			return document.querySelector("#a1").value === %q && l.getAttribute("aria-valuetext") === %q &&
				l.querySelector(".mark").hidden === %t;
		})()`, want, shown, want == ""))
	}
	value("", "opening")
	x, y := servertest.Middle(t, ctx, ".line", 0.25)
	servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchStart, x, y))
	for i := range 8 { // the finger goes up: the page scrolls
		servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchMove, x, y-float64(20*i)))
	}
	// A finger that rests before it lifts leaves a page that stands still.
	servertest.Await[bool](t, ctx, `new Promise((done) => {
		let frames = 0;
		const rest = () => ++frames < 20 ? requestAnimationFrame(rest) : done(true);
		rest();
	})`)
	servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchEnd, 0, 0))
	x, y = servertest.Middle(t, ctx, ".line", 0.25)
	value("", "scrolling over the line")
	servertest.Run(t, ctx, chromedp.TapXY(x, y))
	value("25", "a tap at a quarter")
	x, y = servertest.Middle(t, ctx, ".line", 0.25)
	to, _ := servertest.Middle(t, ctx, ".line", 0.6)
	servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchStart, x, y))
	for i := range 5 {
		servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchMove, x+(to-x)*float64(i+1)/5, y))
	}
	servertest.Run(t, ctx, touch(input.DispatchTouchEventTypeTouchEnd, 0, 0))
	value("60", "a drag to six tenths")
	servertest.Run(t, ctx, chromedp.Focus(chromedp.CSS(".line")), chromedp.KeyEvent(kb.ArrowRight),
		chromedp.KeyEvent(kb.ArrowUp))
	value("62", "two arrow keys")
	servertest.Run(t, ctx, chromedp.KeyEvent(kb.Home))
	value("0", "Home")
	servertest.Run(t, ctx, chromedp.KeyEvent(kb.End))
	value("100", "End")
	servertest.Run(t, ctx, chromedp.Click(chromedp.CSS(`.step[data-by="-1"]`)))
	value("99", "the button for one lower")
	servertest.Eval[bool](t, ctx, `document.querySelector("#a1").select() || true`)
	servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), "75"))
	value("75", "typing")
}

// touch is one event of a finger.
func touch(kind input.DispatchTouchEventType, x, y float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		if kind != input.DispatchTouchEventTypeTouchEnd {
			p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: x, Y: y})
		}
		_, err := cdp.Call(ctx, target, input.DispatchTouchEvent, p)
		return err
	})
}

// salts returns the line's values of the last assessor, in serving order.
func salts(t *testing.T, f *servertest.Fixture, id panel.StudyID) string {
	t.Helper()
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	var got []string
	for _, r := range ratings {
		if r.Assessor == "4" && r.Attribute == "salt" {
			got = append(got, fmt.Sprint(r.Value))
		}
	}
	return strings.Join(got, " ")
}
