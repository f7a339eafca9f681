package server_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"cloche/internal/panel"
)

// TestBuilderInARealBrowser goes from a question to an open sitting in Chromium, on
// a phone and on a desk, and looks at each page on the way.
func TestBuilderInARealBrowser(t *testing.T) {
	for _, size := range [][2]int64{{360, 740}, {1280, 800}} {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			f := newFixture(t)
			f.must(f.svc.SetPassword(t.Context(), leadPassword))
			ctx := browser(t, size[0], size[1], size[0] < 600)
			fits := func() {
				t.Helper()
				if bad := eval[[]string](t, ctx, misfits); len(bad) > 0 {
					t.Errorf("%s: %s", eval[string](t, ctx, "location.pathname"), strings.Join(bad, "\n"))
				}
			}
			set := func(pairs ...string) {
				t.Helper()
				for i := 0; i+1 < len(pairs); i += 2 {
					run(t, ctx, chromedp.SendKeys(chromedp.CSS(pairs[i]), pairs[i+1]))
				}
			}
			on := func(button string) {
				t.Helper()
				press(t, ctx, fmt.Sprintf("button[value=%q]", button))
				fits()
			}
			choose := func(selector, value string) {
				t.Helper()
				eval[bool](t, ctx, fmt.Sprintf("(() => { const s = document.querySelector(%q); s.value = %q; return s.value === %q; })()", selector, value, value))
			}
			run(t, ctx, chromedp.Navigate(f.web.URL+"/studies/new"))
			set("#password", leadPassword)
			press(t, ctx, "main .next")
			if got := eval[string](t, ctx, "location.pathname"); got != "/studies/new" { // signing in leads to the list
				run(t, ctx, chromedp.Navigate(f.web.URL+"/studies/new"))
			}
			fits()
			press(t, ctx, `button[name=question][value=name]`)
			fits()
			set("#title", "Does royale sound saltier?")
			on("next")
			set("#add-dishes", "Warm celeriac custard"+kb.Enter) // Enter saves, and what was typed is added
			run(t, ctx, chromedp.WaitReady(chromedp.CSS("#dishes-0-title")))
			fits()
			set("#dishes-0-portion", "60 g", "#dishes-0-serve_at", "55")
			for _, a := range []string{"eggs", "milk", "celery"} {
				run(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf(`label:has([value=%q])`, a))))
			}
			on("next")
			set("#add-names", nameA)
			on("add names")
			set("#add-names", nameB)
			on("add names")
			if got := text(t, ctx, "#preview .taster .name"); got != nameA {
				t.Errorf("the preview says %q, want %q", got, nameA)
			}
			on("next")
			on("pick saltiness")
			on("next")
			on("next") // expectation
			on("next") // panel
			choose(`[name="analysis.compare[0]"]`, "A")
			choose(`[name="analysis.compare[1]"]`, "B")
			choose(`[name="analysis.attribute"]`, "saltiness")
			for eval[bool](t, ctx, `document.querySelector("button[value=next]") !== null`) {
				on("next")
			}
			run(t, ctx, chromedp.WaitReady(chromedp.CSS(`a[href$="/edit/lock"].next`)))
			press(t, ctx, `a[href$="/edit/lock"].next`)
			fits()
			press(t, ctx, "form[action$=lock] .next")
			id := strings.Split(eval[string](t, ctx, "location.pathname"), "/")[2]
			kept, err := f.svc.Study(t.Context(), id)
			f.must(err)
			if kept.State != panel.Locked {
				t.Fatalf("the study is %s; the page says %s", kept.State, text(t, ctx, "main"))
			}
			run(t, ctx, chromedp.Navigate(f.web.URL+"/studies/"+id))
			press(t, ctx, "form[action$=sittings] .next")
			if kept, err = f.svc.Study(t.Context(), id); err != nil || kept.State != panel.Open {
				t.Errorf("the study is %s, %v; want open", kept.State, err)
			}
		})
	}
}
