package phones_test

import (
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestRehearsalGoesThroughTheBallot walks every screen by its own buttons, in a
// draft with a pause, and finds nothing of it kept.
func TestRehearsalGoesThroughTheBallot(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 45 s", 1))
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal"
	p := v.Get(at)
	check := func(screen, heading string) {
		t.Helper()
		doc := p.HTML()
		if p.Status != http.StatusOK || p.Path != at+"/1/en/"+screen ||
			!strings.HasPrefix(doc.Find("h1").Text(), heading) {
			t.Fatalf("at %s with status %d one reads %q, want %q at screen %s", p.Path, p.Status,
				doc.Find("h1").Text(), heading, screen)
		}
		bar := doc.Find(".rehearsal")
		if text := bar.Text(); !strings.Contains(text, "Rehearsal: nothing is kept") ||
			!strings.Contains(text, screen+" of 7") || bar.Find("a[href='/studies/"+string(id)+"']").Length() != 1 {
			t.Errorf("screen %s: the bar says %q", screen, text)
		}
		if doc.Find("#outbox, script[src*='ballot.js']").Length() != 0 {
			t.Errorf("screen %s keeps answers on the phone", screen)
		}
	}
	press := func(fields ...string) servertest.Page {
		t.Helper()
		return v.Post(p.HTML().Find("main form").First().AttrOr("action", ""), fields...)
	}
	check("1", "Welcome to a blind tasting")
	if text := p.HTML().Find("main").Text(); !strings.Contains(text, "celery (including celeriac)") ||
		!strings.Contains(text, "I agree to taste two spoonfuls") {
		t.Error("the welcome lacks allergens or consent")
	}
	p = press()
	check("2", "How it goes")
	p = press()
	check("3", "Serving 1 of 2")
	names := p.HTML().Find(".name").Text()
	wrong := press("a1", "120", "a2", "")
	if wrong.Status != http.StatusUnprocessableEntity || wrong.HTML().Find(".problems a").Length() != 2 ||
		wrong.HTML().Find("input[name=a1]").AttrOr("value", "") != "120" ||
		wrong.HTML().Find(".rehearsal").Length() != 2 {
		t.Errorf("answers missing: status %d, page\n%s", wrong.Status, wrong.Body)
	}
	if again := v.Get(wrong.Path); again.Path != p.Path {
		t.Errorf("the form's address leads to %s, want %s", again.Path, p.Path)
	}
	p = press("a1", "40", "a2", "6")
	check("4", "A short pause")
	if clock := p.HTML().Find("[data-seconds]"); clock.Text() != "45" || clock.AttrOr("data-to", "") != at+"/1/en/5" {
		t.Errorf("the pause lasts %s s and leads to %s", clock.Text(), clock.AttrOr("data-to", ""))
	}
	p = v.Get(at + "/1/en/5")
	check("5", "Serving 2 of 2")
	if names += p.HTML().Find(".name").Text(); names != servertest.NameA+servertest.NameB && names != servertest.NameB+
		servertest.NameA {
		t.Errorf("the servings are called %q", names)
	}
	p = press("a1", "55", "a2", "7")
	check("6", "Thank you")
	p = v.Get(at + "/1/en/7")
	check("7", "Thank you")
	if !strings.Contains(p.Body, "Both were the same custard") {
		t.Error("the last screen lacks the debrief")
	}
	until := words.In("en").Moment(time.Now().AddDate(0, 0, 7))
	until = until[:strings.LastIndex(until, ",")] // the day: the minute may turn between the two
	if text := p.HTML().Find("main").Text(); !strings.Contains(text, "until "+until) ||
		!strings.Contains(p.Body, "as if it had closed") {
		t.Errorf("the last screen does not say until %s: %s", until, text)
	}
	if p.HTML().Find("main a[href='"+at+"/1/en/7/withdraw']").Length() != 1 {
		t.Error("the last screen has no button for taking answers out")
	}
	if p := v.Get(at + "/1/en/7/withdrawn"); p.HTML().Find("h1").Text() != "Your answers are deleted" {
		t.Errorf("taken out after the close: %q", p.HTML().Find("h1").Text())
	}
	p = v.Get(p.HTML().Find(".rehearsal a[href$='/2/en/1']").AttrOr("href", ""))
	if p.Path != at+"/2/en/1" {
		t.Errorf("another assessor begins at %s", p.Path)
	}
	for _, e := range f.Events(id) {
		if e.What != "begun" {
			t.Errorf("the log holds %q", e.What)
		}
	}
}

func TestRehearsalOfEachLanguage(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 45 s", 1) + servertest.InLanguages)
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal/1/"
	for screen, want := range map[string]string{
		"1": "J'accepte de goûter", "1/declined": "Ne goûtez pas", "2": "Prenez une cuillerée",
		"3": "À quel point est-ce salé", "4": "Une courte pause",
		"5": "céleri-rave", "6": "C'était tout.", "7": "C'était la même crème", "3/withdraw": "Effacer",
		"3/withdrawn": "Merci",
	} {
		p := v.Get(at + "fr/" + screen)
		doc := p.HTML()
		if p.Status != http.StatusOK || doc.Find("html").AttrOr("lang", "") != "fr" ||
			!strings.Contains(doc.Find("main").Text(), want) {
			t.Errorf("screen %s (status %d, %s) lacks %q", screen, p.Status, doc.Find("html").AttrOr("lang", ""), want)
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
		doc.Find("nav.languages a").Each(func(_ int, x *goquery.Selection) {
			links = append(links, x.AttrOr("href", ""))
		})
		if got := strings.Join(links, " "); got != at+"en/"+screen+" "+at+"de-CH/"+screen {
			t.Errorf("screen %s leads to other languages at %s", screen, got)
		}
	}
	p := v.Get(at + "fr/3?text=large")
	if p.Path != at+"fr/3" || !p.HTML().Find("html").HasClass("large") {
		t.Errorf("larger text ends at %s", p.Path)
	}
}

func TestRehearsalAddressesAreBounded(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal/"
	for _, x := range []string{"0/en/1", "13/en/1", "-1/en/1", "x/en/1", "1/xx/1", "1/fr/1", "1/en/0", "1/en/99",
		"1/en/-1", "1/en/99999999999999999999", "99999999999999999999/en/1", "1/" + strings.Repeat("e", 3000) + "/1"} {
		for _, p := range []servertest.Page{v.Get(at + x), v.Post(at+x+"/start", "a", "b"),
			v.Post(at+x+"/turns/1", "a1", "1"), v.Get(at + x + "/withdraw")} {
			if p.Status != http.StatusNotFound {
				t.Errorf("%.60s: status %d, want 404", p.Path, p.Status)
			}
		}
	}
	// nothing to take out yet, and no such thing
	for _, x := range []string{"1/en/1/withdraw", "1/en/1/withdrawn", "1/en/2/elsewhere"} {
		if p := v.Get(at + x); p.Status != http.StatusOK || !strings.HasPrefix(at+x, p.Path+"/") {
			t.Errorf("%s ends at %s with status %d", x, p.Path, p.Status)
		}
	}
	if p := v.Post(at+"1/en/3/turns/1", "a1", strings.Repeat("9",
		maxFormForTest)); p.Status != http.StatusRequestEntityTooLarge {
		t.Errorf("a form without end: status %d", p.Status)
	}
}

const maxFormForTest = 65 << 10

func TestRehearsalAsksWhatABallotAsks(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(strings.Replace(servertest.Alcohol(), "rinse: 0 s", "rinse: 0 s, expectation: true", 1))
	v := f.Lead()
	at := "/studies/" + string(id) + "/rehearsal/1/en/"
	p := v.Post(at + "1/consent")
	doc := p.HTML()
	if p.Status != http.StatusUnprocessableEntity || doc.Find("#age-wrong, .rehearsal").Length() != 3 ||
		!strings.HasPrefix(doc.Find("title").Text(), "Answers missing") {
		t.Errorf("without an age: status %d, title %q", p.Status, doc.Find("title").Text())
	}
	if p = v.Post(at+"1/consent", "age", "yes"); p.Path != at+"2" {
		t.Errorf("with an age one comes to %s", p.Path)
	}
	p = v.Get(at + "3")
	if name := p.HTML().Find(".name").Text(); p.HTML().Find(".plate .code").Length() != 0 ||
		name != servertest.NameA && name != servertest.NameB {
		t.Errorf("a name before tasting: %q\n%s", name, p.HTML().Find("main").Text())
	}
	action := p.HTML().Find("main form").AttrOr("action", "")
	if p = v.Post(action, "a1", ""); p.Status != http.StatusUnprocessableEntity {
		t.Errorf("nothing said of a name: status %d", p.Status)
	}
	if p = v.Post(action, "a1", "30", "a2", "5"); p.Path != at+"4" {
		t.Errorf("after the first name one comes to %s", p.Path)
	}
}

func TestRehearsalThatCannotBe(t *testing.T) {
	f := servertest.New(t)
	file, err := os.ReadFile("../../../studies/our-custard-or-not.yaml")
	f.Must(err)
	id := f.Uploaded(strings.Replace(string(file), "  replicates: 4", "  replicates: 9", 1)) // more than a series holds
	p := f.Lead().Get("/studies/" + string(id) + "/rehearsal")
	text := p.HTML().Find("main").Text()
	if p.Status != http.StatusOK || !strings.Contains(text, "It cannot be done for this study") ||
		!strings.Contains(text, "it has at most 8. On the step") ||
		p.HTML().Find("main a[href='/studies/"+string(id)+"']").Length() != 2 {
		t.Errorf("status %d: %s", p.Status, text)
	}
}

// TestHalfDoneDraftsShowWhatTheyCan: a mistake that assessors would not see hinders
// no rehearsal, and one in their words no dry run; else the page says what does.
func TestHalfDoneDraftsShowWhatTheyCan(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for name, tc := range map[string]struct {
		old, new, says     string
		rehearsed, dryRuns bool
	}{
		"no title":          {"title: CANARYTITLE does a name change a custard?", "title:", "", true, true},
		"no such attribute": {"attribute: salt", "attribute: pepper", "pepper", true, false},
		"no thanks to read": {"consent: I agree to taste two spoonfuls.", "consent:", "consent", false, true},
		"no such dish": {"{id: canarysampleA, dish: canarydish", "{id: canarysampleA, dish: soup", "soup", false,
			false},
		"no panel":           {"panel: {assessors: 12}\n", "", "The study has no", false, false},
		"nothing but a word": {servertest.Custard, "custard", "", false, false},
	} {
		begun, err := f.Svc.Begin(t.Context(), servertest.ByLead,
			[]byte(strings.Replace(servertest.Custard, tc.old, tc.new, 1)), "")
		f.Must(err)
		at := "/studies/" + string(begun.ID)
		for path, shown := range map[string]bool{"/rehearsal": tc.rehearsed, "/dry-run": tc.dryRuns} {
			p := v.Get(at + path)
			text := p.HTML().Find("main").Text()
			if p.Status != http.StatusOK || strings.Contains(p.Body, "fixing first") == shown || !shown &&
				!strings.Contains(text, tc.says) {
				t.Errorf("%s: %s ends at %s with status %d: %s", name, path, p.Path, p.Status, text)
			}
		}
		if p := v.Get(at + "/rehearsal/1/en/1"); p.Status == http.StatusOK != tc.rehearsed {
			t.Errorf("%s: the first screen has status %d", name, p.Status)
		}
	}
}

// TestRehearsalTellsNoKey: whatever a lead and a partner read in the rehearsal of a
// locked study is the same for two plans that were drawn from different seeds.
func TestRehearsalTellsNoKey(t *testing.T) {
	f := servertest.New(t)
	lead, partner := f.Lead(), f.Partner()
	read := func(seed string, state panel.State) string {
		id, _ := f.InState(strings.Replace(servertest.Custard, "seed: 7", seed, 1), state)
		var all strings.Builder
		for _, v := range []*servertest.Visitor{lead, partner} {
			for _, seat := range []string{"1", "2", "12"} {
				for _, screen := range []string{"1", "2", "3", "4", "5", "6"} {
					doc := v.Get("/studies/" + string(id) + "/rehearsal/" + seat + "/en/" + screen).HTML()
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
