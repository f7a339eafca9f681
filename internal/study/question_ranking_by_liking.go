package study

// RankingByLiking asks to put several servings in the order in which they are liked
// (ISO 8587).
const RankingByLiking Question = "ranking-by-liking"

var rankingByLiking = QuestionKind{
	ID:    RankingByLiking,
	Title: "In what order are they liked?",
	Asks:  "In what order do assessors like the samples?",
	ChooseIf: "Choose it when you have three to eight versions and want the best: everybody tastes all of them, " +
		"side by side, and puts them in order. It says which are liked more, not by how much.",
	Example:  "Four custards with different crusts: which do guests like most?",
	Response: RankAll, Servings: EverySample, Counts: putsInOrder,
	Ask: Wordings{
		"en": "Put these in order: the one you like most first.",
		"fr": "Classez-les : d’abord celui que vous préférez.",
		"de": "Bringen Sie sie in eine Reihenfolge: zuerst die Probe, die Ihnen am besten schmeckt.",
		"es": "Póngalas en orden: primero la que más le gusta.",
		"it": "Li metta in ordine: per primo quello che le piace di più.",
	},
	Samples: fewestRanked, MostSamples: mostRanked, WhyBlind: foodAlone, Designs: onlyAll,
	Sides: []Sides{TwoSided}, PlanKeys: rankingPlan, ShareAbove: 0.5, fits: rankingFits,
}
