package study

// DuoTrio is the duo-trio test (ISO 10399): which of two servings is the reference.
const DuoTrio Question = "duo-trio"

var duoTrio = QuestionKind{
	ID:    DuoTrio,
	Title: "Which of two is the same as the first?",
	Asks:  "Can assessors tell the two samples apart?",
	ChooseIf: "Choose it when assessors know one of the samples well: it comes first, and they find it again " +
		"among two.",
	Example:  "Is the custard of the new oven the house custard?",
	Response: ChooseOne, Servings: 3, Counts: countsRight,
	Ask: Wordings{
		"en": "Which of the other two is the same as the first?",
		"fr": "Lequel des deux autres est identique au premier ?",
		"de": "Welche der beiden anderen Proben ist dieselbe wie die erste?",
		"es": "¿Cuál de las otras dos es igual a la primera?",
		"it": "Quale degli altri due è uguale al primo?",
	},
	Samples: 2, WhyBlind: nameTells, Reference: true, Designs: onlyAll, Sides: onlyGreater,
	Tells: true, PlanKeys: toldPlan, fits: toldFits,
}
