package study

import (
	"strings"
	"testing"
)

// A study with all the terms is sound in every language, with the words of that
// language.
func TestVocabularyMakesSoundStudies(t *testing.T) {
	for _, first := range Spoken {
		s := parse(t, read(t, "../../testdata/study/names.yaml"))
		s.Languages, s.Attributes = []string{first}, nil
		for _, other := range Spoken {
			if other != first {
				s.Languages = append(s.Languages, other)
				s.Translations = append(s.Translations, Translation{Language: other, Names: s.Names, Texts: s.Texts})
			}
		}
		for _, term := range Vocabulary {
			s.Attributes = append(s.Attributes, term.In(first))
			for i := range s.Translations {
				a := term.In(s.Translations[i].Language)
				w := AttributeWords{ID: a.ID, Ask: a.Ask, Low: a.Scale.Low, High: a.Scale.High, Labels: a.Scale.Labels}
				s.Translations[i].Attributes = append(s.Translations[i].Attributes, w)
			}
		}
		s.Plan.Attribute = Vocabulary[0].ID
		if again, problems := Parse("", Format(s)); again == nil {
			t.Errorf("in %s: %q", first, messages(problems))
		}
	}
}

// No language was left out, and none is another's copy.
func TestVocabularyInEveryLanguage(t *testing.T) {
	for _, term := range Vocabulary {
		asks := map[string]string{}
		for _, lang := range Spoken {
			a := term.In(lang + "-CH")
			if other, ok := asks[a.Ask]; ok {
				t.Errorf("%s asks the same in %s and %s: %q", term.ID, other, lang, a.Ask)
			}
			asks[a.Ask] = lang
			if term.Scale == Line && (fold(a.Scale.Low) == fold(a.Scale.High) || !a.Scale.Holds(100)) {
				t.Errorf("%s in %s: scale %+v", term.ID, lang, a.Scale)
			}
			if !strings.HasSuffix(a.Ask, "?") {
				t.Errorf("%s in %s is no question: %q", term.ID, lang, a.Ask)
			}
		}
		if term.In("nl").Ask != term.In("en").Ask || term.Name == "" {
			t.Errorf("%s: no words for a reader of another language", term.ID)
		}
	}
	if liking := Vocabulary[len(Vocabulary)-1].In("de"); liking.Scale.Labels[8] != "gefällt mir äußerst" {
		t.Errorf("liking in German: %+v", liking)
	}
}
