package phone_test

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLineIsSeenInForcedColours: where the system sets all colours, line and mark stand out
// from the page all the same, and from one another.
func TestLineIsSeenInForcedColours(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	_, err := chromedp.Call(phone, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: "active"}},
	})
	f.Must(err)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+f.Begun(join)))
	servertest.TypeIn(t, phone, "#a1", "40")
	servertest.Poll(t, phone, `document.querySelector(".line .mark").checkVisibility()`)
	const colours = `(() => {
		const of = (e, part) => getComputedStyle(document.querySelector(e), part).backgroundColor;
		return [of("body"), of(".line", "::after"), of(".line .mark")];
	})()`
	got := servertest.Eval[[]string](t, phone, colours)
	if !servertest.Eval[bool](t, phone, `matchMedia("(forced-colors: active)").matches`) || got[1] == got[0] ||
		got[2] == got[0] || got[2] == got[1] {
		t.Errorf("page, line and mark are %q", got)
	}
}
