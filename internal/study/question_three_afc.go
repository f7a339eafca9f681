package study

// ThreeAFC asks which of three servings has more of a named attribute; two of them
// are alike and have less.
const ThreeAFC Question = "3-afc"

var threeAFC = QuestionKind{
	ID:    ThreeAFC,
	Title: "Which of three has most of something?",
	Asks:  "Does the first sample have more of it than the second?",
	ChooseIf: "Choose it when you know which sample has more, and want to know whether that is tasted: guessing " +
		"helps less than among two.",
	Example:  "Is the smoked milk tasted in the custard?",
	Response: ChooseOne, Servings: 3, Counts: countsRight,
	AskAs:   "Which is saltiest?",
	Samples: 2, WhyBlind: nameTells, Attributes: OneNamed, Designs: onlyAll, Sides: onlyGreater,
	Tells: true, PlanKeys: append([]string{"compare"}, toldPlan...), fits: toldFits,
}
