package study

import (
	"math"

	"github.com/goccy/go-yaml/ast"
)

var scaleKeys = []key{
	{"line", false, Say("line: [not at all salty, extremely salty]")},
	optional("from"),
	optional("to"),
	{"categories", false, Say("categories: [thin, right, thick]")},
	{aboutRightKey, false, Say("about right: [not salty enough, about right, too salty]")},
	{wordsKey, false, Say("words: [smooth, grainy, salty]")},
}

// Bounds of a category scale: one category asks nothing, and beyond 15 nobody
// tells one label from the next (common practice, no source).
const (
	minLabels = 2
	maxLabels = 15
)

const howToScale = "write scale: {line: [not at all salty, extremely salty]}, scale: {categories: [thin, right, " +
	"thick]}, scale: {about right: [not salty enough, about right, too salty]} or scale: hedonic-9"

func (o object) scale(s *Study) Scale {
	node, ok := o.value("scale")
	path := o.sub("scale")
	switch {
	case !ok && o.sound(path) && s.Question.Kind().Attributes == SomeRated:
		o.reject(path, Say("an attribute has no \"scale\""), s.Question.howToScale())
		return Scale{}
	case !ok:
		return Scale{}
	}
	if _, isBlock := pairsOf(node); !isBlock {
		kind, ok := oneOf(o.reader, path, "a scale", node, []ScaleKind{Hedonic9})
		if !ok {
			return Scale{}
		}
		return Scale{Kind: kind, Labels: hedonicLabels(s.Languages[0])}
	}
	return o.scaleOfWords(path, node, s.Question)
}

// scaleOfWords reads a scale that says its words: a line, categories, about right or a list
// to tick.
func (o object) scaleOfWords(path string, node ast.Node, q Question) Scale {
	b, _ := o.object(path, Say("a scale"), node, scaleKeys)
	_, line := b.values["line"]
	_, categories := b.values["categories"]
	_, right := b.values[aboutRightKey]
	_, list := b.values[wordsKey]
	switch {
	case line && categories:
		o.reject(path, Say("a scale is both a line and categories"), Say("write one of the two"))
	case right && (line || categories):
		o.reject(path, Say("a scale is about right and something else"), Say("write one of the two"))
	case list && (line || categories || right):
		o.reject(path, Say("a scale is both a list of words and something else"), Say("write one of the two"))
	case list:
		return b.wordList(path, q)
	case line:
		return b.line()
	case categories:
		return b.categories()
	case right:
		return b.aboutRight()
	case !b.meant["line"] && !b.meant["categories"] && !b.meant[aboutRightKey] && !b.meant[wordsKey]:
		o.reject(path, Say("a scale is neither a line nor categories"), q.howToScale())
	}
	return Scale{}
}

func (o object) line() Scale {
	s := Scale{Kind: Line}
	s.Low, s.High = o.endWords()
	const most = 1e6
	allowed := Say("a number from -1000000 to 1000000")
	inRange := func(v float64) bool { return math.Abs(v) <= most }
	s.From = o.number("from", lineFrom, allowed, inRange)
	s.To = o.number("to", lineTo, allowed, inRange)
	if s.From >= s.To && o.sound(o.sub("from"), o.sub("to")) {
		o.reject(o.sub("to"), Say("the line runs from %s to %s", shortest(s.From), shortest(s.To)),
			Say("write a \"to\" above its \"from\""))
	}
	return s
}

// endWords reads the words at the ends of a line.
func (o object) endWords() (low, high string) {
	var words []string
	o.list("line", 2, 2, func(path string, node ast.Node) {
		words = append(words, o.reader.text(path, "an end word", node, maxWord))
	})
	if len(words) != 2 {
		return "", ""
	}
	if words[0] != "" && fold(words[0]) == fold(words[1]) {
		o.reject(o.sub("line")+"[1]", Say("both ends of the line have the same word"),
			Say("write two that differ, as in [not at all salty, extremely salty]"))
	}
	return words[0], words[1]
}

func (o object) categories() Scale {
	s := Scale{Kind: Categories}
	o.notOfLabels("categories count from 1")
	s.Labels = o.labels("categories", minLabels, maxLabels)
	return s
}

// notOfLabels refuses the numbers of a line on a scale of labels.
func (o object) notOfLabels(why string) {
	for _, name := range []string{"from", "to"} {
		if _, ok := o.values[name]; ok {
			o.reject(o.sub(name), Say("%q is for a line; %s", name, why), Say("write the scale without it"))
		}
	}
}

// labels reads lo to hi categories that differ, under a key.
func (o object) labels(under string, lo, hi int) []string {
	var labels []string
	seen := map[string]bool{}
	o.list(under, lo, hi, func(path string, node ast.Node) {
		label := o.reader.text(path, "a category", node, maxWord)
		if label != "" && seen[fold(label)] {
			o.reject(path, Say("the category %s is listed twice", quoted(label)),
				Say("write categories that differ"))
		}
		seen[fold(label)] = true
		labels = append(labels, label)
	})
	return labels
}
