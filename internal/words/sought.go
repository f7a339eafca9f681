package words

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Sought parts a text or a query into the words by which one is looked for in the other: in small
// letters, without accents, as keyboards without œ, æ and ß write them.
func Sought(s string) []string {
	between := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	return strings.FieldsFunc(parted.Replace(strings.ToLower(plainLetters(s))), between)
}

var parted = strings.NewReplacer("œ", "oe", "æ", "ae", "ß", "ss")

// plainLetters takes the accents from a text.
func plainLetters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(s))
}
