package desk_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/server/servertest"
)

// TestRehearsalInARealBrowser: the lead walks through the ballot on a phone.
func TestRehearsalInARealBrowser(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id := f.Uploaded(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 1 s", 1) + servertest.InLanguages)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, ctx, "main .next")
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/"+string(id)))
	servertest.Press(t, ctx, "a[href$='/rehearsal']")
	servertest.Press(t, ctx, "main .next") // consent
	servertest.Press(t, ctx, "main .next") // begin
	servertest.Press(t, ctx, "form .next") // nothing given
	if got := servertest.Text(t, ctx, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("without answers: %q", got)
	}
	servertest.Press(t, ctx, ".rehearsal nav a") // the screen before, and on again
	servertest.Press(t, ctx, "main .next")
	servertest.Press(t, ctx, "nav.languages a[lang=fr]")
	if got := servertest.Text(t, ctx, ".ask legend"); !strings.HasPrefix(got, "À quel point") {
		t.Errorf("in French: %q", got)
	}
	for range 2 {
		servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), "40"),
			chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)))
		servertest.Press(t, ctx, "form .next")
		servertest.Run(t, ctx, chromedp.WaitVisible(chromedp.CSS(".plate, .done"))) // the pause goes on by itself
	}
	if got := servertest.Text(t, ctx, ".rehearsal nav span"); got != "6 of 7" {
		t.Errorf("at the end: screen %s", got)
	}
	servertest.Press(t, ctx, ".rehearsal nav a:last-child")
	if got := servertest.Text(t, ctx, "main"); !strings.Contains(got, "C'était la même crème") {
		t.Errorf("the debrief: %q", got)
	}
	if kept := servertest.Eval[bool](t, ctx, `navigator.serviceWorker.controller !== null`); kept {
		t.Error("a rehearsal leaves a worker on the phone")
	}
	servertest.Press(t, ctx, ".rehearsal p a")
	if got := servertest.Text(t, ctx, "h1"); !strings.Contains(got, servertest.CanaryTitle) {
		t.Errorf("the way back leads to %q", got)
	}
}
