package study

// Triangle is the triangle test (ISO 4120): which of three servings is the odd one.
const Triangle Question = "triangle"

var triangle = QuestionKind{
	ID:    Triangle,
	Title: "Which of three is different?",
	Asks:  "Can assessors tell the two samples apart?",
	ChooseIf: "Choose it when you want to know whether a change is noticed at all, whatever it changes: two servings " +
		"are alike and one is not.",
	Example:  "Does anybody notice that the custard was made yesterday?",
	Response: ChooseOne, Servings: 3, Counts: countsRight,
	Ask: Wordings{
		"en": "Two of these are the same. Which one is different?",
		"fr": "Deux de ces échantillons sont identiques. Lequel est différent ?",
		"de": "Zwei davon sind gleich. Welche Probe ist anders?",
		"es": "Dos de estas muestras son iguales. ¿Cuál es distinta?",
		"it": "Due di questi assaggi sono uguali. Quale è diverso?",
	},
	Samples: 2, WhyBlind: nameTells, Designs: onlyAll, Sides: onlyGreater,
	Tells: true, PlanKeys: toldPlan, fits: toldFits,
}

// What difference tests have in common: two blind samples for everybody, and one
// side, because only more right answers than chance would give speak of a difference
// (ISO 4120, ISO 10399).
const (
	countsRight = "counts right answers"
	nameTells   = "a name would give the answer away"
)

var (
	onlyAll     = []Design{All}
	onlyGreater = []Sides{Greater}

	// toldPlan is what the plan of right answers may say.
	toldPlan = []string{"test", "smallest effect", "beta", "stop early"}
)
