package study

// ScaleKind is the kind of response scale (ISO 4121).
type ScaleKind string

// The kinds of scale.
const (
	Line       ScaleKind = "line"       // continuous, 0 to 100, two end words
	Categories ScaleKind = "categories" // labelled, 1 to len(Labels) from the first
	Hedonic9   ScaleKind = "hedonic-9"  // Peryam & Pilgrim (1957), 1 = dislike extremely to 9 = like extremely
)

// Scale is how an attribute is answered. Values are numbers: 0 to 100 in steps
// of 1 on the phone for a line (files may hold decimals), the rank of the label
// (1 = first) for categories and the hedonic scale.
type Scale struct {
	Kind   ScaleKind
	Low    string   // line: word at 0
	High   string   // line: word at 100
	Labels []string // categories: from 1 upwards; filled in for the hedonic scale
}

// Hedonic9Labels are the nine labels, from 1 to 9 (Peryam & Pilgrim 1957).
var Hedonic9Labels = [9]string{
	"dislike extremely", "dislike very much", "dislike moderately", "dislike slightly",
	"neither like nor dislike",
	"like slightly", "like moderately", "like very much", "like extremely",
}

// Min is the lowest value of the scale.
func (s Scale) Min() float64 {
	if s.Kind == Line {
		return 0
	}
	return 1
}

// Max is the highest value of the scale.
func (s Scale) Max() float64 {
	if s.Kind == Line {
		return 100
	}
	return float64(len(s.Labels))
}

// Holds reports whether v is a value of the scale: within its range, and a
// whole number unless the scale is a line.
func (s Scale) Holds(v float64) bool {
	if !(v >= s.Min() && v <= s.Max()) {
		return false
	}
	return s.Kind == Line || v == float64(int(v))
}
