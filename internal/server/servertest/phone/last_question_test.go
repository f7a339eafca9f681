package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLastQuestionWithoutNetwork: a phone whose network goes away in the middle of a ballot
// asks the last question when the last plate was answered, and not before; what it holds of
// it until then is sealed.
func TestLastQuestionWithoutNetwork(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.AskingLast, panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+f.Begun(join)))
	servertest.Poll(t, ctx, `navigator.serviceWorker.controller !== null`)
	servertest.Eval[bool](t, ctx, `(async () => { while (!(await caches.match(location.pathname + "/offline"))) `+
		`await new Promise((r) => setTimeout(r, 50)); window.prepared = true; })() && true`)
	servertest.Poll(t, ctx, `window.prepared === true`)
	net.Away.Store(true)
	servertest.Answer(t, ctx, "20", "3")
	servertest.Says(t, ctx, "#heading", "Serving 2 of 2")
	servertest.Eval[bool](t, ctx, allKept)
	servertest.Poll(t, ctx, `typeof window.allKept === "string"`)
	if strings.Contains(servertest.Eval[string](t, ctx, `window.allKept`), "same dish") {
		t.Error("the phone keeps the last question in the open")
	}
	servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#plate"), f.Code(id, 1)),
		chromedp.Click(chromedp.CSS("#unlock button")))
	servertest.Answer(t, ctx, "70", "6")
	servertest.Says(t, ctx, "#heading", "To finish")
	servertest.Says(t, ctx, "#asks legend", "Were your plates the same dish")
	if bad := servertest.Eval[[]string](t, ctx, servertest.Misfits); len(bad) > 0 {
		t.Errorf("without network: %s", strings.Join(bad, "\n"))
	}
	servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#comment"), "The name."),
		chromedp.Click(chromedp.CSS(`label.choice:has([value="1"])`)), chromedp.Click(chromedp.CSS("#answers .next")))
	servertest.Says(t, ctx, "#outbox", "kept on this phone")
	net.Away.Store(false)
	servertest.Eval[bool](t, ctx, `window.dispatchEvent(new Event("online"))`)
	servertest.Says(t, ctx, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.InPackage(id, "guesses.csv"); !strings.Contains(got, "1,same,true,The name.,false,") {
		t.Errorf("kept: %s", got)
	}
}

// TestLastQuestionByScript: with the network there, the page keeps the answer first and then
// goes on to the thanks.
func TestLastQuestionByScript(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.AskingLast, panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+f.Begun(join)))
	servertest.Answer(t, ctx, "20", "3")
	servertest.Says(t, ctx, ".plate h1", "Serving 2 of 2")
	servertest.Answer(t, ctx, "70", "6")
	servertest.Says(t, ctx, "h1", "To finish")
	servertest.Run(t, ctx, chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)),
		chromedp.Click(chromedp.CSS("form .next")))
	servertest.Says(t, ctx, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := f.InPackage(id, "guesses.csv"); !strings.Contains(got, "1,don't know,,,false,") {
		t.Errorf("kept: %s", got)
	}
}
