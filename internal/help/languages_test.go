package help

import (
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cloche/internal/study"
	"cloche/internal/words"
	"cloche/web"
)

var (
	bold   = regexp.MustCompile(`\*\*([^*]+)\*\*`)
	quoted = regexp.MustCompile(`“([^”]+)”`)
	code   = regexp.MustCompile("`([^`]+)`|(?m)^    (.+)$")
	number = regexp.MustCompile(`\d+([.,\x{a0}\x{202f}]\d+)*`)
	shape  = regexp.MustCompile(`^(#+ |\d+\. |- |\|---|\| |    )?`)
)

// all are the texts that a mark encloses, each on one line, in alphabetical order.
func all(of *regexp.Regexp, page string) []string {
	var list []string
	for _, m := range of.FindAllStringSubmatch(page, -1) {
		list = append(list, onOneLine(m[1]))
	}
	return slices.Sorted(slices.Values(list))
}

// screenTexts are the templates of all screens.
func screenTexts(t *testing.T) string {
	t.Helper()
	var screens strings.Builder
	err := fs.WalkDir(web.FS, "templates", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".html") {
			return err
		}
		text, err := fs.ReadFile(web.FS, path)
		screens.Write(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return screens.String()
}

// TestHelpNamesButtonsThatAreThere: what a page prints in bold is pressed or read on a screen under these
// very words, in each language under its own.
func TestHelpNamesButtonsThatAreThere(t *testing.T) {
	screens, some := screenTexts(t), 0
	for _, x := range topics(t, english) {
		if x.ID == "words" { // there the words that are explained are bold
			continue
		}
		labels := all(bold, x.Text)
		some += len(labels)
		for _, label := range labels {
			if !strings.Contains(screens, `{{t "`+label+`"}}`) {
				t.Errorf("%s names “%s”, which stands on no screen", x.ID, label)
			}
		}
		for lang, own := range translated(t, x.ID) {
			var want []string
			for _, label := range labels {
				want = append(want, onOneLine(words.In(lang).Translate(label)))
			}
			slices.Sort(want)
			if got := all(bold, own.Text); !slices.Equal(got, want) {
				t.Errorf("%s/%s names\n%q, the screens say\n%q", lang, x.ID, got, want)
			}
		}
	}
	if some < 8 {
		t.Errorf("%d buttons are named", some)
	}
}

// translated are the texts of a page in other languages, by those that have one.
func translated(t *testing.T, id string) map[string]Topic {
	t.Helper()
	list := map[string]Topic{}
	for _, lang := range study.Spoken {
		x, _, err := Find(lang, id)
		if err != nil {
			t.Fatal(err)
		}
		if lang != english && x.Lang == lang {
			list[lang] = x
		}
	}
	return list
}

// TestEveryLanguageHasTheWholePage: a text in another language has the headings, paragraphs, entries and rows
// of the English one in their order, the same code in each of them and the same numbers; what the English text quotes
// of a screen it says as the screen does.
func TestEveryLanguageHasTheWholePage(t *testing.T) {
	for _, x := range topics(t, english) {
		for lang, own := range translated(t, x.ID) {
			en, got := blocks(x.Text), blocks(own.Text)
			for i := range min(len(en), len(got)) {
				if a, b := shape.FindString(en[i]), shape.FindString(got[i]); a != b {
					t.Errorf("%s/%s: %q stands for\n%q", lang, x.ID, got[i], en[i])
					break
				}
				if a, b := inCode(en[i]), inCode(got[i]); !slices.Equal(a, b) {
					t.Errorf("%s/%s has the code\n%q for\n%q in %q", lang, x.ID, b, a, got[i])
				}
				if a, b := numbers(en[i]), numbers(got[i]); !slices.Equal(a, b) {
					t.Errorf("%s/%s has the numbers %q for %q in %q", lang, x.ID, b, a, got[i])
				}
			}
			if len(en) != len(got) {
				t.Errorf("%s/%s has %d paragraphs, entries and rows for %d", lang, x.ID, len(got), len(en))
			}
			if a, b := len(all(bold, x.Text)), len(all(bold, own.Text)); a != b {
				t.Errorf("%s/%s has %d bold words for %d", lang, x.ID, b, a)
			}
			for _, label := range all(quoted, x.Text) {
				said := onOneLine(words.In(lang).Translate(label))
				if words.In(lang).Translates(label) && !strings.Contains(onOneLine(own.Text), said) {
					t.Errorf("%s/%s does not say %q for %q", lang, x.ID, said, label)
				}
			}
		}
	}
}

// onOneLine has a text's spaces, also those that are not broken, as one each.
func onOneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// inCode is what stands in backquotes or as a block of code.
func inCode(block string) []string {
	var list []string
	for _, m := range code.FindAllStringSubmatch(block, -1) {
		list = append(list, onOneLine(m[1]+m[2]))
	}
	return slices.Sorted(slices.Values(list))
}

// numbers are those outside of code, without the marks between their digits, which differ by language.
func numbers(block string) []string {
	var list []string
	for _, n := range number.FindAllString(code.ReplaceAllString(block, ""), -1) {
		list = append(list, strings.NewReplacer(".", "", ",", "", "\u00a0", "", "\u202f", "").Replace(n))
	}
	return slices.Sorted(slices.Values(list))
}

// TestAnchorsAreThoseOfEveryLanguage: the sections of a page have the same anchors in each language, and what links
// to another page or section leads to one that is there.
func TestAnchorsAreThoseOfEveryLanguage(t *testing.T) {
	link := regexp.MustCompile(`href="/help/([a-z]+)(?:#([^"]+))?"|href="#([^"]+)"`)
	for _, lang := range study.Spoken {
		for _, x := range topics(t, lang) {
			page, err := x.HTML()
			if err != nil {
				t.Fatal(err)
			}
			en, _, _ := Find(english, x.ID)
			ofEnglish, err := en.HTML()
			if err != nil {
				t.Fatal(err)
			}
			if a, b := anchors(string(ofEnglish)), anchors(string(page)); !maps.Equal(a, b) {
				t.Errorf("%s/%s has the anchors %v, want %v", lang, x.ID, b, a)
			}
			for _, m := range link.FindAllStringSubmatch(string(page), -1) {
				to, at := x.ID, m[3]
				if m[1] != "" {
					to, at = m[1], m[2]
				}
				there, ok, err := Find(lang, to)
				if err != nil || !ok {
					t.Errorf("%s/%s: %s leads nowhere", lang, x.ID, m[0])
					continue
				}
				if page, err := there.HTML(); err != nil || at != "" && !anchors(string(page))[at] {
					t.Errorf("%s/%s: %s leads nowhere, %v", lang, x.ID, m[0], err)
				}
			}
		}
	}
}

func anchors(page string) map[string]bool {
	list := map[string]bool{}
	for _, m := range regexp.MustCompile(`<h\d id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		list[m[1]] = true
	}
	return list
}
