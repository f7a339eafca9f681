package server_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// axe is axe-core's script, from web's devDependencies: it is used here alone and
// is no part of the program.
func axe(t *testing.T) string {
	t.Helper()
	script, err := os.ReadFile(filepath.Join("..", "..", "web", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		skip(t, "axe-core is not installed: run npm --prefix web ci")
	}
	return string(script)
}

// runAxe asks for the rules of WCAG 2.0 to 2.2, levels A and AA.
const runAxe = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}).then(r =>
  JSON.stringify(r.violations.map(v => v.id + ": " + v.help + "\n  " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " — " + n.failureSummary.split("\n").slice(1, 2).join("").trim()).join("\n  "))))`

// violations returns what axe-core finds on a page. A page that goes on by itself,
// as a rinse does, may leave in the middle: it is opened again, three times at most.
func violations(t *testing.T, ctx context.Context, url, script string) []string {
	t.Helper()
	var list []string
	var err error
	for range 3 {
		if err = chromedp.Do(ctx, chromedp.Navigate(url)); err == nil {
			list, err = inspect(ctx, script)
		}
		if err == nil {
			return list
		}
	}
	t.Fatalf("axe-core on %s: %v", url, err)
	return nil
}

// inspect runs axe-core over the page that a browser shows.
func inspect(ctx context.Context, script string) ([]string, error) {
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script+"; true")); err != nil {
		return nil, err
	}
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](runAxe, chromedp.EvalAwaitPromise))
	if err != nil {
		return nil, err
	}
	var list []string
	return list, json.Unmarshal([]byte(got), &list)
}

// TestNoPageHasAnAccessibilityViolation looks at every screen in every window, in
// light and on a phone in the dark; see [looksSound]. Source of the rules: WCAG 2.2,
// levels A and AA, as far as axe-core can test them by itself.
func TestNoPageHasAnAccessibilityViolation(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	paths, prepare := f.everyScreen(custard)
	ctx := browser(t, 360, 740, false)
	for _, path := range paths {
		if do := prepare[path]; do != nil {
			do()
		}
		if path == "/studies" {
			run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
			press(t, ctx, "main .next")
		}
		if strings.HasSuffix(path, "/offline") { // goes on by itself when there is a network
			if bad := violations(t, ctx, f.web.URL+path, script); len(bad) > 0 {
				t.Errorf("%s:\n%s", path, strings.Join(bad, "\n"))
			}
			continue
		}
		run(t, ctx, chromedp.Navigate(f.web.URL+path))
		looksSound(t, ctx, path, script)
	}
}

// TestNoRoomScreenHasAnAccessibilityViolation does the same for kitchen, floor and
// board.
func TestNoRoomScreenHasAnAccessibilityViolation(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	ctx := browser(t, 360, 740, false)
	f.leadSession()
	run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, ctx, "main .next")
	for _, path := range f.roomScreens(t, ctx) {
		run(t, ctx, chromedp.Navigate(f.web.URL+path))
		looksSound(t, ctx, path, script)
	}
}

// roomScreens opens a study with seats in every state, lets a browser join it as
// kitchen and floor beside the lead, and returns an address of each screen.
func (f *fixture) roomScreens(t *testing.T, ctx context.Context) []string {
	t.Helper()
	id, join := f.inState(strings.Replace(custard, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	f.tasted(join, "a-guest-who-rinses-now", "20")
	for _, name := range []string{"a-guest-who-waits-now", "a-guest-with-a-plate-1", "a-guest-who-left-early"} {
		f.began(join, name)
	}
	_, err := f.svc.Consent(t.Context(), join, "a-guest-who-reads-now", panel.PhoneConsent{})
	f.must(err)
	v := f.staff(id, panel.RoleFloor)
	var seats, served []string
	for _, s := range f.floorLinks(v) {
		seats, served = append(seats, s[0]), append(served, s[1])
	}
	v.post(served[1])
	v.post(seats[2] + "/left")
	v.post(seats[0]+"/place", "place", "window, by the olive tree")
	kitchen := f.staff(id, panel.RoleKitchen)
	kitchen.post("/kitchen/temperatures", "wave", "1", "dish", canaryDish, "celsius", "54.5")
	for _, r := range []panel.Role{panel.RoleKitchen, panel.RoleFloor} {
		a := f.staffAccess(id, r)
		run(t, ctx, chromedp.Navigate(f.web.URL+"/staff/"+a.Link), chromedp.SendKeys(chromedp.CSS("#code"), a.Code))
		press(t, ctx, "main .next")
	}
	scores := v.get(seats[0]).html().Find("a[href*='/scores/']").AttrOr("href", "")
	rinsing := v.get("/floor?show=all").html().Find(".seat.rinsing a").AttrOr("href", "")
	return []string{
		"/staff/" + f.staffAccess(id, panel.RoleFloor).Link, "/floor", "/floor?show=table", "/floor?show=all", seats[0], seats[1], seats[2], rinsing,
		scores, "/floor/guest",
		"/kitchen", "/kitchen/plating", "/kitchen/labels", "/kitchen/blind",
		"/studies/" + id, "/studies/" + id + "/screen", "/studies/" + id + "/sittings/1/staff", "/studies/" + id + "/sittings/1/blind", "/studies/" + id + "/log", "/partner",
	}
}

// floorLinks returns, for each seat that waits, its page and the address of the
// form that serves it.
func (f *fixture) floorLinks(v *visitor) [][2]string {
	f.t.Helper()
	doc := v.get("/floor").html()
	var list [][2]string
	for i := range doc.Find(".seat").Length() {
		s := doc.Find(".seat").Eq(i)
		list = append(list, [2]string{s.Find("a").AttrOr("href", ""), s.Find("form").AttrOr("action", "")})
	}
	return list
}

// TestAxeFindsWhatIsWrong: a page with a mistake in it does not pass.
func TestAxeFindsWhatIsWrong(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate(f.web.URL+"/"))
	eval[bool](t, ctx, `document.querySelector("main").append(document.createElement("input")), true`)
	bad, err := inspect(ctx, script)
	f.must(err)
	if len(bad) != 1 || !strings.HasPrefix(bad[0], "label: ") {
		t.Errorf("an input without a label: axe-core finds %q", bad)
	}
}

// that they are used in.
func TestRoomScreensFit(t *testing.T) {
	f := newFixture(t)
	ctx := browser(t, 360, 740, false)
	f.leadSession()
	run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, ctx, "main .next")
	for _, path := range f.roomScreens(t, ctx) {
		run(t, ctx, chromedp.Navigate(f.web.URL+path))
		for _, size := range [][2]int64{{360, 740}, {820, 1180}, {1280, 800}} {
			run(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
			if bad := eval[[]string](t, ctx, misfits); len(bad) > 0 {
				t.Errorf("%s at %d × %d:\n%s", path, size[0], size[1], strings.Join(bad, "\n"))
			}
		}
	}
}
