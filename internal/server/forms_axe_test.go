package server_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// sendForm has the browser send a form of pairs of name and value, and waits for
// the page that follows.
func sendForm(t *testing.T, ctx context.Context, base, path string, pairs ...string) {
	t.Helper()
	if !strings.HasPrefix(eval[string](t, ctx, "location.href"), base) {
		run(t, ctx, chromedp.Navigate(base+"/healthz"))
	}
	list, err := json.Marshal(pairs)
	if err != nil {
		t.Fatal(err)
	}
	script := fmt.Sprintf(`(() => {
		const form = document.createElement("form"), pairs = %s ?? [];
		[form.method, form.action] = ["post", %q];
		for (let i = 0; i < pairs.length; i += 2) {
			const field = document.createElement("textarea");
			[field.name, field.value] = [pairs[i], pairs[i + 1]];
			form.append(field);
		}
		document.documentElement.append(form);
		setTimeout(() => form.submit());
		return true;
	})()`, list, path)
	submit := chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := chromedp.Evaluate[bool](script)(ctx, target)
		return err
	})
	if _, err := chromedp.RunResponse(ctx, submit); err != nil {
		t.Fatalf("send to %s: %v", path, err)
	}
}

// lost lists text that is cut: where the words do not fit a box that hides what
// runs over. What only screen readers get, and paper, is left out.
const lost = `[...document.querySelectorAll("main *")].filter((e) => {
  if (e.closest(".unseen, .labels, .sheets, .line, select, svg") || !e.textContent.trim()) return false;
  const style = getComputedStyle(e), head = e.closest("thead");
  if (head && getComputedStyle(head).position === "absolute") return false; // each cell says its heading
  const hides = (x) => ["hidden", "clip"].includes(x);
  return hides(style.overflowX) && e.scrollWidth > e.clientWidth + 2 || hides(style.overflowY) && e.scrollHeight > e.clientHeight + 2;
}).map((e) => "cut: " + e.outerHTML.slice(0, 100)).slice(0, 5)`

// enlarge sets the page's letters to a multiple of their size.
const enlarge = `((times) => { const root = document.documentElement; root.style.fontSize = ""; root.style.fontSize = parseFloat(getComputedStyle(root).fontSize) * times + "px"; return true; })`

// windows are the sizes in which pages are looked at: phone, tablet, desk.
var windows = [][2]int64{{360, 740}, {820, 1180}, {1280, 800}}

// looksSound checks the page that a browser shows: in every window content fits and
// controls are large enough, with letters twice as large too; axe-core finds nothing
// on a phone, in light and in the dark, and on a desk. The tablet has the styles of
// one of the two.
func looksSound(t *testing.T, ctx context.Context, name, script string) {
	t.Helper()
	note := func(where string, bad []string) {
		if len(bad) > 0 {
			t.Errorf("%s, %s:\n%s", name, where, strings.Join(bad, "\n"))
		}
	}
	scheme := func(value string) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, size := range windows {
		run(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
		for _, dark := range []string{"light", "dark"} {
			if size == windows[1] || dark == "dark" && size != windows[0] {
				continue
			}
			scheme(dark)
			bad, err := inspect(ctx, script)
			if err != nil {
				t.Fatalf("%s: axe-core: %v", name, err)
			}
			note(fmt.Sprintf("%d × %d, %s", size[0], size[1], dark), bad)
		}
		scheme("light")
		note(fmt.Sprintf("%d × %d", size[0], size[1]), eval[[]string](t, ctx, misfits))
		eval[bool](t, ctx, enlarge+"(2)")
		note(fmt.Sprintf("%d × %d, letters twice as large", size[0], size[1]), append(eval[[]string](t, ctx, misfits), eval[[]string](t, ctx, lost)...))
		eval[bool](t, ctx, enlarge+"(1)")
	}
}

// behind is a page that no address leads to by itself.
type behind struct {
	name string
	to   func(t *testing.T, ctx context.Context) // leads a browser there
}

// TestPagesBehindForms looks at pages that follow a form, at notices, and at the
// partner's versions of pages, in every window.
func TestPagesBehindForms(t *testing.T) {
	script := axe(t)
	f := newFixture(t)
	for part, list := range map[string][]behind{"desk": f.deskPages(t), "guests": f.guestPages(t), "room": f.roomPages(t)} {
		t.Run(part, func(t *testing.T) {
			ctx := browser(t, 360, 740, false)
			for _, page := range list {
				page.to(t, ctx)
				looksSound(t, ctx, page.name, script)
			}
		})
	}
}

func (f *fixture) open(path string) func(*testing.T, context.Context) {
	return func(t *testing.T, ctx context.Context) { run(t, ctx, chromedp.Navigate(f.web.URL+path)) }
}

func (f *fixture) send(path string, pairs ...string) func(*testing.T, context.Context) {
	return func(t *testing.T, ctx context.Context) { sendForm(t, ctx, f.web.URL, path, pairs...) }
}

func (f *fixture) guestPages(t *testing.T) []behind {
	_, join := f.inState(commented, panel.Open)
	token := f.began(join, "a-guest-of-the-forms-1")
	b, err := f.svc.Ballot(t.Context(), token)
	f.must(err)
	gone := f.began(join, "a-guest-who-withdraws-1")
	_, wine := f.inState(strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true", "{assessors: 12}", "{assessors: 12, minimum age: 20}").Replace(custard), panel.Open)
	_, locked := f.inState(custard, panel.Closed)
	rate := "/t/" + token + "/servings/" + b.Serving.ID
	return []behind{
		{"a form that is not whole", f.send("/join/"+join+"/consent", "nonce", "")},
		{"an age that was not confirmed", f.send("/join/"+wine+"/consent", "nonce", "a-guest-too-young-1234")},
		{"declined", f.send("/join/"+join+"/decline", "nonce", "a-guest-who-says-no-1")},
		{"a tasting that is over", f.open("/join/" + locked)},
		{"no such link", f.open("/t/none")},
		{"answers missing", f.send(rate, "a1", "999", "comment", strings.Repeat("x", 1001))},
		{"changing answers", func(t *testing.T, ctx context.Context) {
			f.send(rate, "a1", "40", "a2", "5", "comment", "Sweet.")(t, ctx)
			f.open("/t/"+token+"/change")(t, ctx)
		}},
		{"a change with answers missing", f.send(rate, "a1", "", "change", "yes")},
		{"a rehearsed restart", f.open("/join/" + join)},
		{"answers taken out", f.send("/t/" + gone + "/withdraw")},
	}
}

func (f *fixture) roomPages(t *testing.T) []behind {
	id, join := f.inState(strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 4}", 1), panel.Open)
	b, err := f.svc.Ballot(t.Context(), f.began(join, "a-guest-of-the-room-12"))
	f.must(err)
	f.began(join, "another-guest-of-the-room")
	seat := f.floorLinks(f.staff(id, panel.RoleFloor))[0][0]
	floor, kitchen := f.staffAccess(id, panel.RoleFloor), f.staffAccess(id, panel.RoleKitchen)
	serving, scores := seat+"/servings/"+b.Serving.ID, seat+"/scores/"+b.Serving.ID
	return []behind{
		{"floor, not joined", f.open("/floor")},
		{"a wrong code", f.send("/staff/"+floor.Link, "code", "000000")},
		{"a link that leads nowhere", f.open("/staff/none")},
		{"floor", func(t *testing.T, ctx context.Context) {
			f.clock.pass(120e9)
			f.send("/staff/"+floor.Link, "code", floor.Code)(t, ctx)
			f.send("/staff/"+kitchen.Link, "code", kitchen.Code)(t, ctx)
			f.open("/floor")(t, ctx)
		}},
		{"served", f.send(serving + "/served")},
		{"taken back", f.send(serving + "/taken-back")},
		{"dropped", f.send(serving+"/dropped", "code", b.Serving.Code)},
		{"dropped with a code that is none", f.send(seat+"/dropped", "code", "111")},
		{"scores missing", f.send(scores, "nonce", "a-nonce-of-the-floor-1", "a1", "999")},
		{"scores kept", f.send(scores, "nonce", "a-nonce-of-the-floor-2", "a1", "40", "a2", "5")},
		{"a seat that is none", f.open("/floor/seats/none")},
		{"a guest to whom nothing was read", f.send("/floor/guest", "nonce", "a-nonce-of-the-floor-3")},
		{"a guest seated", f.send("/floor/guest", "nonce", "a-nonce-of-the-floor-3", "allergens", "yes", "consent", "yes")},
		{"a temperature that cannot be", f.send("/kitchen/temperatures", "wave", "1", "celsius", "warm")},
		{"labels that do not fit", f.send("/kitchen/labels", "paper", "a4", "columns", "900")},
		{"a blind that is not to be broken", f.send("/kitchen/blind", "code", "1")},
		{"an opened plate", func(t *testing.T, ctx context.Context) {
			now, err := f.svc.Ballot(ctx, f.seatedToken(id, join))
			f.must(err)
			f.send("/kitchen/blind", "code", now.Serving.Code, "why", "A guest feels unwell")(t, ctx)
		}},
		{"floor after close", func(t *testing.T, ctx context.Context) {
			f.must(f.svc.Close(ctx, id))
			f.open("/floor?show=all")(t, ctx)
		}},
		{"kitchen after close", f.open("/kitchen")},
		{"an act after close", f.send(seat + "/left")},
	}
}

func (f *fixture) deskPages(t *testing.T) []behind {
	draft := f.uploaded(custard)
	open, join := f.inState(custard, panel.Open)
	b, err := f.svc.Ballot(t.Context(), f.began(join, "a-guest-of-the-desk-12"))
	f.must(err)
	locked, _ := f.inState(custard, panel.Locked)
	closed, over := f.inState(custard, panel.Open)
	f.tasted(over, "a-guest-who-tasted-123", "20", "70")
	f.must(f.svc.Close(t.Context(), closed))
	blind := "/studies/" + open + "/sittings/1/blind"
	const password = "a lamp beside the ledger"
	var invitation string
	pages := []behind{
		{"set-up that does not work", f.send("/setup", "code", "wrong", "password", "short")},
		{"a wrong password", func(t *testing.T, ctx context.Context) {
			f.leadSession()
			f.send("/sign-in", "as", "lead", "password", "wrong")(t, ctx)
		}},
		{"an invitation", func(t *testing.T, ctx context.Context) {
			token, err := f.svc.InvitePartner(ctx, f.leadSession())
			f.must(err)
			invitation = "/invitation/" + token
			f.open(invitation)(t, ctx)
		}},
		{"an invitation with a short password", func(t *testing.T, ctx context.Context) {
			f.send(invitation, "password", "short", "again", "shorter")(t, ctx)
		}},
		{"an invitation that is none", f.open("/invitation/none")},
		{"a study with mistakes", func(t *testing.T, ctx context.Context) {
			f.clock.pass(120e9)
			f.send("/sign-in", "as", "lead", "password", leadPassword)(t, ctx)
			f.send("/studies", "text", "cloche: 1\ntitel: Salt\n")(t, ctx)
		}},
		{"no such study", f.open("/studies/none")},
		{"a study in another state", f.send("/studies/" + closed + "/sittings")},
		{"a blind that is not to be broken", f.send(blind, "code", "1")},
		{"an opened plate", f.send(blind, "code", b.Serving.Code, "why", "A guest feels unwell")},
		{"the partner invited", f.send("/partner/invite")},
	}
	signIn := func(t *testing.T, ctx context.Context) {
		token, err := f.svc.InvitePartner(ctx, f.leadSession())
		f.must(err)
		f.must(f.svc.AcceptInvitation(ctx, token, password))
		f.clock.pass(120e9)
		f.send("/sign-out")(t, ctx)
		f.send("/sign-in", "as", "partner", "password", password)(t, ctx)
	}
	pages = append(pages, behind{"the partner's studies", signIn}, behind{"what only the lead does", f.open("/studies/new")})
	for _, path := range []string{draft, draft + "/file", locked, locked + "/balance", open, open + "/log", open + "/screen", closed} {
		pages = append(pages, behind{"the partner's /studies/" + path, f.open("/studies/" + path)})
	}
	return pages
}
