package desk_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/server/servertest"
)

// TestBackThenSaveIsNoConflict: save, go back, change the same field again, save.
func TestBackThenSaveIsNoConflict(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id, edit := f.Drafted(servertest.Custard)
	tab := servertest.Browser(t, 360, 740, true)
	servertest.Run(t, tab, chromedp.Navigate(f.Web.URL+edit+"question"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, tab, "main .next")
	for _, word := range []string{" one", " two"} {
		servertest.Run(t, tab, chromedp.WaitVisible(chromedp.CSS("#title")))
		servertest.Eval[string](t, tab, fmt.Sprintf(`document.querySelector("#title").value += %q`, word))
		servertest.Press(t, tab, `button[value=next]`)
		if got := servertest.Eval[string](t, tab, "location.pathname"); got != edit+"dishes" {
			t.Fatalf("after%s: at %s: %s", word, got, servertest.Eval[string](t, tab,
				"document.querySelector('main').innerText.slice(0, 200)"))
		}
		if _, err := chromedp.RunResponse(tab, chromedp.NavigateBack()); err != nil {
			t.Fatal(err)
		}
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if want := "CANARYTITLE does a name change a custard? one two"; stored.Spec.Title != want {
		t.Errorf("the title is %q, want %q", stored.Spec.Title, want)
	}
}
