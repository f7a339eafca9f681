package screens_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/server/servertest"
)

// TestScreensFitAPhone opens every screen with the longest texts in a narrow
// window, and once more with letters twice as large.
func TestScreensFitAPhone(t *testing.T) {
	f := servertest.New(t)
	paths, prepare := f.EveryScreen(servertest.Longest())
	ctx := servertest.Browser(t, 320, 640, false)
	for _, size := range []string{"", "225%"} { // 225 % is twice our 112.5 %
		if size != "" {
			servertest.Run(t, ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile))
		}
		for _, path := range paths {
			if do := prepare[path]; do != nil && size == "" {
				do()
			}
			if path == "/studies" && size == "" {
				servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
				servertest.Press(t, ctx, "main .next")
			}
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path))
			if size != "" {
				servertest.Eval[string](t, ctx, fmt.Sprintf("document.documentElement.style.fontSize = %q", size))
			}
			if bad := servertest.Eval[[]string](t, ctx, servertest.Misfits); len(bad) > 0 {
				t.Errorf("%s with text at %q:\n%s", path, size, strings.Join(bad, "\n"))
			}
		}
	}
}
