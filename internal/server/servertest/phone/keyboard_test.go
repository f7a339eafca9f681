package phone_test

import (
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestGuestByKeyboardAlone: from the join link to the thanks without a touch, the line scale by
// its arrow keys.
func TestGuestByKeyboardAlone(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	ctx := servertest.Browser(t, 1280, 800, false)
	k := servertest.Keys{T: t, Ctx: ctx}
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/join/"+string(join)))
	k.Go(`form[action$="/consent"] .next`)
	k.Go(`form[action$="/start"] .next`)
	for i, steps := range []string{kb.ArrowRight + kb.ArrowRight, kb.ArrowRight + kb.ArrowLeft + kb.ArrowLeft} {
		servertest.Says(t, ctx, ".plate .code", f.Code(id, i))
		k.Reach(".line")
		k.Type(steps)
		k.Reach(".choice input[type=radio]")
		k.Type(" " + kb.ArrowDown)
		k.Go("form .next")
	}
	servertest.Says(t, ctx, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	var salt []float64
	for _, r := range ratings {
		if r.Attribute == "salt" {
			salt = append(salt, r.Value)
		}
	}
	if !slices.Equal(salt, []float64{51, 48}) { // the first key marks the middle
		t.Errorf("the line was set to %v", salt)
	}
}
