package study

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Remark is something to look at in a study that is sound. Code is stable.
type Remark struct {
	Code string
	Text Said   // what there is, and what to do
	Path string // of the value it is about, as in [Problem]
}

// The codes of remarks on names.
const (
	RemarkLength    = "name-length"            // a name is much longer than another
	RemarkPrice     = "name-price"             // a price in some names, not in others
	RemarkOrigin    = "name-origin"            // likewise a place
	RemarkNumber    = "name-number"            // likewise a number or weight
	RemarkClaim     = "name-claim"             // the dish does not meet what the name claims
	RemarkFreeFrom  = "name-free-from"         // a claim that the list of allergens cannot bear out
	RemarkSugar     = "name-sugar-free"        // a nutrition claim
	RemarkUnlisted  = "name-allergen-unlisted" // the name says an allergen that is not listed
	RemarkHidden    = "name-allergen-hidden"   // the name promises something else than an allergen that is listed
	RemarkAlcohol   = "name-alcohol-unlisted"  // the name says a drink, and the dish is without alcohol
	RemarkProtected = "name-protected"         // a registered name
	RemarkCertified = "name-certified"         // a claim that needs a certificate
)

// lawOnNames follows Regulation (EU) No 1169/2011, article 7.
const lawOnNames = " Food-information law forbids misleading names in sale; check your local rules."

// longerNameByTimes is how much longer than another a name may be; our own rule.
const longerNameByTimes = 2

// NameRemarks looks at the names of a study, in every language: whether they
// differ in more than their words, so that a comparison would not be one of the
// words; and whether a dish meets what its name says. Nothing here is refused:
// lists of words know neither the kitchen nor the law. A study without remarks
// has not been found to be safe or lawful.
//
// What makes names comparable is common practice, no source; so is twice as long.
func NameRemarks(s *Study) []Remark {
	all := nameRemarksIn(s, s.offered()[0], s.Names, func(i int) string { return fmt.Sprintf("names[%d].text", i) })
	for _, t := range s.Translations {
		all = append(all, nameRemarksIn(s, t.Language, t.Names, func(i int) string {
			return fmt.Sprintf("translations.%s.names.%s", t.Language, t.Names[i].ID)
		})...)
	}
	return all
}

// namePlaced is a name in one language, read, with the dishes served under it.
type namePlaced struct {
	text   string
	path   string
	read   *nameRead
	dishes []Dish
}

func nameRemarksIn(s *Study, lang string, names []Name, path func(int) string) []Remark {
	var placed []namePlaced
	for i, n := range names {
		if strings.TrimSpace(n.Text) == "" {
			continue
		}
		p := namePlaced{text: n.Text, path: path(i), read: readName(n.Text, lang)}
		for _, d := range s.Dishes {
			if slices.ContainsFunc(s.Samples,
				func(x Sample) bool { return x.Name == n.ID && x.Dish == d.ID && d.ID != "" }) {
				p.dishes = append(p.dishes, d)
			}
		}
		placed = append(placed, p)
	}
	all := unlikeNames(placed)
	for _, p := range placed {
		for _, d := range p.dishes {
			all = append(all, p.claims(d)...)
			all = append(all, p.contents(d)...)
		}
		all = append(all, p.guarded()...)
	}
	return all
}

// unlikeNames finds names that differ in more than their words.
func unlikeNames(names []namePlaced) []Remark {
	if len(names) < 2 {
		return nil
	}
	all := longerNames(names)
	for _, kind := range []struct {
		code, what string
		says       func(namePlaced) (string, bool)
	}{
		{RemarkPrice, "a price", namePlaced.price},
		{RemarkOrigin, "a place or origin", func(n namePlaced) (string, bool) { return n.read.has(saysOrigin) }},
		{RemarkNumber, "a number", namePlaced.number},
	} {
		without := slices.IndexFunc(names, func(n namePlaced) bool {
			_, says := kind.says(n)
			return !says
		})
		if without < 0 {
			continue
		}
		for _, n := range names {
			if words, ok := kind.says(n); ok {
				all = append(all, Remark{kind.code, Say("%s says %s (%s), %s does not: the difference may "+
					"come from that alone. Write it into every name or into none, or name it in the hypothesis.",
					quoted(n.text), Say(kind.what), words, quoted(names[without].text)), n.path})
			}
		}
	}
	return all
}

func longerNames(names []namePlaced) []Remark {
	shortest := slices.MinFunc(names, func(a, b namePlaced) int { return a.letters() - b.letters() })
	var all []Remark
	for _, n := range names {
		if l, s := n.letters(), shortest.letters(); s > 0 && l > longerNameByTimes*s {
			all = append(all, Remark{RemarkLength, Say("%s has %s in %s, %s has %s in %s: a name more than "+
				"twice as long says more by its length alone. Write names of about one length, or name it in the "+
				"hypothesis.",
				quoted(n.text), count(l, "letter"), count(len(n.read.words), "word"), quoted(shortest.text),
				count(s, "letter"), count(len(shortest.read.words), "word")), n.path})
		}
	}
	return all
}

func (n namePlaced) letters() int {
	letters := 0
	for _, w := range n.read.words {
		letters += utf8.RuneCountInString(norm.NFC.String(n.text[w.from:w.to]))
	}
	return letters
}

// price finds an amount of money.
func (n namePlaced) price() (string, bool) {
	if i := strings.IndexAny(n.text, "€$£¥"); i >= 0 {
		return string([]rune(n.text[i:])[:1]), true
	}
	return n.read.has(saysMoney)
}

// number finds a number that is no price.
func (n namePlaced) number() (string, bool) {
	if _, isPrice := n.price(); isPrice {
		return "", false
	}
	return n.read.has(saysNumber)
}

// guarded finds names and claims that not everyone may use.
func (n namePlaced) guarded() []Remark {
	var all []Remark
	if words, ok := n.read.has(saysProtected); ok {
		all = append(all, Remark{RemarkProtected, Say("%s may be a protected name, as a list from memory has "+
			"it. Look it up in the registers of the European Union and the United Kingdom; unless the dish holds the "+
			"registered product, write another name.%s",
			quoted(words), Say(lawOnNames)), n.path})
	}
	if words, ok := n.read.has(saysCertified); ok {
		all = append(all, Remark{RemarkCertified,
			Say("%s is a claim for certified food. Write it only if kitchen and ingredients hold the "+
				"certificate.%s", quoted(words), Say(lawOnNames)), n.path})
	}
	return all
}
