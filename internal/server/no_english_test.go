package server_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// frenchCustard is the custard with every word of its own in French.
var frenchCustard = strings.NewReplacer("cloche: 1\n", "cloche: 1\nlanguages: [fr]\n",
	"CANARYTITLE does a name change a custard?", "Un nom change-t-il une crème ?",
	"CANARYHYPOTHESIS the dessert's name makes it saltier", "le nom change le goût de sel",
	"CANARYDISHTITLE custard", "Crème", "nutmeg", "noix de muscade", "text: celeriac crème", "text: céleri en crème",
	"text: celeriac royale", "text: royale de céleri",
	"How salty is it?", "À quel point est-ce salé ?", "not at all salty", "pas du tout salé",
	"extremely salty", "extrêmement salé", "How much do you like it?", "Cela vous plaît-il ?",
	"I agree to taste two spoonfuls.", "J’accepte de goûter deux cuillerées.",
	"Take a spoonful, then answer.", "Prenez une cuillerée, puis répondez.", "That was all.", "C’était tout.",
	"Both were the same custard under two names.", "C’était la même crème sous deux noms.").Replace(servertest.Custard)

// ofTheCustard are texts of that study, each of which says that it is French wherever it stands alone.
var ofTheCustard = []string{"Un nom change-t-il une crème ?", "le nom change le goût de sel", "Crème",
	"céleri en crème brûlée", "royale de céleri", "À quel point est-ce salé ?", "pas du tout salé", "extrêmement salé",
	"Cela vous plaît-il ?", "J’accepte de goûter deux cuillerées.", "Prenez une cuillerée, puis répondez.",
	"C’était tout.", "C’était la même crème sous deux noms."}

// TestNoEnglishIsLeft opens every screen in German, of a study in French, and finds no words that stand
// in the English texts only, but where the page says that they are English.
func TestNoEnglishIsLeft(t *testing.T) {
	f := servertest.New(t)
	paths, prepare := f.EveryScreen(frenchCustard)
	v := f.Visitor()
	v.HTTP.Transport = servertest.Asks("de")
	left := englishAlone(t)
	seen := map[string]bool{}
	for _, path := range paths {
		if do := prepare[path]; do != nil {
			do()
		}
		if path == "/studies" {
			v = f.Lead()
			v.HTTP.Transport = servertest.Asks("de")
		}
		left.none(t, v.Get(path), seen, ofTheCustard...)
	}
}

// TestNoEnglishIsLeftInTheRoom looks for English on the pages of kitchen and floor, during an evening.
func TestNoEnglishIsLeftInTheRoom(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(frenchCustard, panel.Open)
	left, seen := englishAlone(t), map[string]bool{}
	f.Tasted(join, "a-guest-who-is-on-to-the-next", "20")
	for _, name := range []string{"a-guest-who-waits-now", "a-guest-with-a-plate-1", "a-guest-who-left-early"} {
		f.Began(join, name)
	}
	v := f.Staff(id, panel.RoleFloor)
	v.HTTP.Transport = servertest.Asks("de")
	links := f.FloorLinks(v)
	v.Post(links[1][1])
	v.Post(links[2][0] + "/left")
	for _, path := range []string{"/floor", "/floor?show=table", "/floor?show=all", "/floor/guest", "/floor/ballots",
		"/floor/blind", "/floor/hand-over", "/floor/last", links[0][0], links[1][0], links[2][0],
		links[1][0] + "/tablet",
		"/floor/seats/none"} {
		left.none(t, v.Get(path), seen)
	}
	k := f.Staff(id, panel.RoleKitchen)
	k.HTTP.Transport = servertest.Asks("de")
	for _, path := range []string{"/kitchen", "/kitchen/plating", "/kitchen/labels", "/kitchen/blind"} {
		left.none(t, k.Get(path), seen)
	}
	lead := f.Lead()
	lead.HTTP.Transport = servertest.Asks("de")
	at := "/studies/" + string(id)
	for _, path := range []string{at + "/screen", at + "/sittings/1/staff", at + "/sittings/1/blind", at + "/log",
		"/people", at + "/people", at + "/free"} {
		left.none(t, lead.Get(path), seen)
	}
}

// englishWords are words that stand in texts of the house in English and in no other language.
type englishWords map[string]bool

// notOurs is an address, a fingerprint, or what is quoted of a study or of a search.
var notOurs = regexp.MustCompile(`https?://\S+|/\S+|\b[0-9a-z]{20}\b|\b[0-9a-f]{64}\b|„[^“]*“|“[^”]*”`)

// leftInEnglish is what may stand in English, and why.
var leftInEnglish = []struct{ where, why string }{
	{"three custards like?", "the title of the described study, which is in English, in the title of the window"},
	{"Custard with less salt", "names of its samples, within a sentence"},
	{"2026-11-20T19:00:00Z", "the names of an invented authority"},
	{": sweet", "the id of an attribute"},
	{"Die Studie sagt jetzt: ", "what a study file says, in the words of its format"},
}

var aWord = regexp.MustCompile(`\pL[\pL’'-]*`)

// none holds that a page in German says none of the words, but where it says that it is in another language,
// and that texts in French say so.
func (l englishWords) none(t *testing.T, p servertest.Page, seen map[string]bool, french ...string) {
	t.Helper()
	doc := p.HTML()
	check := func(of *goquery.Selection, text string) {
		own := strings.Trim(strings.Join(strings.Fields(text), " "), "“”„")
		if of.Closest("[lang]").AttrOr("lang", "") == "de" && slices.Contains(french, own) && !of.Is("title") {
			t.Errorf("%s: %q does not say that it is French", p.Path, own)
		}
		found := l.in(notOurs.ReplaceAllString(text, ""))
		for _, x := range leftInEnglish {
			if strings.Contains(p.Path+": "+text, x.where) {
				return
			}
		}
		if lang := of.Closest("[lang]").AttrOr("lang", ""); lang != "de" || found == "" || seen[text] {
			return
		}
		seen[text] = true
		t.Errorf("%s: %s in %q", p.Path, found, strings.Join(strings.Fields(text), " "))
	}
	all := doc.Find("*").Not("script, style, code, pre, option, noscript, textarea:not([lang])")
	all.Each(func(_ int, x *goquery.Selection) {
		if x.Is("input[type=text], textarea") {
			check(x, x.AttrOr("value", x.Text()))
		}
		for _, key := range []string{"aria-label", "placeholder", "title", "alt", "data-label"} {
			check(x, x.AttrOr(key, ""))
		}
		x.Contents().Each(func(_ int, y *goquery.Selection) {
			if goquery.NodeName(y) == "#text" {
				check(x, y.Text())
			}
		})
	})
}

// englishAlone reads them from the lists.
func englishAlone(t *testing.T) englishWords {
	t.Helper()
	list, others := englishWords{}, map[string]bool{}
	for _, name := range []string{"staff", "desk", "builder", "paper"} {
		b, err := os.ReadFile("../words/" + name + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(b)) {
			tag, text, _ := strings.Cut(line, ": ")
			for _, w := range aWord.FindAllString(strings.ToLower(text), -1) {
				switch tag {
				case "en":
					list[w] = true
				case "de", "fr":
					others[w] = true
				}
			}
		}
	}
	for w := range others {
		delete(list, w)
	}
	delete(list, "start") // which is German too
	return list
}

func (l englishWords) in(text string) string {
	var found []string
	for _, w := range aWord.FindAllString(strings.ToLower(text), -1) {
		if l[w] {
			found = append(found, w)
		}
	}
	return strings.Join(found, " ")
}
