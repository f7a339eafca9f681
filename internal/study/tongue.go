package study

import "slices"

// tongue is what the program itself can say to assessors in one language. Each
// stands in a file of its own; the words of questions stand with the question, the
// words of pages in package words.
type tongue struct {
	tag       string
	inEnglish string   // what English calls it
	called    []string // what people call it, in small letters

	// allergens are the groups of Regulation (EU) No 1169/2011, Annex II, in the order
	// of [Allergens], in the words that the Annex has in the language, shortened as the
	// English ones are. “Including celeriac” is our own addition. The English ones
	// stand in [Allergens].
	allergens [14]string

	// hedonic are the labels of the 9-point hedonic scale from 1 to 9. Only the English
	// ones are those of Peryam & Pilgrim (1957). The others are our own translations
	// (common practice, no source): nobody has shown that their steps are as even, and
	// that a mean in one language is a mean in another.
	hedonic [9]string

	last    lastWords                 // of what is asked after the last plate
	screens map[string]string         // of [StockScreens]
	terms   map[AttributeID]termWords // of [Vocabulary]
}

// tongues are all of them. The first is for whoever speaks none.
var tongues = []*tongue{&english, &french, &german, &spanish, &italian}

// Spoken are the languages that assessors can be addressed in: those in which
// the program knows the words of allergens, of the hedonic scale and of its
// pages. A study may narrow one to a region, as in fr-CA.
var Spoken = tagsOf(tongues)

func tagsOf(tongues []*tongue) []string {
	tags := make([]string, len(tongues))
	for i, t := range tongues {
		tags[i] = t.tag
	}
	return tags
}

// tongueOf is the tongue of a language, with or without a region; the first of all
// for a language that is not [Spoken].
func tongueOf(lang string) *tongue {
	base, _ := spokenAs(lang)
	return tongues[max(0, slices.Index(Spoken, base))]
}

// meantLanguage is the tag of the language that people call so, or "".
func meantLanguage(called string) string {
	for _, t := range tongues {
		if slices.Contains(t.called, called) {
			return t.tag
		}
	}
	return ""
}

// LanguageName is what English calls a language, with the region of its tag; the tag
// itself for a language that is not [Spoken].
func LanguageName(tag string) string {
	base, spoken := spokenAs(tag)
	switch {
	case !spoken:
		return tag
	case base != tag:
		return tongueOf(tag).inEnglish + " (" + tag + ")"
	}
	return tongueOf(tag).inEnglish
}

// TextIn returns the full words of the allergen in one of the languages of
// [Spoken], with or without a region; in English for any other.
func (a Allergen) TextIn(lang string) string {
	for i, text := range tongueOf(lang).allergens {
		if Allergens[i].ID == a && text != "" {
			return text
		}
	}
	return a.Text()
}

// hedonicLabels returns the labels of the hedonic scale in a language of
// [Spoken]; in English for any other.
func hedonicLabels(lang string) []string { return slices.Clone(tongueOf(lang).hedonic[:]) }
