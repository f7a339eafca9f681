package study

import (
	"fmt"

	"github.com/google/jsonschema-go/jsonschema"
)

// Schema is the JSON Schema (draft 2020-12) of a study file, for editors that complete
// and check a file while it is written. It holds the keys of every block, what is written
// under each, and the bounds; what several keys say together only [Parse] knows, so that a
// file that fits the schema may still hold mistakes, and none that [Parse] takes is refused.
func Schema() *jsonschema.Schema {
	s := blockShape(studyKeys, map[string]*jsonschema.Schema{
		"cloche":     {Const: new(any(FormatVersion)), Description: "The version of the format; the first line."},
		"title":      lineOf("What is asked, in a line; never shown to who tastes or serves."),
		"question":   oneWordOf("What is asked of the panel.", Questions()),
		"hypothesis": paragraphOf("What you expect, written down before the first plate."),
		"invented":   flagOf("The ratings are invented, as in an example; every page says so."),
		"languages": itemsOf(1, maxLanguages, lineOf(""),
			"Tags of the languages of the guests' pages, the study's own first."),
		"amounts in":   lineOf("What is counted in a series of amounts, as in “g of salt per litre”."),
		"dishes":       itemsOf(1, maxDishes, dishShape(), "What is cooked."),
		"names":        itemsOf(1, maxNames, nameShape(), "Under which names it is served."),
		"samples":      itemsOf(1, maxSamples, sampleShape(), "A dish under a name, or blind."),
		"attributes":   itemsOf(1, maxAttributes, attributeShape(), "What is asked of every serving."),
		"panel":        panelShape(),
		"serving":      servingShape(),
		"texts":        textsShape(),
		"analysis":     analysisShape(),
		"translations": {Type: "object", Description: "What guests read, by language after the first."},
	})
	s.Schema = "https://json-schema.org/draft/2020-12/schema"
	s.Title = "Study file of Cloche"
	return s
}

// blockShape is a block of "key: value" lines: the required ones are those that every
// study has to write.
func blockShape(keys []key, values map[string]*jsonschema.Schema) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: values,
		AdditionalProperties: &jsonschema.Schema{Not: &jsonschema.Schema{}}}
	for _, k := range keys {
		s.PropertyOrder = append(s.PropertyOrder, k.name)
		if k.required {
			s.Required = append(s.Required, k.name)
		}
	}
	return s
}

func dishShape() *jsonschema.Schema {
	var known []Allergen
	for _, a := range Allergens {
		known = append(known, a.ID)
	}
	return blockShape(dishKeys, map[string]*jsonschema.Schema{
		"id":       idOf("A short word by which the rest of the file speaks of the dish."),
		"title":    lineOf("What the kitchen calls it."),
		"amount":   {Type: "number", Minimum: new(0.0), Description: "How much is in it, in a series of amounts."},
		"portion":  textOfUpTo(maxWord, "How much is served, as in 60 g."),
		"serve at": {Type: "string", Pattern: `^\s*[+−-]?\d+(\.\d+)? ?°C\s*$`, Description: "As in 55 °C."},
		"allergens": itemsOf(0, len(known), oneWordOf("", known),
			"Which of the 14 of the European Union's list it holds."),
		"also contains": itemsOf(1, maxNotes, lineOf(""),
			"What else a guest may want to know of, such as spelt."),
		"alcohol": flagOf("It holds alcohol."),
	})
}

func nameShape() *jsonschema.Schema {
	return blockShape(nameKeys, map[string]*jsonschema.Schema{
		"id":   idOf("A short word for the name."),
		"text": lineOf("The name as the guest reads it."),
	})
}

func sampleShape() *jsonschema.Schema {
	return blockShape(sampleKeys, map[string]*jsonschema.Schema{
		"id":    idOf("As in A."),
		"dish":  idOf("The id of a dish."),
		"name":  idOf("The id of a name."),
		"blind": flagOf("It is served without a name."),
	})
}

func attributeShape() *jsonschema.Schema {
	scale := blockShape(scaleKeys, map[string]*jsonschema.Schema{
		"line": itemsOf(2, 2, textOfUpTo(maxWord, ""), "The words at its two ends."),
		"from": {Type: "number", Description: "The value of its first end; 0 where it is not said."},
		"to":   {Type: "number", Description: "The value of its last end; 100 where it is not said."},
		"categories": itemsOf(minLabels, maxLabels, textOfUpTo(maxWord, ""),
			"The answers, from least to most; the first counts 1."),
		aboutRightKey: itemsOf(fewestOfAboutRight, mostOfAboutRight, textOfUpTo(maxWord, ""),
			"Three answers or five from too little to too much; counted, never averaged."),
		wordsKey: itemsOf(minTicked, maxTicked, textOfUpTo(maxWord, ""),
			"Words of which guests tick every one that fits."),
	})
	return blockShape(attributeKeys, map[string]*jsonschema.Schema{
		"id":  idOf("As in saltiness."),
		"ask": lineOf("The question as the guest reads it."),
		"scale": {AnyOf: []*jsonschema.Schema{oneWordOf("Nine answers from dislike to like.", []ScaleKind{Hedonic9}),
			scale}},
	})
}

func panelShape() *jsonschema.Schema {
	screen := blockShape(screenKeys, map[string]*jsonschema.Schema{
		"id":         idOf("One of the program's own questions, or a short word."),
		"ask":        lineOf("The question as the guest reads it."),
		"leaves out": oneWordOf("The answer that leaves a guest out.", replies),
	})
	return blockShape(panelKeys, map[string]*jsonschema.Schema{
		"assessors": wholeFrom(1, maxAssessors, "How many people taste."),
		"sittings": wholeFrom(1, maxSittings,
			"On how many occasions each of them does; 1 where it is not said."),
		"seats":           wholeFrom(1, maxAssessors, "How many can taste at once."),
		"minimum age":     wholeFrom(minAge, maxAge, "In years."),
		"withdrawal days": wholeFrom(0, maxWithdrawal, "For how long after the close answers can be deleted."),
		"tell result":     flagOf("Guests read on their phones, after the close, what was found."),
		"last question":   oneWordOf("What is asked after the last plate, before anything is told.", lastQuestions),
		"screening":       itemsOf(1, maxScreens, screen, "What is asked before the first plate, and who is left out."),
	})
}

func servingShape() *jsonschema.Schema {
	stratum := blockShape(stratumKeys, map[string]*jsonschema.Schema{
		"id":     idOf("As in guest."),
		"ask":    lineOf("The question as the guest reads it; left out where floor or the lead knows."),
		"levels": itemsOf(2, maxLevels, textOfUpTo(maxWord, ""), "Its answers."),
	})
	return blockShape(servingKeys, map[string]*jsonschema.Schema{
		"design":                oneWordOf("How many of the samples each guest gets.", designs),
		"per assessor":          wholeFrom(2, maxSamples, "How many samples each guest gets where the design is some."),
		"replicates":            wholeFrom(1, maxReplicates, "How often each of them; 1 where it is not said."),
		"warm-up":               idOf("The sample that is served first and not counted."),
		"fixed reference":       idOf("The sample that is marked as the reference."),
		"reference":             oneWordOf("Which sample is the reference of a duo-trio.", references),
		"blind first":           flagOf("Blind servings come before named ones."),
		"keep dishes apart":     flagOf("The same dish is not served twice in a row."),
		"expectation":           flagOf("Names are read and rated before the first plate."),
		"expectation of half":   flagOf("A random half of the panel reads them, the other half does not."),
		"attributes":            oneWordOf("In what order questions stand.", attributeOrders),
		"show numbers":          flagOf("Guests see the value of their mark."),
		"one question a screen": flagOf("Phones show the questions about a serving one by one."),
		"taste once":            flagOf("Plates of a tray are not to be tasted again."),
		"tray opens":            oneWordOf("Which codes open a tray without a network.", trayOpenings),
		"most per sitting": wholeFrom(1, maxSamples*maxReplicates,
			"At most so many servings for one guest at a sitting."),
		"codes":       oneWordOf("Whether every serving has a code of its own.", codePolicies),
		"spare codes": wholeFrom(0, maxSpares, "Codes kept for plates that are dropped."),
		"rinse": {Type: "string", Pattern: `^\s*(\d{1,6} ?s|\d{1,4} ?min)\s*$`,
			Description: "The pause between servings, as in 30 s or 2 min."},
		"plate gate": flagOf("Name and questions appear once the code on the plate was typed; true where names " +
			"are compared and it is not said."),
		"minutes at the pass": wholeFrom(1, mostPass, "After how long a plate that waits there is marked."),
		"at one table":        oneWordOf("Whether guests at one table taste in different orders.", tableOrders),
		"minutes of grace": wholeFrom(0, mostGrace,
			"How long those who taste may finish when the study is to close."),
		"time zone": {Type: "string", Pattern: `^(UTC|[A-Z][A-Za-z]+(/[A-Za-z0-9_+-]+){1,2})$`,
			Description: "In which its times are shown, by region and city; the service's where it is not said."},
		"seed": {Type: "integer", Minimum: new(0.0),
			Description: "From which all orders and codes are drawn."},
		"strata":   itemsOf(1, maxStrata, stratum, "Groups in which one sample to each guest is dealt evenly."),
		"minimise": flagOf("Deal by minimisation instead of blocks."),
		"blocks":   oneWordOf("Whether blocks of orders are all of one size.", blockSizes),
	})
}

func textsShape() *jsonschema.Schema {
	return blockShape(textKeys, map[string]*jsonschema.Schema{
		"welcome": paragraphOf("What guests read first."),
		"consent": paragraphOf(
			"What they agree to: what they taste, allergens, their right to stop, what is kept."),
		"instructions": paragraphOf("How to taste."),
		"thanks":       paragraphOf("What they read after the last plate."),
		"debrief":      paragraphOf("What they read after the close: what it was about."),
		"comment":      paragraphOf("A question that is answered in words, after each serving."),
		"first compared": textOfUpTo(maxWord,
			"The first sample of the comparison as the last question calls it."),
		"second compared": textOfUpTo(maxWord,
			"The second sample of the comparison as the last question calls it."),
	})
}

func analysisShape() *jsonschema.Schema {
	two := itemsOf(2, 2, textOfUpTo(maxLine, ""), "The first minus the second.")
	return blockShape(analysisKeys, map[string]*jsonschema.Schema{
		"compare": {AnyOf: []*jsonschema.Schema{two, oneWordOf("All samples together.", []string{allSamples})},
			Description: "What the answer is about."},
		"attribute": idOf("The attribute that decides."),
		"liking":    idOf("The attribute that says how much a serving is liked."),
		"effect of": oneWordOf("Of which factor, where dishes are crossed with names.", factors),
		"test":      oneWordOf("The planned test.", plannedTests),
		"sides":     oneWordOf("Which way it looks.", allSides),
		"alpha":     shareOf("The risk of a false alarm; 0.05 where it is not said."),
		"smallest effect": {Type: "number", ExclusiveMinimum: new(0.0),
			Description: "The smallest difference worth acting on."},
		"beta":       shareOf("The risk of calling two alike that are not."),
		"stop early": flagOf("Answers are taken one by one until they decide."),
		"looks": itemsOf(1, mostLooks, wholeFrom(fewestAtLook, maxAssessors, ""),
			"Numbers of people from which on a look is taken, at the end of a sitting."),
		"spending": oneWordOf("How the risk of a false alarm is spread over looks.", spendings),
		"evidence": oneWordOf("How evidence is counted while people come, so that tasting may end with "+
			"enough.", evidences),
		"evidence at": {Type: "number", ExclusiveMinimum: new(0.0), Maximum: new(mostEvidenceAt),
			Description: "The mean over the standard deviation of differences at which evidence grows best."},
		"adjust":    oneWordOf("How secondary findings are adjusted.", adjustments),
		"undecided": oneWordOf("What becomes of answers that choose none.", undecidedRules),
		"expected order": itemsOf(fewestRanked, mostRanked, idOf(""),
			"Samples in the order expected, first place first."),
		"wanted rating": {Type: "number", Description: "The rating whose amount is sought."},
		"stop after":    wholeFrom(1, maxAssessors, "Tasting ends when so many have finished."),
		"stop by": {Type: "string", Pattern: `^\s*\d{4}-\d{2}-\d{2}\s*$`,
			Description: "The last day of tasting, as in 2026-12-05."},
	})
}

// textOfUpTo is a text of at most so many characters between the spaces around it; most is up to
// a thousand, as far as expressions count.
func textOfUpTo(most int, says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Pattern: fmt.Sprintf(`^\s*\S[\s\S]{0,%d}\s*$`, most-1),
		Description: says}
}

func lineOf(says string) *jsonschema.Schema { return textOfUpTo(maxLine, says) }

func paragraphOf(says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Pattern: `\S`, Description: says}
}

func idOf(says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Pattern: fmt.Sprintf(`^[A-Za-z][A-Za-z0-9_-]{0,%d}$`, maxID-1),
		Description: says}
}

func oneWordOf[T ~string](says string, known []T) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "string", Description: says}
	for _, w := range known {
		s.Enum = append(s.Enum, string(w))
	}
	return s
}

func flagOf(says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "boolean", Description: says}
}

func wholeFrom(lo, hi int, says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "integer", Minimum: new(float64(lo)), Maximum: new(float64(hi)), Description: says}
}

func shareOf(says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "number", ExclusiveMinimum: new(0.0), Maximum: new(0.5), Description: says}
}

func itemsOf(lo, hi int, each *jsonschema.Schema, says string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "array", Items: each, MinItems: new(lo), MaxItems: new(hi), Description: says}
}
