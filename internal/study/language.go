package study

import (
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/language"
)

// baseLanguage is that of a study that does not say.
const baseLanguage = "en"

// maxLanguages bounds the languages of a study.
const maxLanguages = 12

// maxPreference bounds, in bytes, what a reader says of languages: a browser's
// list is far shorter.
const maxPreference = 1000

// Translation holds all that assessors read, in another language than the
// study's first. Names and Attributes stand in the order of the study.
//
// A name under test is a treatment: its translation is another word with other
// associations, so that assessors who read it in two languages did not get quite
// the same treatment.
type Translation struct {
	Language     string // BCP 47
	Names        []Name
	Attributes   []AttributeWords
	Screening    []ScreenWords
	Strata       []StratumWords
	AlsoContains []NoteWords // each note of the dishes, once
	Texts        Texts
}

// AttributeWords are the words of an attribute. Of the scale, Low and High are
// the end words of a line; Labels are the categories, or those of the hedonic
// scale, which the program fills in.
type AttributeWords struct {
	ID        AttributeID
	Ask       string
	Low, High string
	Labels    []string
}

// NoteWords is the translation of a note on what dishes contain.
type NoteWords struct {
	Note string // as the dishes have it
	Text string
}

// In returns the study as an assessor reads it in a language: a copy with the
// words replaced, whose one language that is. A language that the study does not
// have gives its first. What only lead, kitchen and floor read stays as it is.
func (s *Study) In(lang string) *Study {
	c := *s
	c.Languages, c.Translations = s.offered()[:1], nil
	i := slices.IndexFunc(s.Translations, func(t Translation) bool { return t.Language == lang })
	if i < 0 {
		return &c
	}
	t := s.Translations[i]
	c.Languages = []string{lang}
	c.Names = t.Names
	c.Texts = t.Texts
	c.Attributes = slices.Clone(s.Attributes)
	for i := range c.Attributes {
		c.Attributes[i] = t.attribute(c.Attributes[i])
	}
	c.Panel.Screening = slices.Clone(s.Panel.Screening)
	for i := range c.Panel.Screening {
		c.Panel.Screening[i] = t.screen(c.Panel.Screening[i])
	}
	c.Serving.Strata = slices.Clone(s.Serving.Strata)
	for i := range c.Serving.Strata {
		c.Serving.Strata[i] = t.stratum(c.Serving.Strata[i])
	}
	c.Dishes = slices.Clone(s.Dishes)
	for i := range c.Dishes {
		c.Dishes[i].AlsoContains = t.notes(c.Dishes[i].AlsoContains)
	}
	return &c
}

func (t Translation) attribute(a Attribute) Attribute {
	i := slices.IndexFunc(t.Attributes, func(w AttributeWords) bool { return w.ID == a.ID })
	if i < 0 {
		return a
	}
	w := t.Attributes[i]
	a.Ask, a.Scale.Low, a.Scale.High, a.Scale.Labels = w.Ask, w.Low, w.High, w.Labels
	return a
}

func (t Translation) notes(notes []string) []string {
	notes = slices.Clone(notes)
	for i, note := range notes {
		for _, w := range t.AlsoContains {
			if w.Note == note {
				notes[i] = w.Text
			}
		}
	}
	return notes
}

// offered are the languages of the study, its first language first.
func (s *Study) offered() []string {
	if len(s.Languages) == 0 {
		return []string{baseLanguage}
	}
	return slices.Clone(s.Languages)
}

// Language returns the language of the study that suits a reader. Each of
// prefers is a BCP 47 tag or a list of them as the header Accept-Language has it
// (RFC 9110, section 12.5.4); the first that suits one of the study's languages
// decides, and the study's first language is for everyone else.
func (s *Study) Language(prefers ...string) string {
	return BestLanguage(s.offered(), prefers...)
}

// BestLanguage returns which of the languages offered suits a reader, as
// [Study.Language] does. There must be one at least.
func BestLanguage(offered []string, prefers ...string) string {
	if len(offered) == 1 {
		return offered[0]
	}
	prefers = slices.DeleteFunc(slices.Clone(prefers), func(p string) bool { return p == "" || len(p) > maxPreference })
	_, i := language.MatchStrings(matcherOf(offered), prefers...)
	return offered[i]
}

// matchers are those of the few sets of languages in which studies are offered: making one takes
// longer than a small page.
var matchers sync.Map // of language.Matcher, by the tags

func matcherOf(offered []string) language.Matcher {
	key := strings.Join(offered, " ")
	if made, ok := matchers.Load(key); ok {
		return made.(language.Matcher)
	}
	tags := make([]language.Tag, len(offered))
	for i, l := range offered {
		tags[i] = language.Make(l)
	}
	made := language.NewMatcher(tags)
	matchers.Store(key, made)
	return made
}

// spokenAs returns which of [Spoken] a language tag is, with or without a region.
func spokenAs(tag string) (string, bool) {
	parsed, err := language.Parse(tag)
	if err != nil {
		return "", false
	}
	base, _ := parsed.Base()
	return base.String(), slices.Contains(Spoken, base.String())
}
