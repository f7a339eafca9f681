package servertest

import (
	"context"
	"fmt"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// RoomHost is a name for the service that is neither localhost nor TLS, as in a
// dining room: browsers trust such an origin less and send other headers.
const RoomHost = "tasting.test"

// shared is the Chromium of all tests of a package: to start one takes longer
// than most tests. Each test has a browser context of its own in it.
var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

// Browser opens a window of a size, with cookies and files of its own, and
// returns its context. Complaints of the console (a blocked style, a script
// error) fail the test.
func Browser(t *testing.T, width, height int64, dark bool) context.Context {
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

// BrowserOn starts a Chromium on files that an earlier one may have left, and
// returns how to close it. What is kept in files outlives it, as what a phone keeps
// outlives its being switched off.
func BrowserOn(t *testing.T, files string, width, height int64, dark bool) (context.Context, func()) {
	t.Helper()
	allocated, stop := chromedp.NewExecAllocator(t.Context(),
		append(browserOptions(chromium(t)), chromedp.UserDataDir(files))...)
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

// chromium returns where Chromium is, or skips the test. Debian's chromium-headless-shell
// is the same engine without what draws windows around pages, and takes less than half
// the processor time of the whole browser.
func chromium(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		Skip(t, "a browser takes its time, and -short was asked for")
	}
	for _, name := range []string{"chromium-headless-shell", "chromium"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	Skip(t, "Chromium is not installed: install Debian's package chromium-headless-shell or chromium")
	return ""
}

func browserOptions(path string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("host-resolver-rules", "MAP "+RoomHost+" 127.0.0.1"),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-threaded-compositing", onlyLooked))
}

// opened makes a fresh window one of a size and a scheme that is listened to.
func opened(t *testing.T, ctx context.Context, width, height int64, dark bool) context.Context {
	t.Helper()
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
	Run(t, ctx, chromedp.EmulateViewport(width, height, phone...))
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// expected are complaints that belong to a test.
var expected = regexp.MustCompile(`status of 4\d\d|422|409|net::ERR_(EMPTY_RESPONSE|` +
	`CONNECTION_RESET|CONNECTION_CLOSED|CONNECTION_REFUSED|FAILED|INTERNET_DISCONNECTED)`)

// complain fails the test for what the browser complains of.
func complain(t *testing.T, event any) {
	switch e := event.(type) {
	case *log.EventEntryAdded:
		// A form that comes back with mistakes has status 422 and the board of
		// a closed study 409, which the console notes as failures to load, as it
		// does when a test takes the network away.
		asset := strings.Contains(e.Entry.URL, "/assets/")
		if e.Entry.Level == log.EntryLevelError && (asset && strings.Contains(e.Entry.Text, "status of 4") ||
			!expected.MatchString(e.Entry.Text)) {
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

// oneStep is how long one step may take in a browser that has to share two cores. How long
// a walk takes in all depends on its length: that is bounded by the limit of its package.
const oneStep = 2 * time.Minute

// Run takes steps in a browser.
func Run(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	for _, step := range steps {
		ctx, expire := context.WithTimeout(ctx, oneStep)
		err := chromedp.Do(ctx, step)
		expire()
		if err != nil {
			t.Fatal(err)
		}
	}
}

// Press clicks a button or link and waits for the page that it leads to.
func Press(t *testing.T, ctx context.Context, selector string) {
	t.Helper()
	Run(t, ctx, chromedp.Evaluate[chromedp.Void](`void (window.pressed = true)`),
		chromedp.Click(chromedp.CSS(selector)))
	// Not the first answer: a page that hears of the same change goes there by itself.
	Poll(t, ctx, `window.pressed !== true`)
}

// Text returns what an element says, once there is one.
func Text(t *testing.T, ctx context.Context, selector string) string {
	t.Helper()
	return strings.TrimSpace(once[string](t, ctx, fmt.Sprintf("document.querySelector(%q)?.textContent", selector)))
}

// once runs a script in the page until it gives a value that is not null, and
// returns that. A page that is under way, whose scripts did not run yet, is not asked:
// it holds nothing of what the last one held and does nothing of what it is about to.
func once[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	deadline := time.Now().Add(time.Minute) // a phone tries again after up to 20 s
	for time.Now().Before(deadline) {
		got, err := chromedp.Run(ctx, chromedp.Evaluate[*T](`document.readyState === "complete" ? (`+script+
			`) ?? null : null`))
		if err != nil && !left(err) {
			t.Fatalf("%s: %v", script, err)
		}
		if err == nil && got != nil {
			return *got
		}
		Run(t, ctx, chromedp.Sleep(50*time.Millisecond))
	}
	t.Fatalf("never came true: %s; the page says: %s", script, Eval[string](t, ctx, `document.body?.innerText ?? ""`))
	panic("unreachable")
}

// Eval runs a script in the page and returns its value.
func Eval[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return got
}

// Middle returns a point on an element: a share of its width, half its height. It
// waits until the element stands still: a page goes on scrolling when the finger left.
func Middle(t *testing.T, ctx context.Context, selector string, share float64) (x, y float64) {
	t.Helper()
	box := Await[[]float64](t, ctx, fmt.Sprintf(`new Promise((done) => {
		const e = document.querySelector(%q);
		e.scrollIntoView({block: "center"});
		let top, still = 0;
		const look = () => {
			const b = e.getBoundingClientRect();
			still = b.top === top ? still + 1 : 0;
			if (still === 5) done([b.left + b.width * %g, b.top + b.height / 2]);
			else requestAnimationFrame(look);
			top = b.top;
		};
		look();
	})`, selector, share))
	return box[0], box[1]
}

// left reports whether a page was left while it was asked something: the next one is
// asked in its stead. Chromium's protocol has one number for all that it refuses, so
// the words have to do.
func left(err error) bool {
	for _, words := range []string{"navigated or closed", "Cannot find context", "Execution context was destroyed"} {
		if strings.Contains(err.Error(), words) {
			return true
		}
	}
	return false
}

// Poll waits until a script says true of a page that has loaded.
func Poll(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	once[bool](t, ctx, `(`+script+`) || null`)
}

// Await runs a script that ends later and returns its value.
func Await[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return got
}

// Tap clicks the button with a text on it, as soon as there is one.
func Tap(t *testing.T, ctx context.Context, words string) {
	t.Helper()
	Poll(t, ctx, fmt.Sprintf(`(() => {
		const b = [...document.querySelectorAll("button, a.button")].find((b) => b.checkVisibility() && !b.disabled &&
			!b.closest("[inert]") && b.textContent.trim().startsWith(%q));
		b?.click();
		return Boolean(b);
	})()`, words))
}

// TypeIn types into fields of the page that is shown, in one step.
func TypeIn(t *testing.T, ctx context.Context, selector, value string) {
	t.Helper()
	Poll(t, ctx, fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		if (!e?.checkVisibility()) return false;
		if (e.type === "radio") e.checked = true; else e.value = %q;
		e.dispatchEvent(new Event("input", {bubbles: true}));
		return true;
	})()`, selector, value))
}

// Tab opens a tab of a browser, as large as a phone, and returns how to close it.
func Tab(t *testing.T, ctx context.Context) (context.Context, func()) {
	t.Helper()
	tab, stop := chromedp.NewContext(ctx)
	if err := chromedp.Listen(tab, func(event any) { complain(t, event) }); err != nil {
		t.Fatal(err)
	}
	Run(t, tab, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	return tab, stop
}

// Answer fills the custard's form in and sends it, without waiting.
func Answer(t *testing.T, ctx context.Context, salt, liking string) {
	t.Helper()
	Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), salt),
		chromedp.Click(chromedp.CSS(`label.choice:has([value="`+liking+`"])`)),
		chromedp.Click(chromedp.CSS("form:not([hidden]) .next")))
}

// Says waits until an element's text has words in it.
func Says(t *testing.T, ctx context.Context, selector, words string) {
	t.Helper()
	Poll(t, ctx, `document.querySelector("`+selector+`")?.textContent.includes("`+words+`") === true`)
}

// Settled waits until a list that moves by itself stands still: a tap just after it
// moved may have meant something else, and is not taken.
func Settled(t *testing.T, ctx context.Context) {
	t.Helper()
	Poll(t, ctx, `document.querySelector("#live:not([data-moving])") !== null`)
}

// Room is the service's address as in a dining room: plain HTTP, no localhost.
func (f *Fixture) Room() string {
	return "http://" + RoomHost + f.Web.URL[strings.LastIndex(f.Web.URL, ":"):]
}

// JoinInBrowser joins a sitting as kitchen or floor, through link and code.
func (f *Fixture) JoinInBrowser(ctx context.Context, room string, id panel.StudyID, r panel.Role) {
	f.T.Helper()
	a := f.StaffAccess(id, r)
	Run(f.T, ctx, chromedp.Navigate(room+"/staff/"+string(a.Link)), chromedp.SendKeys(chromedp.CSS("#code"),
		string(a.Code)))
	Press(f.T, ctx, "main .next")
}
