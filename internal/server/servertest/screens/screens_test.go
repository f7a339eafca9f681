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

// TestEveryScreenLooksSound opens every screen with the longest texts that a study may
// hold and looks at it in every window; see [servertest.LooksSound]. Source of the
// rules: WCAG 2.2, levels A and AA, as far as axe-core can test them by itself.
func TestEveryScreenLooksSound(t *testing.T) {
	script := servertest.Axe(t)
	f := servertest.New(t)
	paths, prepare := f.EveryScreen(servertest.Longest())
	ctx := servertest.Browser(t, 360, 740, false)
	for _, path := range paths {
		if do := prepare[path]; do != nil {
			do()
		}
		if path == "/studies" {
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"),
				chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
			servertest.Press(t, ctx, "main .next")
		}
		if strings.HasSuffix(path, "/offline") { // goes on by itself when there is a network
			if bad := servertest.Violations(t, ctx, f.Web.URL+path, script); len(bad) > 0 {
				t.Errorf("%s:\n%s", path, strings.Join(bad, "\n"))
			}
			continue
		}
		servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path))
		servertest.LooksSound(t, ctx, path, script)
	}
}

// TestEveryRoomScreenLooksSound does the same for kitchen, floor and
// board.
func TestEveryRoomScreenLooksSound(t *testing.T) {
	script := servertest.Axe(t)
	f := servertest.New(t)
	ctx := servertest.Browser(t, 360, 740, false)
	f.LeadSession()
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/sign-in"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, ctx, "main .next")
	for _, path := range roomScreens(f, t, ctx) {
		servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path))
		servertest.LooksSound(t, ctx, path, script)
	}
}

// roomScreens opens a study with seats in every state, lets a browser join it as
// kitchen and floor beside the lead, and returns an address of each screen.
func roomScreens(f *servertest.Fixture, t *testing.T, ctx context.Context) []string {
	t.Helper()
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	f.Tasted(join, "a-guest-who-rinses-now", "20")
	for _, name := range []string{"a-guest-who-waits-now", "a-guest-with-a-plate-1", "a-guest-who-left-early"} {
		f.Began(join, name)
	}
	f.User(strings.Repeat("Wilhelmine ", 5), panel.RolePartner)
	f.User(strings.Repeat("Leontine ", 6), panel.RoleLead)
	over := f.Lead().Get("/people").HTML().Find("a[href$='/owner']").AttrOr("href", "")
	_, err := f.Svc.Consent(t.Context(), join, "a-guest-who-reads-now", panel.PhoneConsent{})
	f.Must(err)
	v := f.Staff(id, panel.RoleFloor)
	var seats, served []string
	for _, s := range f.FloorLinks(v) {
		seats, served = append(seats, s[0]), append(served, s[1])
	}
	v.Post(served[1])
	v.Post(seats[2] + "/left")
	v.Post(seats[0]+"/place", "place", "window, by the olive tree")
	kitchen := f.Staff(id, panel.RoleKitchen)
	kitchen.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius", "54.5")
	for _, r := range []panel.Role{panel.RoleKitchen, panel.RoleFloor} {
		a := f.StaffAccess(id, r)
		servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/staff/"+string(a.Link)),
			chromedp.SendKeys(chromedp.CSS("#code"), string(a.Code)))
		servertest.Press(t, ctx, "main .next")
	}
	scores := v.Get(seats[0]).HTML().Find("a[href*='/scores/']").AttrOr("href", "")
	rinsing := v.Get("/floor?show=all").HTML().Find(".seat.rinsing a").AttrOr("href", "")
	return []string{
		"/staff/" + string(f.StaffAccess(id, panel.RoleFloor).Link), "/floor", "/floor?show=table", "/floor?show=all",
		seats[0],
		seats[1], seats[2], rinsing,
		scores, "/floor/guest", "/floor/ballots", "/floor/blind", "/floor/hand-over", "/take-over/none",
		seats[1] + "/tablet", "/tablet?code=123456&back=yes",
		"/kitchen", "/kitchen/plating", "/kitchen/labels", "/kitchen/blind",
		"/studies/" + string(id), "/studies/" + string(id) + "/screen", "/studies/" + string(id) + "/sittings/1/staff",
		"/studies/" + string(id) + "/sittings/1/blind", "/studies/" + string(id) + "/log", "/people",
		over,
		"/studies/" + string(id) + "/people",
	}
}

// TestLooksFindsWhatIsWrong: a page with a mistake in it does not pass, whichever window or
// scheme it shows in.
func TestLooksFindsWhatIsWrong(t *testing.T) {
	script := servertest.Axe(t)
	f := servertest.New(t)
	ctx := servertest.Browser(t, 360, 740, false)
	const unlabelled = `<input name='x'>`
	for name, x := range map[string]struct{ page, style, want string }{
		"a heading that leaves a level out": {"<h4>words</h4>", "", "360 × 740 axe-core: heading-order: "},
		"a second first heading is none, a second main is": {"</main><main><p>words</main>", "",
			"axe-core: landmark-no-duplicate-main: "},
		"an input without a label": {unlabelled, "", "360 × 740 axe-core: label: "},
		"the same on a desk alone": {unlabelled, "@media (max-width: 60rem) { [name=x] { display: " +
			"none } }", "1280 × 800 axe-core: label: "},
		"a table that is one on a desk alone": {"<table><tr><th id='a'>A<td " +
			"headers='b'>1</table>", "table, tr, td, th { display: block } @media (min-width: 60rem) { table { " +
			"display: table } tr { display: table-row } td, th { display: table-cell } }", "1280 × 800 axe-core: " +
			"td-headers-attr: "},
		"words too faint in the dark": {"<p>words", "@media (prefers-color-scheme: dark) { p { color: " +
			"#777; background: #222 } }", "360 × 740 in the dark: faint, 3.55 to 1: "},
		"words too faint in the light": {"<p>words", "@media (prefers-color-scheme: light) { p { color: " +
			"#777; background: #fff } }", "360 × 740 light: faint, 4.48 to 1: "},
		"words too faint where they were moved to": {"<p class='dark'>.<p class='up'>words",
			".dark, .up { height: 3rem } " +
				".dark { background: #000 } .up { margin-top: -3rem; color: #222 }",
			"360 × 740 axe-core: color-contrast: "},
		"words too faint in a place of their own": {"<div class='dark'>.<p class='top'>words</div><p>.", ".dark { " +
			"position: relative; height: 3rem; background: #fff } .dark + p { height: 3rem; background: #000 } " +
			".top { position: absolute; top: 3rem; color: #222 }", "360 × 740 axe-core: color-contrast: "},
		"words too faint on a desk": {"<p>words", "@media (min-width: 60rem) { p { color: #777; " +
			"background: #fff } }", "1280 × 800 light: faint, 4.48 to 1: "},
		"too faint by what shines through": {"<p>words", "@media (prefers-color-scheme: dark) { p { color: " +
			"#fff; opacity: .4; background: #222 } }", "360 × 740 in the dark: faint, "},
		"a button too narrow for a finger": {"<button class='thin'>i</button>", ".thin { width: 20px " +
			"!important; min-width: 0 !important; padding: 0 !important; height: 60px !important; display: block " +
			"!important }", "360 × 740: only 20 × 60 px: "},
		"a page wider than a window of a phone": {"<p class='far'>words", ".far { width: 350px }",
			"320 × 640: the page is "},
	} {
		t.Run(name, func(t *testing.T) {
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/"))
			servertest.Eval[bool](t, ctx, fmt.Sprintf(`(() => {
				const style = new CSSStyleSheet();
				style.replaceSync(%q);
				document.adoptedStyleSheets = [style];
				document.querySelector("main").insertAdjacentHTML("beforeend", %q);
				return true;
			})()`, x.style, x.page))
			if got := strings.Join(servertest.Unsound(t, ctx, script), "\n"); !strings.Contains(got, x.want) {
				t.Errorf("%q is not among what is found:\n%s", x.want, got)
			}
		})
	}
}
