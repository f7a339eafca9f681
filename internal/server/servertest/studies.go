package servertest

import (
	"strings"
)

// Words that stand only where nobody but the lead may read.
const (
	CanaryTitle      = "CANARYTITLE"
	CanaryHypothesis = "CANARYHYPOTHESIS"
	CanaryDish       = "canarydish"
	CanarySampleA    = "canarysampleA"
	CanarySampleB    = "canarysampleB"
	CanaryDishTitle  = "CANARYDISHTITLE"
	CanaryNameID     = "canarynameid"
)

const (
	NameA = "celeriac crème brûlée"
	NameB = "celeriac royale"
)

// Custard is a study of one dish under two names, with a line and a hedonic
// scale. Its ratings are invented.
const Custard = `cloche: 1
title: CANARYTITLE does a name change a custard?
question: names
hypothesis: CANARYHYPOTHESIS the dessert's name makes it saltier
invented: true
dishes:
  - {id: canarydish, title: CANARYDISHTITLE custard, portion: 60 g,
     serve at: 55 °C, allergens: [milk, eggs, celery], also contains: [nutmeg]}
names:
  - {id: canarynameidA, text: celeriac crème brûlée}
  - {id: canarynameidB, text: celeriac royale}
samples:
  - {id: canarysampleA, dish: canarydish, name: canarynameidA}
  - {id: canarysampleB, dish: canarydish, name: canarynameidB}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: 12}
serving: {rinse: 0 s, seed: 7, show numbers: true, plate gate: false}
texts:
  consent: I agree to taste two spoonfuls.
  instructions: Take a spoonful, then answer.
  thanks: That was all.
  debrief: Both were the same custard under two names.
analysis: {compare: [canarysampleA, canarysampleB], attribute: salt,
  test: paired-t, sides: two, alpha: 0.05, smallest effect: 5}
`

// CameAfterClose is what a phone says of answers that came too late.
const CameAfterClose = "arrived after the tasting was closed"

// Commented is the custard with a question for comments.
var Commented = strings.Replace(Custard, "texts:\n", "texts:\n  comment: Anything else?\n", 1)

// AskingLast is the custard whose guests are asked, after the last plate, whether it was one dish.
var AskingLast = strings.Replace(Custard, "{assessors: 12}", "{assessors: 12, last question: same}", 1)

// Canaries stand in every field of the study that an assessor may not know.
var Canaries = []string{CanaryTitle, CanaryHypothesis, CanaryDish, CanaryDishTitle, CanarySampleA, CanarySampleB,
	CanaryNameID}

// Gated is the custard in which name and questions wait for the code on the plate.
var Gated = strings.Replace(Custard, ", plate gate: false", "", 1)

// InLanguages adds French and German words to the custard's study.
const InLanguages = `languages: [en, fr, de-CH]
translations:
  fr:
    names: {canarynameidA: crème brûlée au céleri-rave, canarynameidB: royale de céleri-rave}
    attributes:
      salt: {ask: "À quel point est-ce salé ?", line: [pas du tout salé, extrêmement salé]}
      liking: {ask: "Cela vous plaît-il ?"}
    also contains: {nutmeg: noix de muscade}
    texts:
      consent: J'accepte de goûter deux cuillerées.
      instructions: Prenez une cuillerée, puis répondez.
      thanks: C'était tout.
      debrief: C'était la même crème sous deux noms.
  de-CH:
    names: {canarynameidA: Crème brûlée von Sellerie, canarynameidB: Sellerie-Royale}
    attributes:
      salt: {ask: "Wie salzig ist es?", line: [gar nicht salzig, äusserst salzig]}
      liking: {ask: "Wie gut gefällt es Ihnen?"}
    also contains: {nutmeg: Muskatnuss}
    texts:
      consent: Ich bin bereit, zwei Löffel zu kosten.
      instructions: Nehmen Sie einen Löffel, dann antworten Sie.
      thanks: Das war alles.
      debrief: Es war zweimal dieselbe Creme.
`

// Expecting has its names read and rated before any tasting.
var Expecting = strings.Replace(Custard, "rinse: 0 s", "rinse: 0 s, expectation: true", 1)

// ExpectingHalf has them read by a random half of the panel.
var ExpectingHalf = strings.Replace(Expecting, "expectation: true", "expectation: true, expectation of half: true", 1)

// The longest words and texts that study files may hold.
var (
	longWord = "Unaussprechlichkeitssuppe"
	LongName = strings.ToUpper(strings.Repeat(longWord+" ", 7) + "soup")
	LongEnd  = longWord + longWord + "soup"
)

// Longest is the custard with everything as long as it may be.
func Longest() string {
	return strings.NewReplacer(
		"text: celeriac crème brûlée", "text: "+LongName,
		"ask: How salty is it?", "ask: How salty is it for you on the whole "+strings.Repeat("and again ", 15),
		"not at all salty", LongEnd, "extremely salty", LongEnd+"!",
		"consent: I agree to taste two "+
			"spoonfuls.", "consent: |\n    "+strings.Repeat(strings.Repeat("I agree to taste. ", 20)+"\n\n    ", 8),
		"texts:\n", "texts:\n  comment: What else would you say of it? "+strings.Repeat("Anything at all. ", 8)+"\n",
	).Replace(Custard)
}

// Alcohol is the custard with nutmeg steeped in alcohol: it asks for an age.
func Alcohol() string {
	return strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true", "{assessors: 12}",
		"{assessors: 12, minimum age: 20}").Replace(Custard)
}

// Grouped deals one name to each, within first visits, of which guests are asked, and rooms,
// which the staff know.
var Grouped = strings.NewReplacer("serving: {rinse: 0 s, seed: 7, show numbers: true, plate gate: false}", `serving:
  design: one
  plate gate: false
  strata:
    - {id: visit, ask: Is this your first visit?, levels: [first visit, "no"]}
    - {id: room, levels: [hall, bar]}
  seed: 7
  show numbers: true`, "paired-t", "welch-t").Replace(Custard)

// Screened asks a question of the program's and one of its own before the first plate.
var Screened = strings.Replace(Custard, "{assessors: 12}",
	`{assessors: 12, screening: [{id: senses}, {id: hungry, ask: Are you hungry?, leaves out: "no"}]}`, 1)

// Unseeded has its seed drawn at the lock.
var Unseeded = strings.Replace(Custard, ", seed: 7", "", 1)
