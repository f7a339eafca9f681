package builder

import (
	"fmt"

	"cloche/internal/study"
)

// asksAmounts reports whether the dishes have amounts: where the question asks for them, or
// a file has them that its question has no use for.
func (b *builder) asksAmounts() bool {
	if b.asked.Question.Kind().Amounts || b.text.Has("amounts in") {
		return true
	}
	for i := range b.text.Len("dishes") {
		if b.text.Has(fmt.Sprintf("dishes[%d].amount", i)) {
			return true
		}
	}
	return false
}

// amountsPart asks of what the amounts are.
func (b *builder) amountsPart() part {
	if b.asked.Question.Kind().Ascending {
		return b.risingPart()
	}
	return b.propose(part{ID: "how-much", Heading: "How much of what?", Lead: []string{
		"The same dish, cooked with four to six amounts of one thing: from clearly too little to clearly too much, " +
			"but " +
			"nothing that one would not serve. About 30 % around the usual recipe is a good start. Write the " +
			"dishes from " +
			"the least amount to the most. Kitchen and lead see the amounts; floor and assessors never do.",
	}, Fields: []buildField{b.line("amounts in", "Amounts are in",
		"What is counted, of what, and for how much: as in g of salt per litre, or drops of vinegar per serving. "+
			"The end "+
			"is per litre, per kilogram or per serving.")}})
}

// risingPart asks of what the rising amounts of a threshold are.
func (b *builder) risingPart() part {
	return part{ID: "how-much", Heading: "How much of what?", Lead: []string{
		"Write the dish without it first, with the amount 0, then the same dish with four to six amounts, from the " +
			"least to the most. Each about twice the one before is usual: the first so little that hardly anybody " +
			"tastes it, the last so much that nearly everybody does. Kitchen and lead see the amounts; floor and " +
			"assessors never do.",
		study.KeepsSafe,
	}, Fields: []buildField{b.line("amounts in", "Amounts are in",
		"What is added, and to how much: as in g of smoked salt per litre, or drops of vinegar per serving. The end "+
			"is "+
			"per litre, per kilogram or per serving.")}}
}

// risingMain is what decides in a study of a threshold.
func (b *builder) risingMain() part {
	return part{ID: "main-comparison", Heading: "What decides", Lead: []string{
		b.say(b.asked.Question.Kind().Asks) + " " + b.say(
			"Everybody’s own threshold is the middle between the last amount they missed and the next, and the "+
				"answer is "+
				"the "+
				"mean of these, with its interval (ASTM E679). A curve through all answers stands beside it. "+
				"That more "+
				"answers "+
				"are right than guessing gives has to be clear first.")}}
}

// amountField asks how much is in a dish.
func (b *builder) amountField(path string) buildField {
	unit := b.asked.AmountsIn.String()
	if unit == "" {
		unit = b.say("of what is counted above")
	}
	return b.inUnit(path+".amount", "Amount", "As it is cooked, counted as above.", unit)
}

// inUnit is a number beside whose field its unit stands; the file has the number alone.
func (b *builder) inUnit(path, label, hint, unit string) buildField {
	f := b.number(path, label, hint, "")
	f.Unit = unit
	return f
}

// amountsMain is what decides in a study of amounts.
func (b *builder) amountsMain(attributes []option) part {
	p := part{ID: "main-comparison", Heading: "What decides", Lead: []string{b.say(b.asked.Question.Kind().Asks) + " " +
		b.say("Chosen before anybody tastes. The other attributes are reported too, as secondary.")}}
	if _, laid := b.laid(); laid {
		p.Lead = append(p.Lead, b.say("A dish is served under another name too: how much that name is worth, counted "+
			"in %s, comes first.", b.asked.AmountsIn.String()))
	}
	p.Fields = []buildField{
		b.choose(pick, "analysis.attribute", "On this attribute", "", "", attributes...),
		b.inUnit("analysis.wanted rating", "A rating that you look for",
			"The amount at which it is reached on average is then named, with its interval. May stay empty.", "points"),
	}
	return p
}

// laid is the first dish that is served otherwise than the series.
func (b *builder) laid() (x study.Sample, ok bool) {
	_, laid := b.asked.Series()
	if len(laid) == 0 {
		return x, false
	}
	return laid[0], true
}

// smallestLabel asks for the smallest effect worth acting on.
func (b *builder) smallestLabel() string {
	if b.asked.Question.Kind().Amounts && b.asked.AmountsIn != (study.AmountUnit{}) {
		return b.say("Smallest difference worth acting on, for each %s more", b.asked.AmountsIn.One())
	}
	if b.asked.Question.Kind().OneDish {
		return "Smallest drop in liking worth acting on"
	}
	return "Smallest difference worth acting on"
}
