package server_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"cloche/internal/panel"
	"cloche/web"
)

// roomHost is a name for the service that is neither localhost nor TLS, as in a
// dining room: browsers trust such an origin less and send other headers.
const roomHost = "tasting.test"

// shared is the Chromium of all tests of this package: to start one takes longer
// than most tests. Each test has a browser context of its own in it.
var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(code)
}

// browser opens a window of a size, with cookies and files of its own, and
// returns its context. Complaints of the console (a blocked style, a script
// error) fail the test.
func browser(t *testing.T, width, height int64, dark bool) context.Context {
	t.Helper()
	path := chromium(t)
	shared.once.Do(func() {
		allocated, stop := chromedp.NewExecAllocator(context.Background(), browserOptions(path)...)
		shared.ctx, _ = chromedp.NewContext(allocated)
		shared.stop = stop
		shared.err = chromedp.Do(shared.ctx)
	})
	if shared.err != nil {
		t.Fatalf("start Chromium: %v", shared.err)
	}
	ctx, closeTab := chromedp.NewContext(shared.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(closeTab)
	return opened(t, ctx, width, height, dark)
}

// browserOn starts a Chromium on files that an earlier one may have left, and
// returns how to close it. What is kept in files outlives it, as what a phone keeps
// outlives its being switched off.
func browserOn(t *testing.T, files string, width, height int64, dark bool) (context.Context, func()) {
	t.Helper()
	allocated, stop := chromedp.NewExecAllocator(t.Context(), append(browserOptions(chromium(t)), chromedp.UserDataDir(files))...)
	t.Cleanup(stop)
	ctx, closeTab := chromedp.NewContext(allocated)
	t.Cleanup(closeTab)
	ctx = opened(t, ctx, width, height, dark)
	return ctx, func() {
		if err := chromedp.Cancel(ctx); err != nil {
			t.Errorf("close the browser: %v", err)
		}
		stop()
	}
}

// chromium returns where Chromium is, or skips the test.
func chromium(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		skip(t, "a browser takes its time, and -short was asked for")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		skip(t, "Chromium is not installed: install Debian's package chromium")
	}
	return path
}

func browserOptions(path string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("host-resolver-rules", "MAP "+roomHost+" 127.0.0.1"),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
}

// opened makes a fresh window one of a size and a scheme that is listened to.
func opened(t *testing.T, ctx context.Context, width, height int64, dark bool) context.Context {
	t.Helper()
	ctx, expire := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(expire)
	if err := chromedp.Listen(ctx, func(event any) { complain(t, event) }); err != nil {
		t.Fatal(err)
	}
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	var phone []chromedp.EmulateViewportOption
	if width < 600 {
		phone = append(phone, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	run(t, ctx, chromedp.EmulateViewport(width, height, phone...))
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// expected are complaints that belong to a test.
var expected = regexp.MustCompile(`status of 4\d\d|422|409|net::ERR_(EMPTY_RESPONSE|CONNECTION_RESET|CONNECTION_CLOSED|CONNECTION_REFUSED|FAILED|INTERNET_DISCONNECTED)`)

// complain fails the test for what the browser complains of.
func complain(t *testing.T, event any) {
	switch e := event.(type) {
	case *log.EventEntryAdded:
		// A form that comes back with mistakes has status 422 and the board of
		// a closed study 409, which the console notes as failures to load, as it
		// does when a test takes the network away.
		asset := strings.Contains(e.Entry.URL, "/assets/")
		if e.Entry.Level == log.EntryLevelError && (asset && strings.Contains(e.Entry.Text, "status of 4") || !expected.MatchString(e.Entry.Text)) {
			t.Errorf("console: %s (%s)", e.Entry.Text, e.Entry.URL)
		}
	case *runtime.EventExceptionThrown:
		what := e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			what += " " + e.ExceptionDetails.Exception.Description
		}
		t.Errorf("script: %s (%s)", what, e.ExceptionDetails.URL)
	}
}

func run(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// press clicks a button or link and waits for the page that it leads to.
func press(t *testing.T, ctx context.Context, selector string) {
	t.Helper()
	if _, err := chromedp.RunResponse(ctx, chromedp.Click(chromedp.CSS(selector))); err != nil {
		t.Fatalf("press %s: %v", selector, err)
	}
}

func text(t *testing.T, ctx context.Context, selector string) string {
	t.Helper()
	// Waited for and read in one step each: a page that keeps itself fresh may
	// replace an element between finding and reading it.
	run(t, ctx, chromedp.WaitReady(chromedp.CSS(selector)))
	return strings.TrimSpace(eval[string](t, ctx, fmt.Sprintf("document.querySelector(%q).textContent", selector)))
}

// eval runs a script in the page and returns its value.
func eval[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return got
}

// middle returns a point on an element: a share of its width, half its height.
func middle(t *testing.T, ctx context.Context, selector string, share float64) (x, y float64) {
	t.Helper()
	box := eval[[]float64](t, ctx, fmt.Sprintf(
		`(() => { const e = document.querySelector(%q); e.scrollIntoView({block: "center"}); const b = e.getBoundingClientRect(); return [b.left + b.width * %g, b.top + b.height / 2]; })()`, selector, share))
	return box[0], box[1]
}

// TestPhoneAndLeadInARealBrowser: a phone goes through consent, two servings
// with a line and a category scale and the rinse pause to the thanks; the lead
// closes in the same kind of browser and reads the report with its figure.
func TestPhoneAndLeadInARealBrowser(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	file := strings.NewReplacer("rinse: 0 s", "rinse: 2 s", "scale: hedonic-9", "scale: {categories: [not at all, a little, much]}").Replace(custard)
	id, join := f.inState(file, panel.Open)
	for i, salt := range [][]string{{"20", "70"}, {"35", "40"}, {"30", "61"}} {
		token, err := f.svc.Consent(t.Context(), join, fmt.Sprintf("nonce-of-a-guest-%d", i), panel.PhoneConsent{})
		f.must(err)
		f.must(f.svc.Start(t.Context(), token))
		for _, x := range salt {
			b, err := f.svc.Ballot(t.Context(), token)
			f.must(err)
			_, err = f.svc.Submit(t.Context(), token, panel.Submission{ID: "page/" + b.Serving.ID, ServingID: b.Serving.ID, Given: map[string]string{"a1": x, "a2": "2"}})
			f.must(err)
			f.clock.pass(time.Minute)
		}
	}
	room := "http://" + roomHost + f.web.URL[strings.LastIndex(f.web.URL, ":"):]

	phone := browser(t, 360, 740, false)
	run(t, phone, chromedp.Navigate(room+"/join/"+join))
	if !strings.Contains(text(t, phone, ".contains"), "celery (including celeriac)") {
		t.Error("the phone shows no allergens before consent")
	}
	press(t, phone, ".next")
	press(t, phone, ".next") // begin
	markLine(t, phone)
	run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)))
	press(t, phone, "form .next")
	if got := text(t, phone, "h1"); got != "A short pause" {
		t.Fatalf("after the first serving: %q, want the rinse pause", got)
	}
	f.clock.pass(time.Minute)
	run(t, phone, chromedp.WaitVisible(chromedp.CSS(".plate"))) // the script goes on by itself
	if got := text(t, phone, ".plate h1"); !strings.HasPrefix(got, "Serving 2 of 2") {
		t.Fatalf("after the pause: %q", got)
	}
	run(t, phone, chromedp.Click(chromedp.CSS("form .next")), chromedp.WaitVisible(chromedp.CSS(".problems"))) // nothing given
	if got := text(t, phone, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("nothing given: %q", got)
	}
	run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), "12"), chromedp.Click(chromedp.CSS(`label.choice:has([value="1"])`)))
	press(t, phone, "form .next")
	if got := text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}

	desk := browser(t, 1280, 800, false)
	run(t, desk, chromedp.Navigate(room+"/studies/"+id), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, desk, "main .next")
	press(t, desk, `main a[href$="/close"]`)
	press(t, desk, "main .next")
	if got := text(t, desk, ".report-first"); !strings.Contains(got, nameA) {
		t.Errorf("verdict %q", got)
	}
	if !web.FiguresBuilt() {
		skip(t, "the figure script is not built: run npm --prefix web ci")
	}
	run(t, desk, chromedp.WaitVisible(chromedp.CSS("figure svg")))
	if got := eval[int](t, desk, `document.querySelectorAll("figure svg path").length`); got < 4 {
		t.Errorf("the figures have %d paths, want at least one for each assessor", got)
	}
	if got := salts(t, f, id); got != "75 12" {
		t.Errorf("the phone's line was kept as %q, want 75 and 12", got)
	}
}

// TestBoardKeepsItselfFresh: the lead's open page counts on without being loaded
// again, and loads again once when the study is closed elsewhere.
func TestBoardKeepsItselfFresh(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	id, join := f.inState(custard, panel.Open)
	ctx := browser(t, 1280, 800, true)
	run(t, ctx, chromedp.Navigate(f.web.URL+"/studies/"+id), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, ctx, "main .next")
	if got := text(t, ctx, ".finished dd"); got != "0" {
		t.Fatalf("%s finished at the start", got)
	}
	f.tasted(join, "nonce-of-a-guest-1", "20", "30")
	poll(t, ctx, `document.querySelector(".finished dd").textContent === "1"`)
	f.must(f.svc.Close(t.Context(), id))
	poll(t, ctx, `document.querySelector(".report-first") !== null`)
}

// poll waits until a script says true.
func poll(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	deadline := time.Now().Add(time.Minute) // a phone tries again after up to 20 s
	for time.Now().Before(deadline) {
		if eval[bool](t, ctx, script) {
			return
		}
		run(t, ctx, chromedp.Sleep(100*time.Millisecond))
	}
	t.Fatalf("never came true: %s; the page says: %s", script, eval[string](t, ctx, `document.body.innerText`))
}

// markLine marks a line in each way that a phone has, and ends at 75.
func markLine(t *testing.T, ctx context.Context) {
	t.Helper()
	value := func(want, after string) {
		t.Helper()
		got := eval[[]string](t, ctx, `(() => { const l = document.querySelector(".line"); return [document.querySelector("#a1").value, l.getAttribute("aria-valuetext"), String(!l.querySelector(".mark").hidden)]; })()`)
		shown := want
		if want == "" {
			shown = "not yet marked"
		}
		if got[0] != want || got[1] != shown || got[2] != fmt.Sprint(want != "") {
			t.Errorf("after %s the line holds %q, says %q, marked: %s; want %q", after, got[0], got[1], got[2], want)
		}
	}
	value("", "opening")
	x, y := middle(t, ctx, ".line", 0.25)
	run(t, ctx, touch(input.DispatchTouchEventTypeTouchStart, x, y))
	for i := range 8 { // the finger goes up: the page scrolls
		run(t, ctx, touch(input.DispatchTouchEventTypeTouchMove, x, y-float64(20*i)))
	}
	run(t, ctx, touch(input.DispatchTouchEventTypeTouchEnd, 0, 0))
	value("", "scrolling over the line")
	x, y = middle(t, ctx, ".line", 0.25)
	run(t, ctx, chromedp.TapXY(x, y))
	value("25", "a tap at a quarter")
	x, y = middle(t, ctx, ".line", 0.25)
	to, _ := middle(t, ctx, ".line", 0.6)
	run(t, ctx, touch(input.DispatchTouchEventTypeTouchStart, x, y))
	for i := range 5 {
		run(t, ctx, touch(input.DispatchTouchEventTypeTouchMove, x+(to-x)*float64(i+1)/5, y))
	}
	run(t, ctx, touch(input.DispatchTouchEventTypeTouchEnd, 0, 0))
	value("60", "a drag to six tenths")
	run(t, ctx, chromedp.Focus(chromedp.CSS(".line")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp))
	value("62", "two arrow keys")
	run(t, ctx, chromedp.KeyEvent(kb.Home))
	value("0", "Home")
	run(t, ctx, chromedp.KeyEvent(kb.End))
	value("100", "End")
	run(t, ctx, chromedp.Click(chromedp.CSS(`.step[data-by="-1"]`)))
	value("99", "the button for one lower")
	eval[bool](t, ctx, `document.querySelector("#a1").select() || true`)
	run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), "75"))
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
func salts(t *testing.T, f *fixture, id string) string {
	t.Helper()
	_, ratings, err := f.svc.Ratings(t.Context(), id)
	f.must(err)
	var got []string
	for _, r := range ratings {
		if r.Assessor == "4" && r.Attribute == "salt" {
			got = append(got, fmt.Sprint(r.Value))
		}
	}
	return strings.Join(got, " ")
}
