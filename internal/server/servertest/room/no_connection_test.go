package room_test

import (
	"testing"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestKitchenSeesThatItHasNoConnection: wherever the kitchen reads its long page, the
// word that it may be old is on the screen.
func TestKitchenSeesThatItHasNoConnection(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-of-the-kitchen")
	ctx := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(ctx, f.Web.URL, id, panel.RoleKitchen)
	// Streams that are cut, and no wait before the page is asked for again.
	_, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument,
		cdppage.AddScriptToEvaluateOnNewDocumentParams{
			Source: `window.EventSource = class { constructor() { window.cut = () => this.onerror(); ` +
				`} addEventListener() {} close() {} };
			const every = window.setInterval; window.setInterval = (run, ms) => every(run, ms / 50);`,
		})
	if err != nil {
		t.Fatal(err)
	}
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/kitchen"))
	servertest.Poll(t, ctx, `typeof window.cut === "function"`)
	net.Away.Store(true)
	servertest.Eval[bool](t, ctx, `window.cut() || true`)
	servertest.Says(t, ctx, "#fresh", "No connection: this may be old.")
	for _, y := range []string{"0", "document.body.scrollHeight / 2", "document.body.scrollHeight"} {
		if !servertest.Eval[bool](t, ctx, `(() => { scrollTo(0, `+y+
			`); const b = document.querySelector("#fresh").getBoundingClientRect();
			return b.height > 0 && b.top >= 0 && b.bottom <= innerHeight; })()`) {
			t.Errorf("scrolled to %s, the word that there is no connection is off the screen", y)
		}
	}
}
