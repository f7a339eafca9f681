package study

import "fmt"

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
	Sides: []Sides{TwoSided}, PlanKeys: rankingPlan, ShareAbove: 0.5, fits: rankingFits,
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

var rankingPlan = []string{"smallest effect", "expected order"}

// rankingFits refuses replicates, for the tests of rankings take one order from each
// person, and an expected order that is none of all samples.
func rankingFits(r *reader, s *Study) {
	seen := map[SampleID]bool{}
	for i, id := range s.Plan.Expected {
		if path := fmt.Sprintf("analysis.expected order[%d]", i); seen[id] && id != "" && r.sound(path) {
			r.reject(path, Say("sample %s stands twice in the expected order", quoted(string(id))),
				Say("write each sample once"))
		}
		seen[id] = true
	}
	if n := len(s.Plan.Expected); n > 0 && n < len(s.Samples) && r.sound("analysis.expected order") {
		r.reject("analysis.expected order", Say("the expected order holds %d of the %d samples", n, len(s.Samples)),
			Say("write all of them, the one expected first first, or leave the line out"))
	}
	if s.Serving.Replicates > 1 && r.sound("serving.replicates") {
		r.reject("serving.replicates", Say("each assessor gives one order of all samples"),
			Say("write replicates: 1, or leave the line out"))
	}
}
