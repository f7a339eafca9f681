package server_test

import (
	"context"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser starts Chromium with a window of a size and returns its context.
// Complaints of the console (a blocked style, a script error) fail the test.
func browser(t *testing.T, width, height int64, dark bool) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		skip(t, "Chromium is not installed: install Debian's package chromium")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.UserDataDir(t.TempDir()))
	allocated, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, closeTab := chromedp.NewContext(allocated)
	t.Cleanup(closeTab)
	ctx, expire := context.WithTimeout(ctx, 2*time.Minute)
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
	_, err = chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// complain fails the test for what the browser complains of.
func complain(t *testing.T, event any) {
	switch e := event.(type) {
	case *log.EventEntryAdded:
		// A form that comes back with mistakes has status 422, which the
		// console notes as a failure to load.
		if e.Entry.Level == log.EntryLevelError && !strings.Contains(e.Entry.Text, "422") {
			t.Errorf("console: %s (%s)", e.Entry.Text, e.Entry.URL)
		}
	case *runtime.EventExceptionThrown:
		t.Errorf("script: %s", e.ExceptionDetails.Text)
	}
}

func run(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}
