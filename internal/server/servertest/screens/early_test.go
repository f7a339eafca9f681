package screens_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPagesOfAStudyThatMayStopEarlyLookSound: what lead and partner see when a look was taken, or evidence is
// counted, and the size step of such a study.
func TestPagesOfAStudyThatMayStopEarlyLookSound(t *testing.T) {
	t.Parallel()
	script := servertest.Axe(t)
	f := servertest.New(t)
	f.Partner()
	for name, change := range map[string][]string{
		"looks": {"panel: {assessors: 12}", "panel: {assessors: 48, sittings: 3}",
			"attribute: salt,", "attribute: salt, looks: [12],"},
		"evidence": {"panel: {assessors: 12}", "panel: {assessors: 48}",
			"attribute: salt,", "attribute: salt, evidence: mixture,"},
	} {
		file := strings.NewReplacer(change...).Replace(servertest.Custard)
		id, join := f.InState(file, panel.Open)
		at := "/studies/" + string(id)
		for i := range 12 {
			f.Tasted(join, fmt.Sprint("guest-of-", name, i), fmt.Sprint(30+i), fmt.Sprint(40+i%4))
		}
		if name == "looks" {
			servertest.MustStatus(t, f.Lead().Post(at+"/look"), 200)
		}
		ctx := servertest.Browser(t, 360, 740, false)
		signIn := func(name, password string) {
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"))
			in := fmt.Sprintf(`fetch("/sign-in", {method: "POST", `+
				`body: new URLSearchParams({name: %q, password: %q})}).then(r => r.ok)`, name, password)
			if !await(t, ctx, in) {
				t.Fatalf("the %s cannot sign in", name)
			}
		}
		see := func(what, path string) {
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path))
			servertest.LooksSound(t, ctx, path+" of "+name+", "+what, script)
		}
		_, edit := f.Drafted(file)
		signIn(servertest.LeadName, servertest.LeadPassword)
		see("the lead", at)
		see("the lead", edit+"size")
		signIn("Petra", servertest.UserPassword)
		see("the partner", at)
	}
}

// await is [servertest.Eval] of a promise.
func await(t *testing.T, ctx context.Context, script string) bool {
	t.Helper()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return got
}
