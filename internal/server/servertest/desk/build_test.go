package desk_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestBuilderInARealBrowser goes from a question to an open sitting in Chromium, on
// a phone and on a desk, and looks at each page on the way.
func TestBuilderInARealBrowser(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int64{{360, 740}, {1280, 800}} {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			f := servertest.New(t)
			f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
			ctx := servertest.Browser(t, size[0], size[1], size[0] < 600)
			fits := func() {
				t.Helper()
				if bad := servertest.Eval[[]string](t, ctx, servertest.Misfits); len(bad) > 0 {
					t.Errorf("%s: %s", servertest.Eval[string](t, ctx, "location.pathname"), strings.Join(bad, "\n"))
				}
			}
			set := func(pairs ...string) {
				t.Helper()
				for i := 0; i+1 < len(pairs); i += 2 {
					servertest.Run(t, ctx, chromedp.SendKeys(chromedp.CSS(pairs[i]), pairs[i+1]))
				}
			}
			on := func(button string) {
				t.Helper()
				servertest.Press(t, ctx, fmt.Sprintf("button[value=%q]", button))
				fits()
			}
			choose := func(selector, value string) {
				t.Helper()
				servertest.Eval[bool](t, ctx, fmt.Sprintf("(() => { const s = document.querySelector(%q); s.value "+
					"= %q; return s.value === %q; })()", selector, value, value))
			}
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/new"))
			set("#password", servertest.LeadPassword)
			servertest.Press(t, ctx, "main .next")
			// signing in leads to the list
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/new"))
			fits()
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/new?all=yes"))
			fits()
			servertest.Press(t, ctx, `button[name=question][value=name]`)
			fits()
			set("#title", "Does royale sound saltier?")
			on("next")
			set("#add-dishes", "Warm celeriac custard"+kb.Enter) // Enter saves, and what was typed is added
			servertest.Run(t, ctx, chromedp.WaitReady(chromedp.CSS("#dishes-0-title")))
			fits()
			set("#dishes-0-portion", "60 g", "#dishes-0-serve_at", "55")
			for _, a := range []string{"eggs", "milk", "celery"} {
				servertest.Run(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf(`label:has([value=%q])`, a))))
			}
			on("next")
			set("#add-names", servertest.NameA)
			on("add names")
			set("#add-names", servertest.NameB)
			on("add names")
			if got := servertest.Text(t, ctx, "#preview .taster .name"); got != servertest.NameA {
				t.Errorf("the preview says %q, want %q", got, servertest.NameA)
			}
			on("next")
			on("pick saltiness")
			on("next")
			on("next") // expectation
			on("next") // panel
			choose(`[name="analysis.compare[0]"]`, "A")
			choose(`[name="analysis.compare[1]"]`, "B")
			choose(`[name="analysis.attribute"]`, "saltiness")
			for servertest.Eval[bool](t, ctx, `document.querySelector("button[value=next]") !== null`) {
				on("next")
			}
			servertest.Run(t, ctx, chromedp.WaitReady(chromedp.CSS(`a[href$="/edit/lock"].next`)))
			servertest.Press(t, ctx, `a[href$="/edit/lock"].next`)
			fits()
			servertest.Press(t, ctx, "form[action$=lock] .next")
			id := strings.Split(servertest.Eval[string](t, ctx, "location.pathname"), "/")[2]
			stored, err := f.Svc.Study(t.Context(), panel.StudyID(id))
			f.Must(err)
			if stored.State != panel.Locked {
				t.Fatalf("the study is %s; the page says %s", stored.State, servertest.Text(t, ctx, "main"))
			}
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/"+id))
			servertest.Press(t, ctx, "form[action$=sittings] .next")
			if stored, err = f.Svc.Study(t.Context(), panel.StudyID(id)); err != nil || stored.State != panel.Open {
				t.Errorf("the study is %s, %v; want open", stored.State, err)
			}
		})
	}
}
