package builder

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/studies"
)

// asking is a question in the kitchen's words, with what a study of it begins
// with and an example of one.
type asking struct {
	ID, Words, Meaning string
	Example            string // what the example asks
	Quick              bool   // it can be answered on the short road of quick start
	start, example     []byte
}

// askings are the questions that a study can begin with.
func askings() []asking {
	return []asking{
		{
			ID: "name", Quick: true, Words: "Does the name change how it tastes?",
			Meaning: "One dish under two names or more. The plates are the same; what is said with them differs.",
			Example: "One warm custard under two names: does it taste saltier as a crème brûlée?",
			start:   studies.StartName, example: studies.CeleriacCustard,
		},
		{
			ID: "rule", Quick: true, Words: "Does a kitchen rule hold?",
			Meaning: "One dish made with the rule and without it, served blind.",
			Example: "Custard base rested overnight or baked at once: is the rested one smoother?",
			start:   studies.StartRule, example: studies.RestedCustard,
		},
		{
			ID: "differ", Quick: true, Words: "How do these differ?",
			Meaning: "Two dishes or more, served blind, rated on several attributes.",
			Example: "Four celeriac custards: which do guests like best, and what sets it apart?",
			start:   studies.StartDiffer, example: studies.FourCustards,
		},
		{
			ID: "prefer", Quick: true, Words: "Which do they like better?",
			Meaning: "Two dishes or recipes, served blind and side by side. Everybody tastes both and chooses one.",
			Example: "Celeriac custard plain or with browned butter: which do guests like better?",
			start:   studies.StartPrefer, example: studies.BrownedButter,
		},
		{
			ID: "order", Words: "In what order do they like them?",
			Meaning: "Three to eight dishes or recipes, served blind and side by side. Everybody tastes all of " +
				"them and " +
				"puts them in order. To ask for something else, such as the saltiest first, choose that kind of " +
				"test later.",
			Example: "Four sugars for the crust of a celeriac custard: which do guests like most?",
			start:   studies.StartOrder, example: studies.FourCrusts,
		},
		{
			ID: "words", Words: "Which words fit?",
			Meaning: "Two dishes or more, served blind and one at a time. For each, everybody ticks every word of " +
				"your list " +
				"that fits.",
			Example: "Celeriac custard with cream, with milk and with oat cream: which words do guests have for each?",
			start:   studies.StartWords, example: studies.CustardInWords,
		},
		{
			ID: "right", Words: "Is it about right?",
			Meaning: "Two dishes or recipes, served blind. Beside how much they like each, guests say if it has too " +
				"little of something, too much, or is about right: what to change first, and if it matters.",
			Example: "Celeriac custard as on the menu or with a fifth less sugar: is it too sweet?",
			start:   studies.StartRight, example: studies.SweetEnough,
		},
		{
			ID: "alone", Words: "Is this one dish about right?",
			Meaning: "One dish by itself, when there is nothing to hold it against yet. Guests say how much they " +
				"like it, and if it has too little of something, too much, or is about right.",
			Example: "Celeriac custard as on the menu: is it sweet enough, and does it matter?",
			start:   studies.StartAlone, example: studies.SweetAlone,
		},
		{
			ID: "more", Words: "Which has more of something?",
			Meaning: "Two dishes or recipes, served blind and side by side: which is saltier, which is thicker.",
			Example: "Celeriac custard warmer or cooler: which is saltier?",
			start:   studies.StartMore, example: studies.SaltierOfTwo,
		},
		{
			ID: "tell", Words: "Can guests tell these two apart?",
			Meaning: "Three servings side by side, two of them alike: which one is different? It takes many more " +
				"people than asking for one thing by name.",
			Example: "Celeriac custard made today or yesterday: is it noticed?",
			start:   studies.StartTell, example: studies.MadeYesterday,
		},
		{
			ID: "pairs", Words: "Can a few people tell these two apart?",
			Meaning: "Four servings side by side, sorted into two pairs that are alike. For the same difference " +
				"it takes " +
				"about a third of the people that finding the odd one of three takes, and one serving more for each.",
			Example: "Celeriac custard with two creams: do they make two custards?",
			start:   studies.StartPairs, example: studies.TwoCreams,
		},
		{
			ID: "swap", Words: "Can we swap it without anybody noticing?",
			Meaning: "Three servings side by side, two of them alike. You say how many may notice at the most; it " +
				"is then " +
				"shown, or not, that fewer do. That no difference is found would not show it.",
			Example: "Celeriac custard with another cream: would so few notice that it passes?",
			start:   studies.StartSwap, example: studies.SwappedCream,
		},
		{
			ID: "much", Words: "How much of it should there be?",
			Meaning: "One dish with four to six amounts of one thing, such as salt, one after the other. Under a " +
				"name too, if you like: how much the name is worth.",
			Example: "Celeriac custard with 6 to 10 g of salt per litre: how much does a gram add?",
			start:   studies.StartMuch, example: studies.SaltByTheGram,
		},
		{
			ID: "worth", Words: "How much is the name worth, in grams?",
			Meaning: "One dish with four to six amounts of one thing, such as salt, served blind, and once more " +
				"under a name: the name makes it taste as much saltier as so many grams would.",
			Example: "Celeriac custard with 6 to 10 g of salt per litre: how many grams is “with sea salt” worth?",
			start:   studies.StartMuch, example: studies.SaltByTheGram,
		},
		{
			ID: "from", Words: "From how much can they taste it?",
			Meaning: "One dish without something, and with four to six rising amounts of it. Of every three servings " +
				"one has it, from the least amount to the most: which one?",
			Example: "Celeriac custard with 0.2 to 3.2 g of smoked salt per litre: from how much on is the smoke " +
				"tasted?",
			start: studies.StartFrom, example: studies.LittleSmoke,
		},
		{
			ID: "like", Words: "What is each of them like?",
			Meaning: "Three dishes or more, served blind, rated on several attributes by eight to twelve people " +
				"who have " +
				"practised together, better twice or three times each. It also tells you what your panel should " +
				"practise.",
			Example: "Four celeriac custards: which is smoky, which is sweet, and does our own panel agree?",
			start:   studies.StartProfile, example: studies.CustardProfile,
		},
	}
}

// newStudy is where a study begins.
type newStudy struct {
	site.Frame
	Askings []asking
	All     bool // with every question and example unfolded
}

var newScreen = site.DeskScreen[newStudy]("builder/new")

func (s *handlers) newStudy(c *gin.Context) error {
	return site.Show(s.Site, c, http.StatusOK, newScreen,
		newStudy{s.DeskFrame(c, "New study", nil), askings(), c.Query("all") != ""})
}

// withoutSeed takes the seed out of an example: whoever has a seed can draw the key.
func withoutSeed(file []byte) ([]byte, error) {
	t, problems := study.OpenText("example.yaml", file)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	err := t.Remove("serving.seed")
	return t.Bytes(), err
}

// begin makes a draft of what a question begins with, or of its example.
func (s *handlers) begin(c *gin.Context) error {
	for _, x := range askings() {
		file, detail := x.start, x.Words
		switch {
		case x.Quick && c.Request.PostForm.Get("quick") == x.ID:
			return s.beginQuick(c, x)
		case c.Request.PostForm.Get("question") == x.ID:
		case c.Request.PostForm.Get("example") == x.ID:
			file, detail = x.example, "the example of: "+x.Words
		default:
			continue
		}
		file, err := withoutSeed(file)
		if err != nil {
			return err
		}
		stored, err := s.Panel.Begin(c.Request.Context(), site.SessionOf(c), file, detail)
		if err != nil {
			return err
		}
		return site.SeeOther(c, "/studies/"+string(stored.ID)+"/edit/"+steps()[0].name)
	}
	return site.SeeOther(c, "/studies/new")
}
