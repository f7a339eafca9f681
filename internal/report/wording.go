package report

import (
	"fmt"
	"regexp"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// wording is how a rating that moved is said: "was rated saltier".
type wording struct{ verb, more, less string }

var (
	askAdjective = regexp.MustCompile(`(?i)^how ([\p{L}-]+) (?:is|was|does|did) (?:it|this|that)(?: taste| seem| feel| smell| look)?( in the mouth| on the tongue)?\s*\?$`)
	askLiking    = regexp.MustCompile(`(?i)^how (?:much|well) (?:do|did) you like (?:it|this|that)(?: overall)?\s*\?$`)
)

// comparatives of the adjectives that tastings ask for; the rest take "more".
var comparatives = map[string]string{
	"salty": "saltier", "sweet": "sweeter", "sour": "more sour", "bitter": "more bitter",
	"creamy": "creamier", "smooth": "smoother", "crisp": "crisper", "crunchy": "crunchier",
	"soft": "softer", "hard": "harder", "firm": "firmer", "thick": "thicker", "thin": "thinner",
	"rich": "richer", "light": "lighter", "heavy": "heavier", "warm": "warmer", "hot": "hotter",
	"cold": "colder", "fresh": "fresher", "spicy": "spicier", "smoky": "smokier", "nutty": "nuttier",
	"fruity": "fruitier", "oily": "oilier", "juicy": "juicier", "dry": "drier", "moist": "moister",
	"strong": "stronger", "mild": "milder", "sharp": "sharper", "grainy": "grainier", "sticky": "stickier",
	"earthy": "earthier", "tender": "more tender", "tough": "tougher", "chewy": "chewier",
}

// wordingOf finds the words for an attribute in its question; a question of
// another form is quoted.
func wordingOf(a study.Attribute) wording {
	ask := strings.TrimSpace(a.Ask)
	if askLiking.MatchString(ask) {
		return wording{"was liked", "more", "less"}
	}
	if m := askAdjective.FindStringSubmatch(ask); m != nil && !isQuantity(m[1]) {
		adjective := strings.ToLower(m[1])
		more, ok := comparatives[adjective]
		if !ok {
			more = "more " + adjective
		}
		return wording{"was rated", more + m[2], "less " + adjective + m[2]}
	}
	return wording{"was rated", fmt.Sprintf("higher on “%s”", ask), fmt.Sprintf("lower on “%s”", ask)}
}

func isQuantity(word string) bool {
	switch strings.ToLower(word) {
	case "much", "many", "often", "well", "likely":
		return true
	}
	return false
}

// toward gives the words for a difference of this sign.
func (w wording) toward(difference float64) string {
	if difference < 0 {
		return w.less
	}
	return w.more
}

// contrast is how the two samples of a comparison are called in a sentence.
type contrast struct {
	subject string // begins a sentence: "Called X, the same dish"
	than    string // "than called Y"; "" when the study has no third sample
	short   [2]string
}

func contrastOf(s *study.Study, pair [2]study.SampleID) contrast {
	a, _ := s.Sample(pair[0])
	b, _ := s.Sample(pair[1])
	c := contrast{short: [2]string{analysis.Label(s, pair[0]), analysis.Label(s, pair[1])}}
	if a.Dish != b.Dish {
		c.subject, c.than = c.short[0], "than "+c.short[1]
		return c
	}
	c.subject = upperFirst(calling(s, a)) + ", the same dish"
	if len(s.Samples) > 2 {
		c.than = "than " + calling(s, b)
	}
	return c
}

func calling(s *study.Study, x study.Sample) string {
	if name := s.NameText(x.ID); name != "" {
		return "called " + name
	}
	return "served without a name"
}

func upperFirst(text string) string {
	for i, r := range text {
		return strings.ToUpper(string(r)) + text[i+len(string(r)):]
	}
	return text
}
