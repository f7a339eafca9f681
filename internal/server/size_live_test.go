package server_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// While somebody types, the answer and the figure follow, what was open stays open,
// and a screen reader is told; nothing is saved. A spread of 15 and a difference of 5
// take 73 pairs for 80 % power (R 4.2: power.t.test gives 72.6).
func TestSizeStepFollowsTheKeys(t *testing.T) {
	f := newFixture(t)
	f.lead()
	ctx := browser(t, 360, 740, false)
	id, edit := f.drafted(custard)
	run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, ctx, "main .next")
	run(t, ctx, chromedp.Navigate(f.web.URL+edit+"size"))
	before := eval[string](t, ctx, `document.querySelector(".curve polyline").getAttribute("points")`)
	eval[bool](t, ctx, `document.querySelector("#worked-out details").open = true`)
	run(t, ctx, chromedp.SendKeys(chromedp.CSS("#spread"), "15"))
	want := "73 assessors are needed; 74 complete the blocks of 2 orders, so that every order is served equally often."
	deadline := time.Now().Add(10 * time.Second)
	for text(t, ctx, "#told") != want && time.Now().Before(deadline) {
		time.Sleep(50 * time.Millisecond)
	}
	if got := text(t, ctx, "#worked-out [data-told]"); got != want || text(t, ctx, "#told") != want {
		t.Errorf("after typing the page says %q and tells %q", got, text(t, ctx, "#told"))
	}
	if eval[string](t, ctx, `document.querySelector(".curve polyline").getAttribute("points")`) == before {
		t.Error("the curve did not move")
	}
	if !eval[bool](t, ctx, `document.querySelector("#worked-out details").open && document.activeElement.id === "spread"`) {
		t.Error("the table folded, or the field lost its focus")
	}
	if eval[bool](t, ctx, `document.querySelector(".work").checkVisibility()`) {
		t.Error("the button for browsers without scripts is shown")
	}
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if kept.File != custard {
		t.Error("typing changed the draft")
	}
}
