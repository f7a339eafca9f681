package phone_test

import (
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestBackAndDoubleTapDoNoHarm: a phone taps twice on every button, goes back
// after each page, and still ends with two servings rated once, as given first.
func TestBackAndDoubleTapDoNoHarm(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	twice := func() {
		t.Helper()
		if _, err := chromedp.RunResponse(phone, chromedp.Evaluate[chromedp.Void](
			`(() => { const b = document.querySelector("form .next"); b.click(); b.click(); })()`)); err != nil {
			t.Fatal(err)
		}
	}
	back := func() {
		t.Helper()
		if _, err := chromedp.RunResponse(phone, chromedp.NavigateBack()); err != nil {
			t.Fatal(err)
		}
	}
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/join/"+string(join)))
	twice()
	own := servertest.Eval[string](t, phone, "location.href")
	back()
	servertest.Press(t, phone, `main a[href^="/t/"]`) // welcome back: go on with it
	if got := servertest.Eval[string](t, phone, "location.href"); got != own {
		t.Errorf("going back and on again leads to %s, want the place taken first, %s", got, own)
	}
	twice() // begin
	for _, salt := range []string{"20", "70"} {
		servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), salt),
			chromedp.Click(chromedp.CSS(`label.choice:has([value="5"])`)))
		twice()
	}
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Fatalf("the phone ends at %q", got)
	}
	back()
	servertest.Run(t, phone, chromedp.Navigate(own))
	if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
		t.Errorf("after going back and coming again: %q", got)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	var salt []float64
	for _, r := range ratings {
		if r.Attribute == "salt" {
			salt = append(salt, r.Value)
		}
	}
	if !slices.Equal(salt, []float64{20, 70}) || len(ratings) != 4 {
		t.Errorf("kept %d ratings, salt %v; want 4, each answer once as it was given", len(ratings), salt)
	}
}
