package desk_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/server/servertest"
)

// While somebody types, the answer and the figure follow, what was open stays open,
// and a screen reader is told; nothing is saved. A spread of 15 and a difference of 5
// take 73 pairs for 80 % power (R 4.2: power.t.test gives 72.6).
func TestSizeStepFollowsTheKeys(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Lead()
	ctx := servertest.Browser(t, 360, 740, false)
	id, edit := f.Drafted(servertest.Custard)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, ctx, "main .next")
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+edit+"size"))
	before := servertest.Eval[string](t, ctx, `document.querySelector(".curve polyline").getAttribute("points")`)
	servertest.Eval[bool](t, ctx, `document.querySelector("#worked-out details").open = true`)
	servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS("#spread"), "15"))
	want := "73 assessors are needed; 74 complete the blocks of 2 orders, so that every order is served equally often."
	deadline := time.Now().Add(10 * time.Second)
	for servertest.Text(t, ctx, "#told") != want && time.Now().Before(deadline) {
		time.Sleep(50 * time.Millisecond)
	}
	if got := servertest.Text(t, ctx, "#worked-out [data-told]"); got != want ||
		servertest.Text(t, ctx, "#told") != want {
		t.Errorf("after typing the page says %q and tells %q", got, servertest.Text(t, ctx, "#told"))
	}
	if servertest.Eval[string](t, ctx, `document.querySelector(".curve polyline").getAttribute("points")`) == before {
		t.Error("the curve did not move")
	}
	if !servertest.Eval[bool](t, ctx, `document.querySelector("#worked-out details").open && `+
		`document.activeElement.id === "spread"`) {
		t.Error("the table folded, or the field lost its focus")
	}
	if servertest.Eval[bool](t, ctx, `document.querySelector(".work").checkVisibility()`) {
		t.Error("the button for browsers without scripts is shown")
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.File != servertest.Custard {
		t.Error("typing changed the draft")
	}
}
