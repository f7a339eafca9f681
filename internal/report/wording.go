package report

import (
	"fmt"
	"regexp"
	"strings"

	"cloche/internal/study"
)

// wording is how a rating that moved is said: "was rated saltier".
type wording struct{ verb, more, less string }

var (
	askAdjective = regexp.MustCompile(`(?i)^how ([\p{L}-]+) (?:is|was|does|did) (?:it|this|that)` +
		`(?: taste| seem| feel| smell| look)?( in the mouth| on the tongue)?\s*\?$`)
	askLiking = regexp.MustCompile(`(?i)^how (?:much|well) (?:do|did) you like (?:it|this|that)(?: overall)?\s*\?$`)
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

// movedWords are the words for a difference of this sign, with their verb.
func movedWords(a study.Attribute, difference float64) worded {
	w := wordingOf(a)
	higher, lower := study.Say("was rated higher on “%s”", strings.TrimSpace(a.Ask)),
		study.Say("was rated lower on “%s”", strings.TrimSpace(a.Ask))
	if w.verb == "was liked" {
		higher, lower = study.Say("was liked more"), study.Say("was liked less")
	}
	if difference < 0 {
		higher = lower
	}
	return worded{higher, w.verb + " " + w.toward(difference)}
}
