package study

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	_ "cloche/internal/draws"
)

// read by an assessor: every text of a study that a translation has.
func assessorsRead(s *Study) []string {
	all := []string{s.Texts.Welcome, s.Texts.Consent, s.Texts.Instructions, s.Texts.Thanks, s.Texts.Debrief,
		s.Texts.Comment}
	for _, n := range s.Names {
		all = append(all, n.Text)
	}
	for _, a := range s.Attributes {
		all = append(append(all, a.Ask, a.Scale.Low, a.Scale.High), a.Scale.Labels...)
	}
	for _, x := range s.Panel.Screening {
		all = append(all, x.Ask)
	}
	for _, x := range s.Serving.Strata {
		if x.Ask != "" {
			all = append(append(all, x.Ask), x.Levels...)
		}
	}
	for _, d := range s.Dishes {
		all = append(all, d.AlsoContains...)
	}
	return slices.DeleteFunc(all, func(text string) bool { return text == "" })
}

// In a language nothing is left of the others, everything else stays as it is,
// and the study itself is not changed.
func TestInAnyLanguage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStudy(t)
		before := string(Canonical(s))
		own := assessorsRead(s)
		for _, lang := range s.Languages {
			in := s.In(lang)
			if !slices.Equal(in.Languages, []string{lang}) || in.Translations != nil {
				t.Fatalf("in %s the languages are %v, with %d translations", lang, in.Languages, len(in.Translations))
			}
			texts := assessorsRead(in)
			if len(texts) != len(own) {
				t.Fatalf("in %s there are %d texts, want %d", lang, len(texts), len(own))
			}
			for _, text := range texts {
				if lang != s.Languages[0] && slices.Contains(own, text) {
					t.Fatalf("in %s assessors read %q, which is %s", lang, text, s.Languages[0])
				}
			}
			if lang == s.Languages[0] && !slices.Equal(texts, own) {
				t.Fatalf("in its own language the study reads\n%q, want\n%q", texts, own)
			}
			if again, problems := Parse("", Format(in)); again == nil {
				t.Fatalf("in %s the study is not sound: %q", lang, messages(problems))
			} else if diff := cmp.Diff(withoutWords(s), withoutWords(in)); diff != "" {
				t.Fatalf("in %s more than words differs (-study +in):\n%s", lang, diff)
			}
		}
		if after := string(Canonical(s)); after != before {
			t.Fatalf("the study was changed:\n%s\n%s", before, after)
		}
	})
}

// withoutWords is what a translation leaves as it is.
func withoutWords(s *Study) *Study {
	c := *s
	c.Languages, c.Translations, c.Texts = nil, nil, Texts{}
	c.Names = slices.Clone(s.Names)
	for i := range c.Names {
		c.Names[i].Text = ""
	}
	c.Attributes = slices.Clone(s.Attributes)
	for i := range c.Attributes {
		scale := &c.Attributes[i].Scale
		c.Attributes[i].Ask, scale.Low, scale.High, scale.Labels = "", "", "", make([]string, len(scale.Labels))
	}
	c.Panel.Screening = slices.Clone(s.Panel.Screening)
	for i := range c.Panel.Screening {
		c.Panel.Screening[i].Ask = ""
	}
	c.Serving.Strata = slices.Clone(s.Serving.Strata)
	for i := range c.Serving.Strata {
		if x := &c.Serving.Strata[i]; x.Ask != "" {
			x.Ask, x.Levels = "", make([]string, len(x.Levels))
		}
	}
	c.Dishes = slices.Clone(s.Dishes)
	for i := range c.Dishes {
		c.Dishes[i].AlsoContains = make([]string, len(c.Dishes[i].AlsoContains))
	}
	return &c
}

func TestIn(t *testing.T) {
	s := parse(t, read(t, "../../testdata/study/languages.yaml"))
	fr := s.In("fr")
	want := []string{
		"Vous pouvez arrêter à tout moment.", "Goûtez et répondez.", "crème brûlée", "royale salée",
		"Est-ce salé ?", "pas du tout", "extrêmement", "Est-ce lisse ?", "granuleux", "lisse", "Cela vous plaît-il ?",
		"extrêmement désagréable", "très désagréable", "modérément désagréable", "légèrement désagréable",
		"ni agréable ni désagréable",
		"légèrement agréable", "modérément agréable", "très agréable", "extrêmement agréable",
		"noix de muscade", "laurier",
	}
	if diff := cmp.Diff(want, assessorsRead(fr)); diff != "" {
		t.Errorf("in French (-want +got):\n%s", diff)
	}
	if fr.NameText("B") != "royale salée" || fr.Dishes[0].Title != "Custard" {
		t.Errorf("sample B is called %q and its dish %q", fr.NameText("B"), fr.Dishes[0].Title)
	}
	if got := s.In("it"); got.Languages[0] != "en" || got.NameText("A") != "burnt cream" {
		t.Errorf("in a language that it does not have, the study is in %v", got.Languages)
	}
	if got := (&Study{}).In("fr").Languages; !slices.Equal(got, []string{"en"}) {
		t.Errorf("a study that does not say is in %v", got)
	}
}

// A base language other than English has its own labels of the hedonic scale.
func TestHedonicLabelsOfTheFirstLanguage(t *testing.T) {
	src := strings.Replace(read(t, "../../testdata/study/names.yaml"), "question:", "languages: [it]\nquestion:", 1)
	src = strings.Replace(src, "{line: [not at all, extremely]}", "hedonic-9", 1)
	if got := parse(t, src).Attributes[0].Scale.Labels[0]; got != "estremamente sgradito" {
		t.Errorf("the first label is %q", got)
	}
}

func TestLanguageOfAReader(t *testing.T) {
	tests := []struct {
		name    string
		offered []string
		prefers []string
		want    string
	}{
		{"nothing said", []string{"en", "fr"}, nil, "en"},
		{"the study's second", []string{"en", "fr"}, []string{"", "fr-FR,fr;q=0.9,en;q=0.8"}, "fr"},
		{"by weight, not by order", []string{"en", "fr", "de"}, []string{"en;q=0.2, de;q=0.9"}, "de"},
		{"a choice before the phone's setting", []string{"en", "fr"}, []string{"en", "fr"}, "en"},
		{"a choice that the study does not have", []string{"en", "fr"}, []string{"it", "fr"}, "fr"},
		{"a language nobody offers", []string{"fr", "en"}, []string{"ja"}, "fr"},
		{"a region", []string{"en", "fr-CA"}, []string{"fr"}, "fr-CA"},
		{"no language", []string{"en", "fr"}, []string{"<script>", "*"}, "en"},
		{"too long to read", []string{"en", "fr"}, []string{strings.Repeat("fr,", 1000)}, "en"},
		{"a study that does not say", nil, []string{"fr"}, "en"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if got := (&Study{Languages: tc.offered}).Language(tc.prefers...); got != tc.want {
				t.Errorf("Language(%q) = %s, want %s", tc.prefers, got, tc.want)
			}
		})
	}
}

// Whatever a browser sends, one of the languages offered comes out, and a tag that
// is offered comes out itself.
func FuzzBestLanguage(f *testing.F) {
	offered := []string{"en", "fr-CA", "de", "es-MX", "it"}
	for _, s := range []string{"", "fr", "fr-CH, fr;q=0.9, *;q=0.5", "x-;q=", "de-DE-1996,en;q=2", "i-klingon", "\xff",
		"en;q=0", "zh-Hant-TW-u-co-stroke"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, chosen, header string) {
		if got := BestLanguage(offered, chosen, header); !slices.Contains(offered, got) {
			t.Errorf("BestLanguage(%q, %q) = %q, which is not offered", chosen, header, got)
		}
		for _, own := range offered {
			if got := BestLanguage(offered, own, header); got != own {
				t.Errorf("BestLanguage(%q, %q) = %q", own, header, got)
			}
		}
	})
}

// Every language has words of its own for every allergen and every label.
func TestWordsOfEveryLanguage(t *testing.T) {
	if !slices.Contains(Spoken, baseLanguage) {
		t.Errorf("%s is not spoken", baseLanguage)
	}
	seen := map[string]string{}
	for _, lang := range Spoken {
		labels := hedonicLabels(lang)
		if lang != baseLanguage && reflect.DeepEqual(labels, hedonicLabels(baseLanguage)) {
			t.Errorf("%s has the labels of %s", lang, baseLanguage)
		}
		for i, label := range labels {
			if label == "" || slices.Contains(labels[:i], label) || len([]rune(label)) > maxWord {
				t.Errorf("label %d of the hedonic scale in %s is %q", i+1, lang, label)
			}
		}
		for _, a := range Allergens {
			text := a.ID.TextIn(lang)
			if text == "" || lang != baseLanguage && len(text) > 20 && seen[text] != "" {
				t.Errorf("%s in %s is %q, as in %s", a.ID, lang, text, seen[text])
			}
			seen[text] = lang
		}
	}
	if got := Allergen("celery").TextIn("fr-CA"); got != "céleri (y compris le céleri-rave)" {
		t.Errorf("celery in fr-CA is %q", got)
	}
	if got := Allergen("celery").TextIn("nl"); got != Allergen("celery").Text() {
		t.Errorf("celery in a language that is not spoken is %q", got)
	}
}
