package study

import (
	"strings"

	"github.com/goccy/go-yaml/ast"
)

const wordsKey = "words"

// Bounds of a list of words to tick. One word is a question of yes or no; longer lists than
// 25 are read from the top and tire (common practice, no source).
const (
	minTicked = 2
	maxTicked = 25
)

// howToScale is how the scale of an attribute is written.
func (q Question) howToScale() Said {
	if q.Response() == TickWords {
		return Say("write scale: {words: [smooth, grainy, salty]} for the list, or %s",
			Say(strings.TrimPrefix(howToScale, "write ")))
	}
	return Say(howToScale)
}

// wordList reads a list of words to tick. The path is that of the scale.
func (o object) wordList(path string, q Question) Scale {
	if q.Response() != TickWords && q.Kind().ID != "" {
		o.reject(path, Say("a list of words is ticked, and a %s test %s", q, Say(q.Kind().Counts)),
			Say("write question: %s, or a line or categories", string(ticking())))
		return Scale{}
	}
	o.notOfLabels("words are ticked or not")
	s := Scale{Kind: WordList, Labels: o.words(minTicked, maxTicked)}
	s.Ticks = ticksOf(s.Labels)
	if len(s.Labels) < minTicked {
		return Scale{}
	}
	return s
}

// words reads lo to hi words to tick, no two of which are written alike in tables.
func (o object) words(lo, hi int) []string {
	var words []string
	seen := map[string]string{}
	o.list(wordsKey, lo, hi, func(path string, node ast.Node) {
		word := o.reader.text(path, "a word", node, maxWord)
		id := tickOf(word)
		switch first, twice := seen[id]; {
		case word == "":
		case id == "":
			o.reject(path, Say("the word %s has no letter that tables can hold", quoted(word)),
				Say("write it with a letter from a to z"))
		case twice && fold(first) == fold(word):
			o.reject(path, Say("the word %s is in the list twice", quoted(word)), Say("write each word once"))
		case twice:
			o.reject(path, Say("the words %s and %s are both %s in tables", quoted(first), quoted(word), quoted(id)),
				Say("write words that differ in more than signs, or keep one"))
		}
		seen[id] = word
		words = append(words, word)
	})
	return words
}

// tickOf is a word as tables have it.
func tickOf(word string) string { return slug(strings.ToLower(word)) }

// ticksOf are the words of a list as tables have them, without the list in front.
func ticksOf(words []string) []AttributeID {
	var ids []AttributeID
	for _, w := range words {
		ids = append(ids, AttributeID(tickOf(w)))
	}
	return ids
}
