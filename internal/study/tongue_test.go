package study

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// Each language has all the words that the program says, and no more: a language
// that is added is told here what its file lacks.
func TestEveryTongueIsWhole(t *testing.T) {
	var terms []AttributeID
	for _, x := range Vocabulary {
		terms = append(terms, x.ID)
	}
	slices.Sort(terms)
	screens := slices.Sorted(slices.Values(stockScreenIDs()))
	for _, x := range tongues {
		if x.tag == "" || !slices.Contains(x.called, strings.ToLower(x.inEnglish)) {
			t.Errorf("%q: tag or name is missing", x.tag)
		}
		for i, text := range x.allergens {
			if (text == "") != (x.tag == baseLanguage) {
				t.Errorf("%s: allergen %s is %q", x.tag, Allergens[i].ID, text)
			}
		}
		if slices.Contains(x.hedonic[:], "") {
			t.Errorf("%s: a label of the hedonic scale is missing", x.tag)
		}
		if got := slices.Sorted(maps.Keys(x.terms)); !slices.Equal(got, terms) {
			t.Errorf("%s: words for the terms %q, want %q", x.tag, got, terms)
		}
		for id, w := range x.terms {
			if w.ask == "" || (w.low == "") != (w.high == "") {
				t.Errorf("%s: words of %s are missing", x.tag, id)
			}
		}
		if got := slices.Sorted(maps.Keys(x.screens)); !slices.Equal(got, screens) {
			t.Errorf("%s: words for the screening questions %q, want %q", x.tag, got, screens)
		}
		for _, k := range questions {
			if k.Ask != nil && k.Ask[x.tag] == "" || k.None != nil && k.None[x.tag] == "" {
				t.Errorf("%s: words of the question %q are missing", x.tag, k.ID)
			}
		}
	}
}

func TestLanguageName(t *testing.T) {
	for tag, want := range map[string]string{"fr": "French", "fr-CA": "French (fr-CA)", "nl": "nl", "": "",
		"en": "English"} {
		if got := LanguageName(tag); got != want {
			t.Errorf("LanguageName(%q) = %q, want %q", tag, got, want)
		}
	}
}
