package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPhoneIsToldOfAnswersAfterClose: a phone keeps answers without network while
// the study is closed. When the network is back, it says what became of them, and
// says so again when the page is opened once more.
func TestPhoneIsToldOfAnswersAfterClose(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.Custard, panel.Open)
	ballot := f.Room() + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(ballot))
	net.Away.Store(true)
	servertest.Answer(t, ctx, "20", "3")
	servertest.Says(t, ctx, "#outbox", "kept on this phone")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	net.Away.Store(false)
	// Told twice, as by the network and by the window that comes to the front.
	servertest.Eval[bool](t, ctx,
		`window.dispatchEvent(new Event("online")) && window.dispatchEvent(new Event("focus"))`)
	servertest.Says(t, ctx, "h1", "The tasting is over")
	for range 2 {
		servertest.Says(t, ctx, "main", servertest.CameAfterClose)
		if got := servertest.Text(t, ctx, "main"); strings.Contains(got, "have been received") {
			t.Errorf("answers that do not count are called received: %s", got)
		}
		servertest.Run(t, ctx, chromedp.Reload())
	}
	if got := f.Held(id); got != "" {
		t.Errorf("held: %s, want nothing to analyse", got)
	}
	late := f.InPackage(id, "late.csv")
	if !strings.Contains(late, "salt,20") || !strings.Contains(late, "liking,3") {
		t.Errorf("late.csv:\n%s", late)
	}
}
