package study

import (
	"fmt"
	"slices"
)

// What the format says about the values at paths, by the shapes of these.
var (
	// numberAt are read as numbers, or as numbers with a unit: what is typed as a
	// number is written without quotes.
	numberAt = []string{
		"cloche", "dishes[].serve at", "dishes[].amount", "attributes[].scale.from", "attributes[].scale.to",
		"panel.assessors", "analysis.stop after", "panel.sittings", "panel.seats", "panel.minimum age",
		"panel.withdrawal days",
		"serving.per assessor", "serving.replicates", "serving.most per sitting", "serving.spare codes",
		"serving.rinse", "serving.minutes at the pass", "serving.minutes of grace", "serving.seed",
		"analysis.alpha", "analysis.smallest effect", "analysis.beta",
		"analysis.wanted rating", "analysis.looks[]",
	}
	// flagAt are true or false.
	flagAt = []string{
		"invented", "dishes[].alcohol", "samples[].blind", "serving.blind first", "serving.keep dishes apart",
		"serving.expectation", "serving.expectation of half", "serving.show numbers", "serving.taste once",
		"serving.minimise",
		"serving.one question a screen", "serving.plate gate", "panel.tell result",
		"analysis.stop early",
	}
	// paragraphAt may hold paragraphs.
	paragraphAt = []string{"hypothesis"}
	// bracketsAt are written in one line, in brackets, when they are new.
	bracketsAt = []string{"attributes[].scale", "analysis.looks", "serving.strata[]"}
	// scalarOrBlock may be either.
	scalarOrBlock = []string{"attributes[].scale"}
	// emptyAt are lists that say something when they are empty.
	emptyAt = []string{"dishes[].allergens"}
)

func among(shapes []string, steps []step) bool { return slices.Contains(shapes, shape(steps)) }

func isParagraph(steps []step) bool {
	n := len(steps)
	return among(paragraphAt, steps) || n > 1 && steps[n-2].key == "texts" &&
		(n == 2 || n == 4 && steps[0].key == "translations")
}

// keysAt are the keys of the blocks at paths, in the order in which a
// file is written.
var keysAt = map[string][]key{
	"": studyKeys, "dishes[]": dishKeys, "names[]": nameKeys, "samples[]": sampleKeys,
	"attributes[]": attributeKeys, "attributes[].scale": scaleKeys,
	"panel": panelKeys, "panel.screening[]": screenKeys,
	"serving": servingKeys, "serving.strata[]": stratumKeys,
	"texts": textKeys, "analysis": analysisKeys,
}

// order are the keys of the block at a path in the order of keysAt.
func (t *Text) order(steps []step) []string {
	if len(steps) > 0 && steps[0].key == "translations" {
		return t.translationOrder(steps)
	}
	return keyList(keysAt[shape(steps)])
}

func (t *Text) translationOrder(steps []step) []string {
	if len(steps) == 1 {
		return t.List("languages")
	}
	if len(steps) == 2 {
		return []string{"names", "attributes", "screening", "strata", "also contains", "texts"}
	}
	switch part := steps[2].key; {
	case len(steps) == 4 && part == "attributes":
		return []string{"ask", "line", "categories", aboutRightKey, wordsKey}
	case len(steps) == 4 && part == "strata":
		return []string{"ask", "levels"}
	case len(steps) > 3:
		return nil
	case part == "texts":
		return keyList(textKeys)
	case part == "names", part == "attributes":
		return t.each(part, "id")
	case part == "screening":
		return t.each("panel.screening", "id")
	case part == "strata":
		return t.each("serving.strata", "id")
	case part == "also contains":
		return t.notes()
	}
	return nil
}

// each are the values of a key in every item of a list.
func (t *Text) each(list, key string) []string {
	var all []string
	for i := range t.Len(list) {
		all = append(all, t.Value(fmt.Sprintf("%s[%d].%s", list, i, key)))
	}
	return all
}

// notes are what the dishes contain beside allergens.
func (t *Text) notes() []string {
	var all []string
	for i := range t.Len("dishes") {
		all = append(all, t.List(writePath([]step{{"dishes", -1}, {"", i}, {"also contains", -1}}))...)
	}
	return all
}

func keyList(keys []key) []string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	return names
}
