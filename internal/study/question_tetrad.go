package study

// Tetrad asks to sort four servings into two pairs that are alike.
const Tetrad Question = "tetrad"

var tetrad = QuestionKind{
	ID:       Tetrad,
	Title:    "Sort four into two pairs",
	Asks:     "Can assessors tell the two samples apart?",
	ChooseIf: "Choose it when a small difference is to be found with few people, and four servings are not too many.",
	Example:  "Do two creams from two dairies make two custards?",
	Response: SortIntoPairs, Servings: 4, Counts: countsRight,
	Ask: Wordings{
		"en": "Put these into two pairs, so that the two of a pair are alike.",
		"fr": "Formez deux paires : dans chaque paire, les deux échantillons se ressemblent.",
		"de": "Bilden Sie zwei Paare, sodass die beiden eines Paares gleich sind.",
		"es": "Forme dos parejas, de modo que las dos muestras de cada pareja se parezcan.",
		"it": "Formi due coppie, in modo che i due assaggi di ogni coppia si somiglino.",
	},
	Samples: 2, WhyBlind: nameTells, Designs: onlyAll, Sides: onlyGreater,
	Tells: true, PlanKeys: toldPlan, fits: toldFits,
}
