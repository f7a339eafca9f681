package server_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/studies"
)

// The longest words and texts that study files may hold.
var (
	longWord = "Unaussprechlichkeitssuppe"
	longName = strings.ToUpper(strings.Repeat(longWord+" ", 7) + "soup")
	longEnd  = longWord + longWord + "soup"
)

// longest is the custard with everything as long as it may be.
func longest() string {
	return strings.NewReplacer(
		"text: celeriac crème brûlée", "text: "+longName,
		"ask: How salty is it?", "ask: How salty is it for you on the whole "+strings.Repeat("and again ", 15),
		"not at all salty", longEnd, "extremely salty", longEnd+"!",
		"consent: I agree to taste two spoonfuls.", "consent: |\n    "+strings.Repeat(strings.Repeat("I agree to taste. ", 20)+"\n\n    ", 8),
		"texts:\n", "texts:\n  comment: What else would you say of it? "+strings.Repeat("Anything at all. ", 8)+"\n",
	).Replace(custard)
}

// TestEveryScreenIsSound opens every screen with usual and with the longest
// texts, without a browser: the visitor checks each page.
func TestEveryScreenIsSound(t *testing.T) {
	for name, file := range map[string]string{"usual texts": custard, "longest texts": longest()} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t)
			paths, prepare := f.everyScreen(file)
			v := f.visitor()
			assets := map[string]bool{}
			for _, path := range paths {
				if do := prepare[path]; do != nil {
					do()
				}
				if path == "/studies" {
					v = f.lead()
				}
				p := v.get(path)
				if p.status != http.StatusOK || p.path != path && !strings.Contains(path, "?") {
					t.Errorf("%s ends at %s with status %d", path, p.path, p.status)
				}
				p.html().Find("link[href], script[src]").Each(func(_ int, x *goquery.Selection) {
					assets[x.AttrOr("href", x.AttrOr("src", ""))] = true
				})
			}
			for path := range assets {
				if p := v.get(path); p.status != http.StatusOK || !strings.Contains(p.header.Get("Cache-Control"), "immutable") {
					t.Errorf("asset %s: status %d, Cache-Control %q", path, p.status, p.header.Get("Cache-Control"))
				}
			}
		})
	}
}

func TestLongTextsAreNotCut(t *testing.T) {
	f := newFixture(t)
	v, p := f.serving(longest())
	names := p.html().Find(".name").Text()
	if got := p.html().Find(".ends").Text(); got != longEnd+longEnd+"!" {
		t.Errorf("end words %q", got)
	}
	p = v.post(p.html().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5")
	if names += p.html().Find(".name").Text(); !strings.Contains(names, longName) {
		t.Errorf("names %q, want one to be %q", names, longName)
	}
}

// everyScreen returns an address of each screen, and for some what has to
// happen first. The lead's begin with /studies.
func (f *fixture) everyScreen(file string) (paths []string, prepare map[string]func()) {
	f.t.Helper()
	ctx := f.t.Context()
	_, open := f.inState(file, panel.Open)
	ballots := map[string]string{}
	for _, name := range []string{"instructions", "serving", "done"} {
		token, err := f.svc.Consent(ctx, open, "a-nonce-for-the-"+name, panel.PhoneConsent{})
		f.must(err)
		ballots[name] = token
	}
	f.must(f.svc.Start(ctx, ballots["serving"]))
	f.tasted(open, "a-nonce-for-the-done", "10", "20")
	resting, join := f.inState(strings.Replace(file, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	f.tasted(join, "a-nonce-for-the-rinse", "10")
	rinse, err := f.svc.Consent(ctx, join, "a-nonce-for-the-rinse", panel.PhoneConsent{})
	f.must(err)
	_, asking := f.inState(strings.Replace(file, "{assessors: 12}", "{assessors: 12, screening: [{id: senses}, {id: kitchen}]}", 1), panel.Open)
	unscreened, err := f.svc.Consent(ctx, asking, "a-nonce-for-the-screening", panel.PhoneConsent{})
	f.must(err)
	draft, closed, locked := f.uploaded(file), "", ""
	closed, over := f.inState(file, panel.Closed)
	locked, _ = f.inState(file, panel.Locked)
	begun, err := f.svc.Begin(ctx, []byte(strings.Replace(file, "panel: {assessors: 12}\n", "", 1)), "")
	f.must(err)
	halfDone := begun.ID
	f.must(f.svc.Countersign(ctx, panel.Session{Role: panel.RolePartner}, locked, strings.Repeat("X", panel.MaxSigner)))
	kept, err := f.svc.Study(ctx, closed)
	f.must(err)
	f.must(f.svc.NoteExport(ctx, panel.Session{Role: panel.RoleLead}, kept)) // so that the page asks to confirm
	put, err := f.svc.Copy(ctx, closed)
	f.must(err)
	f.must(f.svc.Archive(ctx, put.ID, true))
	rehearsal := "/studies/" + resting + "/rehearsal/1/en/"
	prepare = map[string]func(){
		"/sign-in": func() { f.must(f.svc.SetPassword(ctx, leadPassword)) },
	}
	paths = []string{
		"/", "/setup", "/sign-in", "/join/" + open, "/join/" + over, "/join/" + open + "/declined",
		"/t/" + unscreened, "/t/" + ballots["instructions"], "/t/" + ballots["serving"], "/t/" + ballots["done"], "/t/" + rinse, "/t/" + ballots["serving"] + "/offline", "/t/" + rinse + "/change", "/t/" + rinse + "/late", "/t/" + rinse + "/withdraw",
		"/studies", "/studies/new", "/password", "/log", "/studies/upload", "/studies/" + draft, "/studies/" + draft + "/file",
		"/studies/" + draft + "/dry-run", "/studies/" + draft + "/dry-run?effect=none&draw=2", "/studies/" + halfDone + "/rehearsal",
		rehearsal + "1", rehearsal + "1/declined", rehearsal + "2", rehearsal + "3", rehearsal + "3/withdraw", rehearsal + "3/withdrawn", rehearsal + "4", rehearsal + "6", rehearsal + "7",
		"/studies/" + locked, "/studies/" + resting, "/studies/" + resting + "/sittings/1/card", "/studies/" + resting + "/close",
		"/studies/" + resting + "/balance", "/studies/" + resting + "/log", "/studies/" + closed,
	}
	paths = append(paths, "/studies?q=custard", "/studies?q=nothing+has+this", "/studies/"+locked+"/plan", "/studies/"+closed+"/plan",
		"/studies/"+locked+"/amend", "/studies/"+resting+"/amend", "/studies/"+resting+"/delete", "/studies/"+closed+"/delete")
	half, _ := f.drafted(string(studies.StartName))
	for _, step := range append(builderSteps, "see", "lock", "text") {
		paths = append(paths, "/studies/"+draft+"/edit/"+step, "/studies/"+half+"/edit/"+step)
	}
	paths = append(paths, "/studies/"+draft+"/edit/size?spread=15&power=90", "/studies/"+draft+"/edit/size?spread=wide")
	return append(paths, "/studies/"+half), prepare
}
