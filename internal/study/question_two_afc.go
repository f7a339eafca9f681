package study

// TwoAFC is the paired comparison (ISO 5495): which of two servings has more of a
// named attribute. Its test may go both ways.
const TwoAFC Question = "2-afc"

var twoAFC = QuestionKind{
	ID:    TwoAFC,
	Title: "Which of two has more of something?",
	Asks:  "Does one of the two samples have more of it?",
	ChooseIf: "Choose it when you know what a change should do, and want to know whether it is tasted: which is " +
		"saltier, which is thicker.",
	Example:  "Does warmer custard taste saltier?",
	Response: ChooseOne, Servings: 2, Counts: countsRight,
	AskAs:   "Which is saltier?",
	Samples: 2, WhyBlind: nameTells, Attributes: OneNamed, Designs: onlyAll, Sides: anySides,
	PlanKeys: []string{"compare"},
}
