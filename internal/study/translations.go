package study

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"golang.org/x/text/language"
)

// languages reads the tags of the languages, the study's own first.
func (o object) languages() []string {
	var tags []string
	o.list("languages", 1, maxLanguages, func(path string, node ast.Node) {
		typed, ok := scalarOf(node)
		_, spoken := spokenAs(typed)
		right := language.Make(typed).String()
		switch {
		case !ok:
			o.reject(path, Say("a language is written as %s", kindOf(node)), Say("write its tag, such as fr"))
		case !spoken && meantLanguage(fold(typed)) != "":
			o.reject(path, Say("%s is not the tag of a language", quoted(typed)),
				Say("write %s", meantLanguage(fold(typed))))
		case !spoken:
			o.reject(path, Say("%s is not a language of the pages for assessors", quoted(typed)),
				Say("write one of %s, with a region if it matters, as in fr-CA", strings.Join(Spoken, ", ")))
		case typed != right:
			o.reject(path, Say("the language %s is written in another way than its tag", quoted(typed)),
				Say("write %s", right))
		case slices.Contains(tags, typed):
			o.reject(path, Say("the language %s is listed twice", quoted(typed)), Say("write it once"))
		}
		if !o.sound(path) {
			o.bad["languages"] = true
		}
		tags = append(tags, typed)
	})
	if len(tags) == 0 {
		return []string{baseLanguage}
	}
	return tags
}

// translations reads the words of every language but the first. Whatever an
// assessor reads in the first must be there in each: a page half in another
// language would be a treatment of its own.
func (o object) translations(s *Study) []Translation {
	if !o.sound("languages") {
		return nil
	}
	others := s.Languages[1:]
	node, ok := o.value("translations")
	if !ok {
		if _, written := o.values["translations"]; !written && !o.meant["translations"] && len(others) > 0 {
			o.reject("translations", Say("the study has no \"translations\" into %s", strings.Join(others, ", ")),
				Say("write translations: with %s: and its words", others[0]))
		}
		return nil
	}
	if len(others) == 0 {
		o.reject("translations", Say("the study has translations and one language, %s", s.Languages[0]),
			Say("write languages: [%s, …] with those it is translated into, or leave the section "+
				"out", s.Languages[0]))
		return nil
	}
	keys := append(keysOf(others, "%s: and the words in that language"), unlisted(node, others)...)
	b, ok := o.object("translations", Say("the section translations"), node, keys)
	if !ok {
		return nil
	}
	for _, k := range keys[len(others):] {
		if _, ok := b.values[k.name]; ok {
			o.reject(b.sub(k.name),
				Say("%s is not among the languages after the first, %s", quoted(k.name), s.Languages[0]),
				Say("write it into languages: [%s, …], or leave it out", s.Languages[0]))
		}
	}
	var all []Translation
	for _, lang := range others {
		all = append(all, b.translation(s, lang))
	}
	return all
}

// unlisted are the keys of a block that are languages, but not of the study.
func unlisted(node ast.Node, others []string) []key {
	var keys []key
	pairs, _ := pairsOf(node)
	for _, pair := range pairs {
		name := keyOf(pair.Key)
		if _, ok := spokenAs(name); ok && !slices.Contains(others, name) {
			keys = append(keys, optional(name))
		}
	}
	return keys
}

// keysOf are required keys that the study itself defines; example says how each
// is written.
func keysOf[T ~string](names []T, example string) []key {
	var keys []key
	for _, name := range names {
		if name != "" && !slices.ContainsFunc(keys, func(k key) bool { return k.name == string(name) }) {
			keys = append(keys, required(string(name), example, string(name)))
		}
	}
	return keys
}

func (o object) translation(s *Study, lang string) Translation {
	t := Translation{Language: lang}
	node, ok := o.value(lang)
	if !ok {
		return t
	}
	_, notes := s.AllergenUnion()
	b, ok := o.object(o.sub(lang), Say("the translation into %s", lang), node, []key{
		{"names", len(s.Names) > 0, Say("names: and each name by its id")},
		{"attributes", len(s.Attributes) > 0, Say("attributes: and the words of each by its id")},
		{"screening", len(ownScreens(s)) > 0, Say("screening: and each of the study's own questions by its id")},
		{"strata", len(askedStrata(s)) > 0, Say("strata: and each question to assessors by its id")},
		{"also contains", len(notes) > 0, Say("also contains: and each of its words")},
		required("texts", "texts: with consent: and instructions:"),
	})
	if !ok {
		return t
	}
	t.Names = b.translatedNames(s, lang)
	t.Attributes = b.translatedAttributes(s, lang)
	t.Screening = b.translatedScreens(s, lang)
	t.Strata = b.translatedStrata(s, lang)
	t.AlsoContains = b.translatedNotes(notes, lang)
	t.Texts = b.translatedTexts(s, lang)
	return t
}

// part returns a block of a translation whose keys the study defines. It reports
// false when there is nothing to read.
func (o object) part(name, lang string, keys []key) (object, bool) {
	node, ok := o.value(name)
	if !ok {
		return object{}, false
	}
	if len(keys) == 0 {
		o.reject(o.sub(name), Say("the study has no %q to translate", name), Say("leave it out"))
		return object{}, false
	}
	return o.object(o.sub(name), Say("%q in %s", name, lang), node, keys)
}

func (o object) translatedNames(s *Study, lang string) []Name {
	if !o.sound("names") {
		return nil
	}
	b, ok := o.part("names", lang, keysOf(nameIDs(s.Names), "%s: and how assessors read it in "+lang))
	if !ok {
		return nil
	}
	var names []Name
	seen := map[string]string{}
	for _, n := range s.Names {
		id := string(n.ID)
		text := b.text(id, maxLine)
		if first, ok := seen[fold(text)]; ok && text != "" {
			o.reject(b.sub(id), Say("the name %s is read like %s", quoted(text), quoted(first)),
				Say("write names that differ in more than case and spaces"))
		}
		seen[fold(text)] = text
		names = append(names, Name{ID: n.ID, Text: text})
	}
	return names
}

func (o object) translatedAttributes(s *Study, lang string) []AttributeWords {
	if !o.sound("attributes") {
		return nil
	}
	b, ok := o.part("attributes", lang, keysOf(attributeIDs(s.Attributes), "%s: with ask: and the words of its scale"))
	if !ok {
		return nil
	}
	var all []AttributeWords
	for _, a := range s.Attributes {
		words := AttributeWords{ID: a.ID}
		if node, ok := b.value(string(a.ID)); ok {
			b.attributeWords(&words, a.Scale, node, lang)
		}
		all = append(all, words)
	}
	return all
}

func (o object) attributeWords(w *AttributeWords, scale Scale, node ast.Node, lang string) {
	keys := []key{required("ask", "ask: and the question in %s", lang)}
	switch scale.Kind {
	case Line:
		keys = append(keys, required("line", "line: and the words for [%s, %s]", scale.Low, scale.High))
	case Categories, AboutRight:
		under := scale.labelsKey()
		keys = append(keys, required(under, "%s: and the words for its %d", under, len(scale.Labels)))
	case WordList:
		keys = append(keys, required(wordsKey, "words: and its %d words, in the same order",
			len(scale.Labels)))
	}
	b, ok := o.object(o.sub(string(w.ID)), Say("%q in %s", w.ID, lang), node, keys)
	if !ok {
		return
	}
	w.Ask = b.text("ask", maxLine)
	switch scale.Kind {
	case Line:
		w.Low, w.High = b.endWords()
	case Categories, AboutRight:
		w.Labels = b.labels(scale.labelsKey(), len(scale.Labels), len(scale.Labels))
	case WordList:
		w.Labels = b.words(len(scale.Labels), len(scale.Labels))
	case Hedonic9:
		w.Labels = hedonicLabels(lang)
	}
}

func (o object) translatedNotes(notes []string, lang string) []NoteWords {
	b, ok := o.part("also contains", lang, keysOf(notes, "%s: and its word in "+lang))
	if !ok {
		return nil
	}
	var all []NoteWords
	for _, note := range notes {
		all = append(all, NoteWords{Note: note, Text: b.text(note, maxLine)})
	}
	return all
}

// translatedTexts reads the texts that the first language has, and no other.
func (o object) translatedTexts(s *Study, lang string) Texts {
	node, ok := o.value("texts")
	if !ok {
		return Texts{}
	}
	keys := slices.Clone(textKeys)
	for i, k := range keys {
		keys[i].required = o.written("texts." + k.name)
		keys[i].example = Say("%s: and its words in %s", k.name, lang)
	}
	b, ok := o.object(o.sub("texts"), Say("%q in %s", "texts", lang), node, keys)
	if !ok {
		return Texts{}
	}
	for _, k := range keys {
		if b.written(b.sub(k.name)) && !k.required && o.sound("texts", "texts."+k.name) {
			o.reject(b.sub(k.name), Say("%q is not among the texts in %s", k.name, s.Languages[0]),
				Say("write it there too, or leave this line out"))
		}
	}
	return b.textsOf()
}
