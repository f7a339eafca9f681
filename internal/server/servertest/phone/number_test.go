package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestMarkShowsItsNumberOnlyWhenAsked: the value of a mark is on the screen, and read
// out, only where the study asks for it; the answer counts all the same.
func TestMarkShowsItsNumberOnlyWhenAsked(t *testing.T) {
	t.Parallel()
	for _, shown := range []bool{true, false} {
		f := servertest.New(t)
		study := servertest.Custard
		if !shown {
			study = strings.Replace(study, ", show numbers: true", "", 1)
		}
		id, join := f.InState(study, panel.Open)
		phone := servertest.Browser(t, 360, 740, false)
		servertest.Run(t, phone, chromedp.Navigate(f.Room()+f.Begun(join)), chromedp.WaitVisible(chromedp.CSS(".line")))
		servertest.Eval[bool](t, phone, `document.querySelector(".line").dispatchEvent(new KeyboardEvent("keydown", `+
			`{ key: "ArrowRight", bubbles: true, cancelable: true })) || true`)
		servertest.Poll(t, phone, `document.querySelector("#a1").value === "50"`)
		if got := servertest.Eval[bool](t, phone, `document.querySelector("#a1").checkVisibility()`); got != shown {
			t.Errorf("numbers asked for: %t, on the screen: %t", shown, got)
		}
		if got := servertest.Eval[string](t, phone,
			`document.querySelector(".line").getAttribute("aria-valuetext")`); (got == "50") != shown {
			t.Errorf("numbers asked for: %t, read out: %q", shown, got)
		}
		servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)),
			chromedp.Click(chromedp.CSS("form .next")))
		servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
		f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
		if got := f.Held(id); got != "liking 3, salt 50" {
			t.Errorf("held: %s", got)
		}
	}
}
