package study

import "math"

// ScaleKind is the kind of response scale (ISO 4121).
type ScaleKind string

// The kinds of scale.
const (
	Line       ScaleKind = "line"       // continuous, 0 to 100 unless the study says otherwise, two end words
	Categories ScaleKind = "categories" // labelled, 1 to len(Labels) from the first
	Hedonic9   ScaleKind = "hedonic-9"  // Peryam & Pilgrim (1957), 1 = dislike extremely to 9 = like extremely
	WordList   ScaleKind = "words"      // a list, of which every word that fits is ticked: see [Scale.Ticks]
	Ticked     ScaleKind = "ticked"     // of one word of a list, and in no study file: 1 ticked, 0 not
)

// Scale is how an attribute is answered. Values are numbers: From to To in
// steps of [Scale.Step] on the phone for a line (files may hold any decimals),
// the rank of the label (1 = first) for categories and the hedonic scale. The
// zero Scale belongs to a question that is answered by choosing a serving.
type Scale struct {
	Kind   ScaleKind
	Low    string   // line: word at the low end
	High   string   // line: word at the high end
	From   float64  // line: value of the low end
	To     float64  // line: value of the high end; From and To both 0 mean 0 to 100
	Labels []string // categories: from 1 upwards; filled in for the hedonic scale; words of a list

	// Ticks are what the answers to the words of a list are written under, LIST.WORD, each a
	// [Ticked] one: the same in every language.
	Ticks []AttributeID
}

// The ends of a line that does not give its own.
const (
	lineFrom = 0
	lineTo   = 100
)

// Hedonic9Labels are the nine labels, from 1 to 9 (Peryam & Pilgrim 1957).
var Hedonic9Labels = [9]string{
	"dislike extremely", "dislike very much", "dislike moderately", "dislike slightly",
	"neither like nor dislike",
	"like slightly", "like moderately", "like very much", "like extremely",
}

// Min is the lowest value of the scale.
func (s Scale) Min() float64 {
	switch s.Kind {
	case Line:
		return s.From
	case Ticked:
		return 0
	}
	return 1
}

// Max is the highest value of the scale.
func (s Scale) Max() float64 {
	if s.Kind == Ticked {
		return 1
	}
	if s.Kind != Line {
		return float64(len(s.Labels))
	}
	if s.From == 0 && s.To == 0 {
		return lineTo
	}
	return s.To
}

// Step is the smallest move of the mark on a phone, in scale points: a
// hundredth of a line, one category otherwise.
func (s Scale) Step() float64 {
	if s.Kind == Line {
		return (s.Max() - s.Min()) / 100
	}
	return 1
}

// Holds reports whether v is a value of the scale: within its range, and a
// whole number unless the scale is a line.
func (s Scale) Holds(v float64) bool {
	if !(v >= s.Min() && v <= s.Max()) {
		return false
	}
	return s.Kind == Line || v == math.Trunc(v)
}
