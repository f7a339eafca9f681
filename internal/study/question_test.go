package study

import "testing"

// TestEveryQuestionSaysEverything holds that no question is left half described.
func TestEveryQuestionSaysEverything(t *testing.T) {
	for _, id := range Questions() {
		k := id.Kind()
		if k.Title == "" || k.Asks == "" || k.ChooseIf == "" || k.Example == "" || k.Counts == "" {
			t.Errorf("%s: words are missing: %+v", id, k)
		}
		if k.Response == "" || k.Servings < 1 && k.Servings != EverySample || len(k.Designs) == 0 || len(k.Sides) == 0 {
			t.Errorf("%s: how it is answered or served is missing: %+v", id, k)
		}
		if asks := k.Ask != nil; asks != (k.Attributes == NoAttributes) {
			t.Errorf("%s: words of its own for assessors: %t, attributes %d", id, asks, k.Attributes)
		}
		if (k.AskAs != "") != (k.Attributes == OneNamed) {
			t.Errorf("%s: attributes %d, such as %q", id, k.Attributes, k.AskAs)
		}
		if k.Samples > 0 && k.WhyBlind == "" || k.None != nil != k.Plans("undecided") || k.ShareAbove > 0 &&
			!k.Plans("smallest effect") {
			t.Errorf("%s: %+v", id, k)
		}
		for _, words := range []Wordings{k.Ask, k.None} {
			for _, lang := range Spoken {
				if words != nil && words[lang] == "" {
					t.Errorf("%s has no words in %s", id, lang)
				}
			}
		}
	}
}

func TestAskOfATurn(t *testing.T) {
	s := &Study{Question: TwoAFC, Languages: []string{"en", "fr"},
		Attributes: []Attribute{{ID: "salt", Ask: "Which is saltier?"}},
		Translations: []Translation{{Language: "fr",
			Attributes: []AttributeWords{{ID: "salt", Ask: "Lequel est le plus salé ?"}}}}}
	for lang, want := range map[string]string{"en": "Which is saltier?", "fr": "Lequel est le plus salé ?"} {
		if got := s.In(lang).TurnAsk(); got != want {
			t.Errorf("%s: %q, want %q", lang, got, want)
		}
	}
	s = &Study{Question: Triangle, Languages: []string{"de-AT"}}
	if got := s.TurnAsk(); got != triangle.Ask["de"] {
		t.Errorf("de-AT: %q", got)
	}
	if s.Question = Rating; s.TurnAsk() != "" || s.NoneWord() != "" {
		t.Errorf("ratings ask %q, or %q", s.TurnAsk(), s.NoneWord())
	}
}
