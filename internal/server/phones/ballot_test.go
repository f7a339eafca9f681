package phones_test

import (
	"io/fs"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/web"
)

func TestConsentPutsAllergensFirst(t *testing.T) {
	f := servertest.New(t)
	file := strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true", "{assessors: 12}",
		"{assessors: 12, minimum age: 18}").Replace(servertest.Custard)
	_, join := f.InState(file, panel.Open)
	p := f.Visitor().Get("/join/" + string(join))
	text := p.HTML().Find("main").Text()
	at := -1
	for _, want := range []string{"milk (including lactose)", "celery (including celeriac)", "nutmeg",
		"It contains alcohol", "ask a member of staff", "I agree to taste two spoonfuls", "I can eat all of this",
		"No, thank you"} {
		next := strings.Index(text, want)
		if next <= at {
			t.Errorf("%q stands at %d, after what should follow it", want, next)
		}
		at = next
	}
}

func TestServingAsksWithoutAnAnswerChosen(t *testing.T) {
	f := servertest.New(t)
	_, _, p := f.Seated(servertest.Custard)
	doc := p.HTML()
	if got := doc.Find(".plate .code").Text(); len(strings.TrimPrefix(got, "code ")) != 3 {
		t.Errorf("code %q, want three digits", got)
	}
	if got := doc.Find(".line").AttrOr("aria-valuetext", ""); got != "not yet marked" {
		t.Errorf("the line says %q at the start, want that it is not yet marked", got)
	}
	if _, visible := doc.Find(".line .mark").Attr("hidden"); !visible {
		t.Error("the line has a mark at the start")
	}
	if got := doc.Find("input[name=a1]").AttrOr("value", "none"); got != "" {
		t.Errorf("the number field begins with %q", got)
	}
	if got := doc.Find(".ends").Text(); !strings.Contains(got, "not at all salty") ||
		!strings.Contains(got, "extremely salty") {
		t.Errorf("end words %q", got)
	}
	if got := doc.Find("input[type=radio]").Length(); got != 9 {
		t.Errorf("%d answers on the hedonic scale, want 9", got)
	}
	if got := doc.Find("[checked]").Length(); got != 0 {
		t.Errorf("%d answers are chosen at the start", got)
	}
}

func TestAnswersThatComeBack(t *testing.T) {
	for _, tc := range []struct {
		name, salt, liking string
		wrong              []string
	}{
		{"nothing given", "", "", []string{"a1", "a2"}},
		{"off the line", "101", "9", []string{"a1"}},
		{"no number", "<i>much</i>", "9", []string{"a1"}},
		{"no answer chosen", "50", "", []string{"a2"}},
		{"off the categories", "50", "10", []string{"a2"}},
		{"between categories", "50", "2.5", []string{"a2"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			_, v, p := f.Seated(servertest.Custard)
			p = v.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", tc.salt, "a2", tc.liking)
			doc := p.HTML()
			if p.Status != http.StatusUnprocessableEntity {
				t.Errorf("status %d, want 422", p.Status)
			}
			var links []string
			doc.Find(".problems a").Each(func(_ int, x *goquery.Selection) {
				links = append(links, strings.TrimSuffix(strings.TrimPrefix(x.AttrOr("href", ""), "#"), "-1"))
			})
			if strings.Join(links, " ") != strings.Join(tc.wrong, " ") {
				t.Errorf("the summary links to %v, want %v", links, tc.wrong)
			}
			for _, field := range tc.wrong {
				if doc.Find("#"+field+"-wrong").Length() != 1 {
					t.Errorf("nothing is said beside %s", field)
				}
			}
			if got := doc.Find("input[name=a1]").AttrOr("value", ""); got != tc.salt {
				t.Errorf("the line's answer comes back as %q, want %q", got, tc.salt)
			}
			if got := doc.Find("[checked]").AttrOr("value", ""); len(tc.wrong) == 1 && tc.wrong[0] == "a1" &&
				got != tc.liking {
				t.Errorf("the chosen answer comes back as %q, want %q", got, tc.liking)
			}
			if !strings.HasPrefix(doc.Find("title").Text(), "Answers missing") {
				t.Errorf("title %q does not say that answers are missing", doc.Find("title").Text())
			}
		})
	}
}

func TestBlindServingHasACodeAndNoName(t *testing.T) {
	f := servertest.New(t)
	file := strings.NewReplacer("dish: canarydish, name: canarynameidA}", "dish: canarydish, blind: true}",
		"  - {id: canarynameidA, text: celeriac crème brûlée}\n", "").Replace(servertest.Custard)
	_, v, p := f.Seated(file)
	var names []string
	for range 2 {
		doc := p.HTML()
		if got := doc.Find(".plate .code").Length(); got != 1 {
			t.Errorf("%d codes, want one", got)
		}
		names = append(names, doc.Find(".name").Text())
		p = v.Post(doc.Find("form").AttrOr("action", ""), "a1", "50", "a2", "5")
	}
	slices.Sort(names)
	if want := []string{"", servertest.NameB}; !slices.Equal(names, want) {
		t.Errorf("the servings are called %q, want one blind and one named", names)
	}
}

// imported finds the modules that a module asks for.
var imported = regexp.MustCompile(`from "\./([a-z]+\.js)"|import\("\./([a-z]+\.js)"\)`)

// withImports adds to assets the modules that they import, each once.
func withImports(t *testing.T, names []string) []string {
	t.Helper()
	for i := 0; i < len(names); i++ {
		plain, err := fs.ReadFile(web.FS, "static/"+names[i])
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range imported.FindAllStringSubmatch(string(plain), -1) {
			if name := m[1] + m[2]; !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// TestBallotIsLight: the first load of a ballot with all that it needs stays
// under 30 KiB compressed, and its scripts under 10 KiB.
func TestBallotIsLight(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(servertest.Custard)
	v.HTTP.Transport = &http.Transport{DisableCompression: true}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.Web.URL+p.Path, nil)
	f.Must(err)
	r.Header.Set("Accept-Encoding", "gzip")
	answer, err := v.HTTP.Do(r)
	f.Must(err)
	f.Must(answer.Body.Close())
	if answer.Header.Get("Content-Encoding") != "gzip" {
		t.Error("the page is not compressed")
	}
	total, scripts := answer.ContentLength, int64(0)
	var names []string
	var assets string // where they stand
	p.HTML().Find("link[href], script[src]").Each(func(_ int, x *goquery.Selection) {
		name := x.AttrOr("href", x.AttrOr("src", ""))
		assets = name[:strings.LastIndex(name, "/")+1]
		if name = name[len(assets):]; !slices.Contains(names, name) { // named beforehand and linked, loaded once
			names = append(names, name)
		}
	})
	for _, name := range withImports(t, names) {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.Web.URL+assets+name, nil)
		f.Must(err)
		r.Header.Set("Accept-Encoding", "gzip")
		answer, err := v.HTTP.Do(r)
		f.Must(err)
		f.Must(answer.Body.Close())
		n := answer.ContentLength
		if answer.StatusCode != http.StatusOK || n <= 0 {
			t.Fatalf("asset %s: status %d, %d bytes", name, answer.StatusCode, n)
		}
		total += n
		if strings.HasSuffix(name, ".js") {
			scripts += n
		}
	}
	t.Logf("first load of a ballot: %d bytes, of which %d are scripts", total, scripts)
	if total <= 0 || total > 30<<10 || scripts <= 0 || scripts > 10<<10 {
		t.Errorf("first load %d bytes, scripts %d; want at most %d and %d", total, scripts, 30<<10, 10<<10)
	}
}

func TestLogHoldsNoToken(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(servertest.Custard)
	v.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5")
	f.Lead().Get("/studies")
	token := strings.TrimPrefix(p.Path, "/t/")
	log := f.Log.String()
	for name, secret := range map[string]string{"personal link": token, "address": "127.0.0.1",
		"password": servertest.LeadPassword, "answers": "a1="} {
		if strings.Contains(log, secret) {
			t.Errorf("the log holds the %s", name)
		}
	}
	if !strings.Contains(log, "route=/t/:token/turns/:turn status=303") {
		t.Errorf("the log lacks the route of a rating:\n%s", log)
	}
}

func TestRinsePauseGoesOnWithAndWithoutScript(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 45 s", 1))
	ballot := p.Path
	p = v.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "50", "a2", "5")
	clock := p.HTML().Find("[data-seconds]")
	if clock.Text() != "45" || clock.AttrOr("data-seconds", "") != "45" || clock.AttrOr("data-to", "") != ballot {
		t.Errorf("the clock shows %s, counts from %s and goes on to %s; want 45, 45 and %s",
			clock.Text(), clock.AttrOr("data-seconds", ""), clock.AttrOr("data-to", ""), ballot)
	}
	if want := `<noscript><meta http-equiv="refresh" content="45; url=` + ballot +
		`"></noscript>`; !strings.Contains(p.Body, want) {
		t.Errorf("the page lacks %s", want)
	}
	f.Clock.Pass(20 * time.Second)
	if got := v.Get(ballot).HTML().Find("[data-seconds]").Text(); got != "25" {
		t.Errorf("after 20 s the clock shows %s, want 25", got)
	}
	f.Clock.Pass(25 * time.Second)
	if v.Get(ballot).HTML().Find(".plate").Length() != 1 {
		t.Error("after 45 s the next serving does not come")
	}
}

// TestRestoredTabFindsItsWay: a phone that was short of memory opens a tab again
// with GET, also at an address that was reached with POST.
func TestRestoredTabFindsItsWay(t *testing.T) {
	f := servertest.New(t)
	_, v, p := f.Seated(servertest.Custard)
	ballot := p.Path
	action := p.HTML().Find("form").AttrOr("action", "")
	if p = v.Post(action, "a1", "", "a2", ""); p.Path != action {
		t.Fatalf("an empty form ends at %s, want %s", p.Path, action)
	}
	for _, path := range []string{action, ballot + "/start"} {
		if p = v.Get(path); p.Path != ballot || p.HTML().Find(".plate").Length() != 1 {
			t.Errorf("%s leads to %s, want the serving at %s", path, p.Path, ballot)
		}
	}
}
