package study

// Preference is the paired preference test (ISO 5495): which of two servings is liked
// better. Its test may go both ways, and none may be chosen where the study says so.
const Preference Question = "preference"

var preference = QuestionKind{
	ID:    Preference,
	Title: "Which of two is liked better?",
	Asks:  "Which of the two samples do assessors like better?",
	ChooseIf: "Choose it when you have to decide between two recipes: everybody tastes both, side by side, and " +
		"says which one they like better.",
	Example:  "Which custard do guests like better, the plain one or the one with browned butter?",
	Response: ChooseOne, Servings: 2, Counts: "counts choices",
	Ask: Wordings{
		"en": "Which do you like better?",
		"fr": "Lequel préférez-vous ?",
		"de": "Was schmeckt Ihnen besser?",
		"es": "¿Cuál le gusta más?",
		"it": "Quale le piace di più?",
	},
	None: Wordings{
		"en": "No preference",
		"fr": "Pas de préférence",
		"de": "Beides gleich",
		"es": "Ninguna preferencia",
		"it": "Nessuna preferenza",
	},
	Samples: 2, WhyBlind: foodAlone, Designs: onlyAll, Sides: anySides,
	PlanKeys: []string{"compare", "smallest effect", "undecided"}, ShareAbove: 0.5,
	fits: func(r *reader, s *Study) {
		if s.Plan.Undecided == SplitUndecided && s.Serving.Replicates > 1 &&
			r.sound("analysis.undecided", "serving.replicates") {
			r.reject("analysis.undecided",
				Say("undecided answers cannot be split where each assessor is asked several times"),
				Say("write undecided: drop, or replicates: 1"))
		}
	},
}
