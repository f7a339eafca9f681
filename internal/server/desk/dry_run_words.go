package desk

import (
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

const exactly = "“Should be about” is exact, by counting all answers that can come."

// ofTold are the words on right answers.
func (w *dryWords) ofTold(a *study.Study, tried panel.DryRun) {
	w.said, w.state, w.formula = answer, aShare, w.say(exactly)
	w.none = w.say("nobody tells the samples apart, and everybody guesses")
	w.smallest = w.say("%s of the people truly tell them apart, the smallest share worth acting on",
		analysis.Percent(tried.Smallest.Difference))
	w.given, w.aim = w.say("If people answer as assumed"), w.say("so many who tell")
	w.assumed = w.say("In each turn whoever truly tells the samples apart is right, and the others guess; who " +
		"tells is " +
		"drawn anew for each turn. No answer is missing.")
	switch {
	case a.Plan.StopEarly:
		w.noneBy = w.say("the chance that answers of guesses are taken for a difference")
		w.smallestBy = w.say("the chance that it is found before the panel ends")
	case a.Plan.Test == study.Equivalence:
		w.finds = w.say("show that so few tell them apart that they pass for the same")
		w.aim = w.say("that they pass for the same, when nobody tells them apart,")
		w.noneBy, w.smallestBy = w.say("the computed power"), w.say("the risk of calling them alike, β, at the most")
		w.power = tried.None.Computed
	default:
		w.noneBy = w.say("the level of the test, α, at the most")
	}
}

// ofThreshold are the words on rising amounts.
func (w *dryWords) ofThreshold(a *study.Study, tried panel.DryRun) {
	w.said, w.state = answer, ""
	w.formula = w.say("Where nobody tastes it, “should be about” is the most that the test allows; for the " +
		"other truth " +
		"there is no formula.")
	w.finds, w.none = w.say("find that it is tasted"), w.say("nobody tastes it at any amount, and everybody guesses")
	w.noneBy = w.say("the level of the test, α, at the most")
	w.smallest = w.say("half of the people taste it from %s %s on, the middle of the series",
		aboutAmount(tried.Smallest.Difference), a.AmountsIn)
	w.given, w.aim, w.power = w.say("If people are as assumed"), w.say("that it is tasted"),
		clearlyLess(tried.Smallest.Often, analysis.DefaultPower)
	w.assumed = w.say("People’s own thresholds scatter around the middle of the series with a standard " +
		"deviation of one " +
		"step, and each comes to taste it over about one step. Who does not taste it guesses. No answer is missing.")
}

// aboutAmount writes an amount with two digits, or whole.
func aboutAmount(v float64) string {
	if v >= 100 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 2, 64)
}

// ofAmounts are the words on a series of amounts.
func (w *dryWords) ofAmounts(a *study.Study, tried panel.DryRun) {
	unit := a.AmountsIn.One()
	w.finds = w.say("find that the rating goes with the amount")
	w.none = w.say("the amount changes nothing")
	w.smallest = w.say("each %s more adds the smallest effect worth acting on, %s", unit,
		pointsWords(w.tongue, tried.Smallest.Difference))
	w.aim = w.say("so much for each %s", unit)
	w.assumed = spreadWords(w.tongue, a, tried.Spread) + " " + w.say("All people taste the amounts as strongly "+
		"as each other, and the "+
		"means lie on a straight line. The other attributes know no effect.")
	if _, laid := a.Series(); len(laid) > 0 {
		w.finds = w.say("find that the name does something")
		w.none = w.say("each %s more adds %s, and the name adds nothing", unit, w.tongue.Number(a.Plan.SmallestEffect))
		w.smallest = w.say("each %s more adds %s, and the name as much as %s would", unit,
			pointsWords(w.tongue, tried.Smallest.Difference), a.AmountsIn.Short(analysis.WorthTried(a)))
		w.aim = w.say("a name that is worth so much")
	}
}

// ofTicks are the words on the words that people tick.
func (w *dryWords) ofTicks(a *study.Study, tried panel.DryRun) {
	list, _ := a.Words()
	most, least := analysis.FurthestApart(a)
	w.said, w.state = answer, aShare
	w.formula = w.say("“Should be about” comes from a formula for large panels.")
	w.finds = w.say("find that the samples differ in what is ticked")
	w.none = w.say("every word is ticked as often for one sample as for another")
	w.smallest = w.say("“%s” is ticked by %s more of the people for %s than for %s, the smallest share worth "+
		"acting on", list.Scale.Labels[0], analysis.Percent(tried.Smallest.Difference),
		summary.SampleWords(w.tongue, a, most),
		summary.SampleWords(w.tongue, a, least))
	w.given, w.aim = w.say("If people are as assumed"), w.say("that the samples differ by such a word")
	w.assumed = w.say("Half of the people tick each word for each sample, the hardest to find, and no tick says " +
		"anything " +
		"of the next. In that one word samples between the two lie midway; no other word tells samples apart.")
	if len(a.RatedBeside()) > 0 {
		w.assumed += " " + w.say("What is rated beside knows no effect.")
	}
}

// ofAllSamples are the words on all samples compared together.
func (w *dryWords) ofAllSamples(a *study.Study, tried panel.DryRun) {
	most, least := analysis.FurthestApart(a)
	w.none = w.say("all samples are alike")
	w.smallest = w.say("%s and %s differ by the smallest difference worth acting on, %s, and all others lie "+
		"midway between them", summary.SampleWords(w.tongue, a, most), summary.SampleWords(w.tongue, a, least),
		pointsWords(w.tongue, tried.Smallest.Difference))
	w.finds = w.say("find that the samples are not all alike")
	w.aim = w.say("such a difference")
	w.assumed = spreadWords(w.tongue, a, tried.Spread) + " " + w.say("The other attributes know no effect.")
}

// ofOneDish are the words on one dish that is asked about right.
func (w *dryWords) ofOneDish(a *study.Study, tried panel.DryRun) {
	asked, _ := a.Attribute(a.Plan.Attribute)
	w.said = answer
	w.formula = w.say("“Should be about” comes from a formula for two groups as large as each other; where " +
		"those people " +
		"like it as much there is none, and less than the level of the test.")
	w.finds, w.none = w.say("find something to change"), w.say("those who say too little or too much like it as "+
		"much as the others")
	w.smallest = w.say("those who say “%s” like it less by the smallest drop worth acting on, %s",
		asked.Scale.SideLabel(study.TooMuch), pointsWords(w.tongue, tried.Smallest.Difference))
	w.given, w.aim = w.say("If people are as assumed"), w.say("that it has to change")
	w.assumed = w.say("Of ten people six find it about right, three say too much and one too little. Liking scatters "+
		"between people by %s.", pointsWords(w.tongue, tried.Spread.SD))
}
