package study

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// nameWord is a word of a name: where it stands in it, in bytes, and how it is
// compared.
type nameWord struct {
	from, to int
	folded   string
}

var nameWordPattern = regexp.MustCompile(`[\pL\pN\pM]+`)

// wordsOfName splits a name at whatever is no letter and no digit. A text that is
// too long to be a name, which half-done files may hold, has none.
func wordsOfName(name string) []nameWord {
	if utf8.RuneCountInString(name) > maxLine {
		return nil
	}
	var words []nameWord
	for _, at := range nameWordPattern.FindAllStringIndex(name, -1) {
		words = append(words, nameWord{at[0], at[1], unaccented(name[at[0]:at[1]])})
	}
	return words
}

var ligatures = strings.NewReplacer("œ", "oe", "æ", "ae", "ß", "ss")

// unaccented is a word in small letters without accents and ligatures.
func unaccented(s string) string {
	s = norm.NFKD.String(strings.ToLower(s))
	s = strings.Map(func(r rune) rune {
		if unicode.IsMark(r) {
			return -1
		}
		return r
	}, s)
	return ligatures.Replace(s)
}

// phrase is one or several words to be looked for. A word may begin or end with
// "*", which stands for any letters: German writes compounds. With a language it
// is looked for in names in that language alone, since elsewhere it is another
// word (the Italian for sun is a fish in English).
type phrase struct {
	lang  string
	words []string
}

// phrases reads a list such as "oat milk, lait d avoine, it:burro".
func phrases(list string) []phrase {
	var all []phrase
	for _, item := range strings.Split(list, ",") {
		item = strings.TrimSpace(item)
		lang, words, ok := strings.Cut(item, ":")
		if !ok {
			lang, words = "", item
		}
		all = append(all, phrase{lang, strings.Fields(words)})
	}
	return all
}

// at reports whether the phrase begins at the i-th of the words of a name in a
// language.
func (p phrase) at(words []nameWord, i int, lang string) bool {
	if i+len(p.words) > len(words) || p.lang != "" && p.lang != lang {
		return false
	}
	for k, w := range p.words {
		if !fits(w, words[i+k].folded) {
			return false
		}
	}
	return true
}

func fits(pattern, word string) bool {
	if stem, ok := strings.CutSuffix(pattern, "*"); ok {
		return strings.HasPrefix(word, stem)
	}
	if stem, ok := strings.CutPrefix(pattern, "*"); ok {
		return strings.HasSuffix(word, stem)
	}
	return word == pattern
}

// nameRead is what a name says of what is in the dish.
type nameRead struct {
	name  string
	lang  string
	words []nameWord
	taken []bool // words that belong to a phrase that was understood

	says    []mention // that the dish holds something
	instead []mention // that it holds something else in place of an allergen
	free    []mention // that it holds none of something
}

// mention is what words of a name say. Of is an allergen, or one of ofAlcohol and
// ofSugar.
type mention struct {
	words string
	of    Allergen
}

// What free-from claims speak of beside allergens.
const (
	ofAlcohol Allergen = "alcohol"
	ofSugar   Allergen = "sugar"
)

// readName finds what a name says: first the phrases that mean something else
// than their words, then what is said to be left out, then single words.
func readName(name, lang string) *nameRead {
	base, _ := spokenAs(lang)
	n := &nameRead{name: name, lang: base, words: wordsOfName(name)}
	n.taken = make([]bool, len(n.words))
	for _, p := range phrasesApart {
		for _, ph := range p.phrases {
			n.each(ph, func(words string) {
				for _, a := range p.says {
					n.says = append(n.says, mention{words, a})
				}
				if p.instead != "" {
					n.instead = append(n.instead, mention{words, p.instead})
				}
			})
		}
	}
	n.readFree()
	for _, m := range meanings {
		for _, ph := range m.phrases {
			n.each(ph, func(words string) { n.says = append(n.says, mention{words, m.of}) })
		}
	}
	return n
}

// each calls f with each place of a phrase of which no word is taken yet, and
// takes its words.
func (n *nameRead) each(p phrase, f func(words string)) {
	for i := range n.words {
		if p.at(n.words, i, n.lang) && !slices.Contains(n.taken[i:i+len(p.words)], true) {
			for k := range p.words {
				n.taken[i+k] = true
			}
			f(n.shown(i, i+len(p.words)))
		}
	}
}

// shown returns words of the name as they are written there.
func (n *nameRead) shown(from, to int) string { return n.name[n.words[from].from:n.words[to-1].to] }

// has returns the words of the name that are one of the phrases.
func (n *nameRead) has(list []phrase) (words string, ok bool) {
	for _, p := range list {
		for i := range n.words {
			if p.at(n.words, i, n.lang) {
				return n.shown(i, i+len(p.words)), true
			}
		}
	}
	return "", false
}

var (
	freeBefore = phrases("without, no, free from, free of, sans, ohne, frei von, sin, libre de, senza, privo di, " +
		"priva di")
	freeGerman  = regexp.MustCompile(`^(.+)frei(e[rnms]?)?$`)
	afterFree   = []string{"from", "of", "von", "range"} // "free" speaks of what follows, or of hens
	joinsClaims = []string{"and", "or", "any", "et", "ni", "ou", "und", "oder", "y", "o", "e", "ne", "de", "di", "d",
		"des"}
)

// readFree finds "gluten-free", "without milk", "glutenfrei", "sans gluten ni
// lactose" and the like.
func (n *nameRead) readFree() {
	for i, w := range n.words {
		if w.folded == "free" || w.folded == "frei" {
			n.freeBackFrom(i)
		} else if m := freeGerman.FindStringSubmatch(w.folded); m != nil && n.claims(m[1], n.shown(i, i+1)) {
			n.taken[i] = true
		}
		for _, p := range freeBefore {
			if p.at(n.words, i, n.lang) {
				n.freeOnFrom(i, i+len(p.words))
			}
		}
	}
}

// freeBackFrom reads the words before "free", as in "gluten- and dairy-free".
func (n *nameRead) freeBackFrom(i int) {
	if i+1 < len(n.words) && slices.Contains(afterFree, n.words[i+1].folded) {
		return
	}
	for k := i - 1; k >= 0; k-- {
		if k < i-1 && slices.Contains(joinsClaims, n.words[k].folded) {
			continue
		}
		claim := n.shown(k, k+1) + "-" + n.shown(i, i+1)
		if k == i-1 {
			claim = n.shown(k, i+1)
		}
		if !n.claims(n.words[k].folded, claim) {
			return
		}
		n.taken[k] = true
	}
}

// freeOnFrom reads the words after "without" and the like.
func (n *nameRead) freeOnFrom(marker, i int) {
	for k := i; k < len(n.words); k++ {
		if slices.Contains(joinsClaims, n.words[k].folded) {
			continue
		}
		claim := n.shown(marker, i) + " " + n.shown(k, k+1)
		if !n.claims(n.words[k].folded, claim) {
			return
		}
		n.taken[k] = true
	}
}

// claims notes that a name says to be free of what a word means. It reports
// whether the word means anything here.
func (n *nameRead) claims(word, claim string) bool {
	one, found := []nameWord{{folded: word}}, false
	for _, list := range [][]meaning{freeWords, meanings} {
		for _, m := range list {
			for _, p := range m.phrases {
				if !found && len(p.words) == 1 && p.at(one, 0, n.lang) {
					n.free = append(n.free, mention{claim, m.of})
					for _, also := range m.also {
						n.free = append(n.free, mention{claim, also})
					}
					found = true
				}
			}
		}
	}
	return found
}
