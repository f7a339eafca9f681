package study

// RankingByAttribute asks to put several servings in the order of a named attribute (ISO 8587).
const RankingByAttribute Question = "ranking-by-attribute"

var rankingByAttribute = QuestionKind{
	ID:    RankingByAttribute,
	Title: "In what order, by how much of something?",
	Asks:  "In what order do assessors put the samples?",
	ChooseIf: "Choose it when you have three to eight versions and know what sets them apart: everybody puts them in " +
		"order, the one with most first.",
	Example:  "Five caramels, cooked darker and darker: in what order of bitterness do guests put them?",
	Response: RankAll, Servings: EverySample, Counts: putsInOrder,
	AskAs:   "Put these in order, the saltiest first.",
	Samples: fewestRanked, MostSamples: mostRanked, WhyBlind: foodAlone, Attributes: OneNamed, Designs: onlyAll,
	Sides: []Sides{TwoSided}, PlanKeys: []string{"smallest effect"}, ShareAbove: 0.5, fits: rankedOnce,
}

// What questions about an order have in common. Fewer than three are a pair, for which
// there are tests of two; more than eight are more than a palate keeps apart (common
// practice, no source).
const (
	putsInOrder  = "puts samples in an order"
	foodAlone    = "it asks about the food alone"
	fewestRanked = 3
	mostRanked   = 8
)

// rankedOnce refuses replicates: the tests of rankings take one order from each person.
func rankedOnce(r *reader, s *Study) {
	if s.Serving.Replicates > 1 && r.sound("serving.replicates") {
		r.reject("serving.replicates", "each assessor gives one order of all samples",
			"write replicates: 1, or leave the line out")
	}
}
