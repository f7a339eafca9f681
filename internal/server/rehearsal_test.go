package server_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// TestRehearsalGoesThroughTheBallot walks every screen by its own buttons, in a
// draft with a pause, and finds nothing of it kept.
func TestRehearsalGoesThroughTheBallot(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(strings.Replace(custard, "rinse: 0 s", "rinse: 45 s", 1))
	v := f.lead()
	at := "/studies/" + id + "/rehearsal"
	p := v.get(at)
	check := func(screen, heading string) {
		t.Helper()
		doc := p.html()
		if p.status != http.StatusOK || p.path != at+"/1/en/"+screen || !strings.HasPrefix(doc.Find("h1").Text(), heading) {
			t.Fatalf("at %s with status %d one reads %q, want %q at screen %s", p.path, p.status, doc.Find("h1").Text(), heading, screen)
		}
		bar := doc.Find(".rehearsal")
		if text := bar.Text(); !strings.Contains(text, "Rehearsal: nothing is kept") || !strings.Contains(text, screen+" of 7") || bar.Find("a[href='/studies/"+id+"']").Length() != 1 {
			t.Errorf("screen %s: the bar says %q", screen, text)
		}
		if doc.Find("#outbox, script[src*='ballot.js']").Length() != 0 {
			t.Errorf("screen %s keeps answers on the phone", screen)
		}
	}
	press := func(fields ...string) page {
		t.Helper()
		return v.post(p.html().Find("main form").First().AttrOr("action", ""), fields...)
	}
	check("1", "Welcome to a blind tasting")
	if text := p.html().Find("main").Text(); !strings.Contains(text, "celery (including celeriac)") || !strings.Contains(text, "I agree to taste two spoonfuls") {
		t.Error("the welcome lacks allergens or consent")
	}
	p = press()
	check("2", "How it goes")
	p = press()
	check("3", "Serving 1 of 2")
	names := p.html().Find(".name").Text()
	wrong := press("a1", "120", "a2", "")
	if wrong.status != http.StatusUnprocessableEntity || wrong.html().Find(".problems a").Length() != 2 || wrong.html().Find("input[name=a1]").AttrOr("value", "") != "120" || wrong.html().Find(".rehearsal").Length() != 2 {
		t.Errorf("answers missing: status %d, page\n%s", wrong.status, wrong.body)
	}
	if again := v.get(wrong.path); again.path != p.path {
		t.Errorf("the form's address leads to %s, want %s", again.path, p.path)
	}
	p = press("a1", "40", "a2", "6")
	check("4", "A short pause")
	if clock := p.html().Find("[data-seconds]"); clock.Text() != "45" || clock.AttrOr("data-to", "") != at+"/1/en/5" {
		t.Errorf("the pause lasts %s s and leads to %s", clock.Text(), clock.AttrOr("data-to", ""))
	}
	p = v.get(at + "/1/en/5")
	check("5", "Serving 2 of 2")
	if names += p.html().Find(".name").Text(); names != nameA+nameB && names != nameB+nameA {
		t.Errorf("the servings are called %q", names)
	}
	p = press("a1", "55", "a2", "7")
	check("6", "Thank you")
	p = v.get(at + "/1/en/7")
	check("7", "Thank you")
	if !strings.Contains(p.body, "Both were the same custard") {
		t.Error("the last screen lacks the debrief")
	}
	p = v.get(p.html().Find(".rehearsal a[href$='/2/en/1']").AttrOr("href", ""))
	if p.path != at+"/2/en/1" {
		t.Errorf("another assessor begins at %s", p.path)
	}
	for _, e := range f.events(id) {
		if e.What != "begun" {
			t.Errorf("the log holds %q", e.What)
		}
	}
}

func (f *fixture) events(id string) []panel.Event {
	f.t.Helper()
	events, err := f.svc.Events(f.t.Context(), id)
	f.must(err)
	return events
}

func TestRehearsalOfEachLanguage(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(strings.Replace(custard, "rinse: 0 s", "rinse: 45 s", 1) + inLanguages)
	v := f.lead()
	at := "/studies/" + id + "/rehearsal/1/"
	for screen, want := range map[string]string{
		"1": "J'accepte de goûter", "1/declined": "Ne goûtez pas", "2": "Prenez une cuillerée", "3": "À quel point est-ce salé", "4": "Une courte pause",
		"5": "céleri-rave", "6": "C'était tout.", "7": "C'était la même crème", "3/withdraw": "Retirer", "3/withdrawn": "Merci",
	} {
		p := v.get(at + "fr/" + screen)
		doc := p.html()
		if p.status != http.StatusOK || doc.Find("html").AttrOr("lang", "") != "fr" || !strings.Contains(doc.Find("main").Text(), want) {
			t.Errorf("screen %s (status %d, %s) lacks %q", screen, p.status, doc.Find("html").AttrOr("lang", ""), want)
		}
		if found := inEnglish(doc.Find("main").Text()); len(found) > 0 {
			t.Errorf("screen %s says in English: %q", screen, found)
		}
		if doc.Find(".rehearsal[lang=en]").Length() != 2 {
			t.Errorf("screen %s does not say that its bar is in English", screen)
		}
		if strings.Contains(screen, "/") {
			continue
		}
		var links []string
		doc.Find("nav.languages a").Each(func(_ int, x *goquery.Selection) { links = append(links, x.AttrOr("href", "")) })
		if got := strings.Join(links, " "); got != at+"en/"+screen+" "+at+"de-CH/"+screen {
			t.Errorf("screen %s leads to other languages at %s", screen, got)
		}
	}
	p := v.get(at + "fr/3?text=large")
	if p.path != at+"fr/3" || !p.html().Find("html").HasClass("large") {
		t.Errorf("larger text ends at %s", p.path)
	}
}

func TestRehearsalAddressesAreBounded(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(custard)
	v := f.lead()
	at := "/studies/" + id + "/rehearsal/"
	for _, x := range []string{"0/en/1", "13/en/1", "-1/en/1", "x/en/1", "1/xx/1", "1/fr/1", "1/en/0", "1/en/99", "1/en/-1", "1/en/99999999999999999999", "99999999999999999999/en/1", "1/" + strings.Repeat("e", 3000) + "/1"} {
		for _, p := range []page{v.get(at + x), v.post(at+x+"/start", "a", "b"), v.post(at+x+"/servings/1", "a1", "1"), v.get(at + x + "/withdraw")} {
			if p.status != http.StatusNotFound {
				t.Errorf("%.60s: status %d, want 404", p.path, p.status)
			}
		}
	}
	for _, x := range []string{"1/en/1/withdraw", "1/en/1/withdrawn", "1/en/2/elsewhere"} { // nothing to take out yet, and no such thing
		if p := v.get(at + x); p.status != ok || !strings.HasPrefix(at+x, p.path+"/") {
			t.Errorf("%s ends at %s with status %d", x, p.path, p.status)
		}
	}
	if p := v.post(at+"1/en/3/servings/1", "a1", strings.Repeat("9", maxFormForTest)); p.status != http.StatusRequestEntityTooLarge {
		t.Errorf("a form without end: status %d", p.status)
	}
}

const maxFormForTest = 65 << 10

func TestRehearsalAsksWhatABallotAsks(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(strings.Replace(withAlcohol(t), "rinse: 0 s", "rinse: 0 s, expectation: true", 1))
	v := f.lead()
	at := "/studies/" + id + "/rehearsal/1/en/"
	p := v.post(at + "1/consent")
	doc := p.html()
	if p.status != http.StatusUnprocessableEntity || doc.Find("#age-wrong, .rehearsal").Length() != 3 || !strings.HasPrefix(doc.Find("title").Text(), "Answers missing") {
		t.Errorf("without an age: status %d, title %q", p.status, doc.Find("title").Text())
	}
	if p = v.post(at+"1/consent", "age", "yes"); p.path != at+"2" {
		t.Errorf("with an age one comes to %s", p.path)
	}
	p = v.get(at + "3")
	if name := p.html().Find(".name").Text(); p.html().Find(".plate .code").Length() != 0 || name != nameA && name != nameB {
		t.Errorf("a name before tasting: %q\n%s", name, p.html().Find("main").Text())
	}
	action := p.html().Find("main form").AttrOr("action", "")
	if p = v.post(action, "a1", ""); p.status != http.StatusUnprocessableEntity {
		t.Errorf("nothing said of a name: status %d", p.status)
	}
	if p = v.post(action, "a1", "30", "a2", "5"); p.path != at+"4" {
		t.Errorf("after the first name one comes to %s", p.path)
	}
}

func TestRehearsalThatCannotBe(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(strings.NewReplacer("serving: {", "serving: {design: one, ", "test: paired-t", "test: welch-t").Replace(custard))
	p := f.lead().get("/studies/" + id + "/rehearsal")
	text := p.html().Find("main").Text()
	if p.status != ok || !strings.Contains(text, "It cannot be done for this study") || !strings.Contains(text, "one sample each") || p.html().Find("main a[href='/studies/"+id+"']").Length() != 2 {
		t.Errorf("status %d: %s", p.status, text)
	}
}

// TestHalfDoneDraftsShowWhatTheyCan: a mistake that assessors would not see hinders
// no rehearsal, and one in their words no dry run; else the page says what does.
func TestHalfDoneDraftsShowWhatTheyCan(t *testing.T) {
	f := newFixture(t)
	v := f.lead()
	for name, tc := range map[string]struct {
		old, new, says     string
		rehearsed, dryRuns bool
	}{
		"no title":           {"title: CANARYTITLE does a name change a custard?", "title:", "", true, true},
		"no such attribute":  {"attribute: salt", "attribute: pepper", "pepper", true, false},
		"no thanks to read":  {"consent: I agree to taste two spoonfuls.", "consent:", "consent", false, true},
		"no such dish":       {"{id: canarysampleA, dish: canarydish", "{id: canarysampleA, dish: soup", "soup", false, false},
		"no panel":           {"panel: {assessors: 12}\n", "", "The study has no", false, false},
		"nothing but a word": {custard, "custard", "", false, false},
	} {
		begun, err := f.svc.Begin(t.Context(), []byte(strings.Replace(custard, tc.old, tc.new, 1)), "")
		f.must(err)
		at := "/studies/" + begun.ID
		for path, shown := range map[string]bool{"/rehearsal": tc.rehearsed, "/dry-run": tc.dryRuns} {
			p := v.get(at + path)
			text := p.html().Find("main").Text()
			if p.status != ok || strings.Contains(p.body, "mending first") == shown || !shown && !strings.Contains(text, tc.says) {
				t.Errorf("%s: %s ends at %s with status %d: %s", name, path, p.path, p.status, text)
			}
		}
		if p := v.get(at + "/rehearsal/1/en/1"); p.status == ok != tc.rehearsed {
			t.Errorf("%s: the first screen has status %d", name, p.status)
		}
	}
}

// TestRehearsalTellsNoKey: whatever a lead and a partner read in the rehearsal of a
// locked study is the same for two plans that were drawn from different seeds.
func TestRehearsalTellsNoKey(t *testing.T) {
	f := newFixture(t)
	lead, partner := f.lead(), f.partner()
	read := func(seed string, state panel.State) string {
		id, _ := f.inState(strings.Replace(custard, "seed: 7", seed, 1), state)
		var all strings.Builder
		for _, v := range []*visitor{lead, partner} {
			for _, seat := range []string{"1", "2", "12"} {
				for _, screen := range []string{"1", "2", "3", "4", "5", "6"} {
					doc := v.get("/studies/" + id + "/rehearsal/" + seat + "/en/" + screen).html()
					all.WriteString(doc.Find("main").Text())
				}
			}
		}
		return all.String()
	}
	want := read("seed: 7", panel.Draft)
	for _, state := range []panel.State{panel.Locked, panel.Open} {
		for _, seed := range []string{"seed: 7", "seed: 8", "spare codes: 5"} {
			if got := read(seed, state); got != want {
				t.Errorf("the rehearsal of a study that is %s depends on its seed (%s)", state, seed)
			}
		}
	}
}

// TestRehearsalInARealBrowser: the lead walks through the ballot on a phone.
func TestRehearsalInARealBrowser(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	id := f.uploaded(strings.Replace(custard, "rinse: 0 s", "rinse: 1 s", 1) + inLanguages)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate(f.web.URL+"/sign-in"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, ctx, "main .next")
	run(t, ctx, chromedp.Navigate(f.web.URL+"/studies/"+id))
	press(t, ctx, "a[href$='/rehearsal']")
	press(t, ctx, "main .next") // consent
	press(t, ctx, "main .next") // begin
	press(t, ctx, "form .next") // nothing given
	if got := text(t, ctx, ".problems h2"); !strings.HasPrefix(got, "2 answers are missing") {
		t.Errorf("without answers: %q", got)
	}
	press(t, ctx, ".rehearsal nav a") // the screen before, and on again
	press(t, ctx, "main .next")
	press(t, ctx, "nav.languages a[lang=fr]")
	if got := text(t, ctx, ".ask legend"); !strings.HasPrefix(got, "À quel point") {
		t.Errorf("in French: %q", got)
	}
	for range 2 {
		run(t, ctx, chromedp.SendKeys(chromedp.CSS("#a1"), "40"), chromedp.Click(chromedp.CSS(`label.choice:has([value="3"])`)))
		press(t, ctx, "form .next")
		run(t, ctx, chromedp.WaitVisible(chromedp.CSS(".plate, .done"))) // the pause goes on by itself
	}
	if got := text(t, ctx, ".rehearsal nav span"); got != "6 of 7" {
		t.Errorf("at the end: screen %s", got)
	}
	press(t, ctx, ".rehearsal nav a:last-child")
	if got := text(t, ctx, "main"); !strings.Contains(got, "C'était la même crème") {
		t.Errorf("the debrief: %q", got)
	}
	if kept := eval[bool](t, ctx, `navigator.serviceWorker.controller !== null`); kept {
		t.Error("a rehearsal leaves a worker on the phone")
	}
	press(t, ctx, ".rehearsal p a")
	if got := text(t, ctx, "h1"); !strings.Contains(got, canaryTitle) {
		t.Errorf("the way back leads to %q", got)
	}
}
