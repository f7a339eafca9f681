package study

import (
	"fmt"
	"strings"
)

// Contents are what somebody would eat: what has to be told before anybody tastes,
// and at any moment after. Every page, print and file that says what a tasting or a
// dish contains is made from one.
type Contents struct {
	Allergens []string   // in full words
	Named     []Allergen // the same by their ids
	Contains  []string   // notes beside them
	Alcohol   bool
}

// Contents are those of every dish together, in the study's first language.
func (s *Study) Contents() Contents {
	union, notes := s.AllergenUnion()
	c := Contents{Contains: notes, Alcohol: s.ServesAlcohol()}
	for _, a := range union {
		c.Allergens = append(c.Allergens, a.TextIn(s.offered()[0]))
	}
	c.Named = union
	return c
}

// Contents are those of one dish, in English.
func (d Dish) Contents() Contents { return d.ContentsIn(baseLanguage) }

// ContentsIn are those of one dish with the allergens in a language of [Spoken].
func (d Dish) ContentsIn(lang string) Contents {
	return Contents{Contains: d.AlsoContains, Alcohol: d.Alcohol, Named: inAnnexOrder(d.Allergens)}.In(lang)
}

// In are the contents with the allergens in a language of [Spoken].
func (c Contents) In(lang string) Contents {
	c.Allergens = nil
	for _, a := range c.Named {
		c.Allergens = append(c.Allergens, a.TextIn(lang))
	}
	return c
}

// Words are the contents in one line, in the language of Allergens but for what
// is said when there is nothing to name, and of alcohol.
func (c Contents) Words() string { return c.WordsIn(fmt.Sprintf) }

// WordsIn is [Contents.Words] with say for those words.
func (c Contents) WordsIn(say func(english string, values ...any) string) string {
	words := append(append([]string{}, c.Allergens...), c.Contains...)
	if c.Alcohol {
		words = append(words, say("alcohol"))
	}
	if len(words) == 0 {
		return say("none of the 14 named; check the labels")
	}
	return strings.Join(words, ", ")
}
