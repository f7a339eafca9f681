package forms_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// sendForm has the browser send a form of pairs of name and value, and waits for
// the page that follows.
func sendForm(t *testing.T, ctx context.Context, base, path string, pairs ...string) {
	t.Helper()
	if !strings.HasPrefix(servertest.Eval[string](t, ctx, "location.href"), base) {
		servertest.Run(t, ctx, chromedp.Navigate(base+"/healthz"))
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

// behind is a page that no address leads to by itself.
type behind struct {
	name string
	to   func(t *testing.T, ctx context.Context) // leads a browser there
}

// TestPagesBehindForms looks at pages that follow a form, at notices, and at the
// partner's versions of pages, in every window.
func TestPagesBehindForms(t *testing.T) {
	script := servertest.Axe(t)
	f := servertest.New(t)
	for part, list := range map[string][]behind{"desk": deskPages(f, t), "guests": guestPages(f, t),
		"room": roomPages(f, t)} {
		t.Run(part, func(t *testing.T) {
			ctx := servertest.Browser(t, 360, 740, false)
			for _, page := range list {
				page.to(t, ctx)
				servertest.LooksSound(t, ctx, page.name, script)
			}
		})
	}
}

func opens(f *servertest.Fixture, path string) func(*testing.T, context.Context) {
	return func(t *testing.T, ctx context.Context) { servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path)) }
}

func sends(f *servertest.Fixture, path string, pairs ...string) func(*testing.T, context.Context) {
	return func(t *testing.T, ctx context.Context) { sendForm(t, ctx, f.Web.URL, path, pairs...) }
}

func guestPages(f *servertest.Fixture, t *testing.T) []behind {
	_, join := f.InState(servertest.Commented, panel.Open)
	token := f.Began(join, "a-guest-of-the-forms-1")
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	gone := f.Began(join, "a-guest-who-withdraws-1")
	_, wine := f.InState(strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true",
		"{assessors: 12}", "{assessors: 12, minimum age: 20}").Replace(servertest.Custard), panel.Open)
	_, locked := f.InState(servertest.Custard, panel.Closed)
	rate := "/t/" + string(token) + "/turns/" + string(b.Turn.ID)
	return []behind{
		{"a form that is not whole", sends(f, "/join/"+string(join)+"/consent", "nonce", "")},
		{"an age that was not confirmed", sends(f, "/join/"+string(wine)+"/consent", "nonce",
			"a-guest-too-young-1234")},
		{"declined", sends(f, "/join/"+string(join)+"/decline", "nonce", "a-guest-who-says-no-1")},
		{"a tasting that is over", opens(f, "/join/"+string(locked))},
		{"no such link", opens(f, "/t/none")},
		{"answers missing", sends(f, rate, "a1", "999", "comment", strings.Repeat("x", 1001))},
		{"changing answers", func(t *testing.T, ctx context.Context) {
			sends(f, rate, "a1", "40", "a2", "5", "comment", "Sweet.")(t, ctx)
			opens(f, "/t/"+string(token)+"/change")(t, ctx)
		}},
		{"a change with answers missing", sends(f, rate, "a1", "", "change", "yes")},
		{"a rehearsed restart", opens(f, "/join/"+string(join))},
		{"answers taken out", sends(f, "/t/"+string(gone)+"/withdraw")},
	}
}

func roomPages(f *servertest.Fixture, t *testing.T) []behind {
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 4}", 1), panel.Open)
	b, err := f.Svc.Ballot(t.Context(), f.Began(join, "a-guest-of-the-room-12"))
	f.Must(err)
	f.Began(join, "another-guest-of-the-room")
	seat := f.FloorLinks(f.Staff(id, panel.RoleFloor))[0][0]
	floor, kitchen := f.StaffAccess(id, panel.RoleFloor), f.StaffAccess(id, panel.RoleKitchen)
	serving, scores := seat+"/turns/"+string(b.Turn.ID), seat+"/scores/"+string(b.Turn.ID)
	drop := seat + "/servings/" + f.Staff(id, panel.RoleFloor).PlateAt(strings.TrimPrefix(seat, "/floor/seats/")) +
		"/dropped"
	return []behind{
		{"floor, not joined", opens(f, "/floor")},
		{"a wrong code", sends(f, "/staff/"+string(floor.Link), "code", "000000")},
		{"a link that leads nowhere", opens(f, "/staff/none")},
		{"floor", func(t *testing.T, ctx context.Context) {
			f.Clock.Pass(120e9)
			sends(f, "/staff/"+string(floor.Link), "code", string(floor.Code))(t, ctx)
			sends(f, "/staff/"+string(kitchen.Link), "code", string(kitchen.Code))(t, ctx)
			opens(f, "/floor")(t, ctx)
		}},
		{"served", sends(f, serving+"/served")},
		{"taken back", sends(f, serving+"/taken-back")},
		{"dropped", sends(f, drop, "code", string(b.Turn.Code))},
		{"dropped with a code that is none", sends(f, seat+"/dropped", "code", "111")},
		{"scores missing", sends(f, scores, "nonce", "a-nonce-of-the-floor-1", "a1", "999")},
		{"scores kept", sends(f, scores, "nonce", "a-nonce-of-the-floor-2", "a1", "40", "a2", "5")},
		{"a seat that is none", opens(f, "/floor/seats/none")},
		{"a guest to whom nothing was read", sends(f, "/floor/guest", "nonce", "a-nonce-of-the-floor-3")},
		{"a guest seated", sends(f, "/floor/guest", "nonce", "a-nonce-of-the-floor-3", "allergens", "yes", "consent",
			"yes")},
		{"a temperature that cannot be", sends(f, "/kitchen/temperatures", "wave", "1", "celsius", "warm")},
		{"labels that do not fit", sends(f, "/kitchen/labels", "paper", "a4", "columns", "900")},
		{"a blind that is not to be broken", sends(f, "/kitchen/blind", "code", "1")},
		{"an opened plate", func(t *testing.T, ctx context.Context) {
			now, err := f.Svc.Ballot(ctx, f.SeatedToken(id, join))
			f.Must(err)
			sends(f, "/kitchen/blind", "code", string(now.Turn.Code), "why", "A guest feels unwell")(t, ctx)
		}},
		{"floor after close", func(t *testing.T, ctx context.Context) {
			f.Must(f.Svc.Close(ctx, servertest.ByLead, id))
			opens(f, "/floor?show=all")(t, ctx)
		}},
		{"kitchen after close", opens(f, "/kitchen")},
		{"an act after close", sends(f, seat+"/left")},
	}
}

func deskPages(f *servertest.Fixture, t *testing.T) []behind {
	draft := f.Uploaded(servertest.Custard)
	open, join := f.InState(servertest.Custard, panel.Open)
	b, err := f.Svc.Ballot(t.Context(), f.Began(join, "a-guest-of-the-desk-12"))
	f.Must(err)
	locked, _ := f.InState(servertest.Custard, panel.Locked)
	closed, over := f.InState(servertest.Custard, panel.Open)
	f.Tasted(over, "a-guest-who-tasted-123", "20", "70")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, closed))
	blind := "/studies/" + string(open) + "/sittings/1/blind"
	const password = "a lamp beside the ledger"
	var invitation string
	pages := []behind{
		{"set-up that does not work", sends(f, "/setup", "code", "wrong", "password", "short")},
		{"a wrong password", func(t *testing.T, ctx context.Context) {
			f.LeadSession()
			sends(f, "/sign-in", "password", "wrong")(t, ctx)
		}},
		{"an invitation", func(t *testing.T, ctx context.Context) {
			_, token, err := f.Svc.AddUser(ctx, f.LeadSession(), "Petra", panel.RolePartner)
			f.Must(err)
			invitation = "/invitation/" + string(token)
			opens(f, invitation)(t, ctx)
		}},
		{"an invitation with a short password", func(t *testing.T, ctx context.Context) {
			sends(f, invitation, "password", "short", "again", "shorter")(t, ctx)
		}},
		{"an invitation that is none", opens(f, "/invitation/none")},
		{"a study with mistakes", func(t *testing.T, ctx context.Context) {
			f.Clock.Pass(120e9)
			sends(f, "/sign-in", "name", servertest.LeadName, "password", servertest.LeadPassword)(t, ctx)
			sends(f, "/studies", "text", "cloche: 1\ntitel: Salt\n")(t, ctx)
		}},
		{"no such study", opens(f, "/studies/none")},
		{"a study in another state", sends(f, "/studies/"+string(closed)+"/sittings")},
		{"a blind that is not to be broken", sends(f, blind, "code", "1")},
		{"an opened plate", sends(f, blind, "code", string(b.Turn.Code), "why", "A guest feels unwell")},
		{"somebody added", sends(f, "/people", "name", "Ada", "role", "monitor")},
		{"a name that is taken", sends(f, "/people", "name", "Ada", "role", "monitor")},
	}
	signIn := func(t *testing.T, ctx context.Context) {
		_, token, err := f.Svc.AddUser(ctx, f.LeadSession(), "Paul", panel.RolePartner)
		f.Must(err)
		f.Must(f.Svc.AcceptInvitation(ctx, token, password))
		f.Clock.Pass(120e9)
		sends(f, "/sign-out")(t, ctx)
		sends(f, "/sign-in", "name", "Paul", "password", password)(t, ctx)
	}
	pages = append(pages, behind{"the partner's studies", signIn},
		behind{"what only the lead does", opens(f, "/studies/new")})
	for _, path := range []string{string(draft), string(draft) + "/file", string(locked), string(locked) + "/balance",
		string(open), string(open) + "/log",
		string(open) + "/screen", string(closed)} {
		pages = append(pages, behind{"the partner's /studies/" + path, opens(f, "/studies/"+path)})
	}
	return pages
}
