package desk

import (
	"fmt"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

const exactly = "“Should be about” is exact, by counting all answers that can come."

// ofTold are the words on right answers.
func (w *dryWords) ofTold(a *study.Study, tried panel.DryRun) {
	w.said, w.state, w.formula = answer, "share", exactly
	w.none = "nobody tells the samples apart, and everybody guesses"
	w.smallest = fmt.Sprintf("%s of the people truly tell them apart, the smallest share worth acting on",
		analysis.Percent(tried.Smallest.Difference))
	w.given, w.aim = "If people answer as assumed", "so many who tell"
	w.assumed = "In each turn whoever truly tells the samples apart is right, and the others guess; who tells is " +
		"drawn " +
		"anew for each turn. No answer is missing."
	switch {
	case a.Plan.StopEarly:
		w.noneBy = "the chance that answers of guesses are taken for a difference"
		w.smallestBy = "the chance that it is found before the panel ends"
	case a.Plan.Test == study.Equivalence:
		w.finds = "show that so few tell them apart that they pass for the same"
		w.aim = "that they pass for the same, when nobody tells them apart,"
		w.noneBy, w.smallestBy = "the computed power", "the risk of calling them alike, β, at the most"
		w.power = tried.None.Computed
	default:
		w.noneBy = "the level of the test, α, at the most"
	}
}

// ofThreshold are the words on rising amounts.
func (w *dryWords) ofThreshold(a *study.Study, tried panel.DryRun) {
	w.said, w.state = answer, ""
	w.formula = "Where nobody tastes it, “should be about” is the most that the test allows; for the other truth " +
		"there is " +
		"no formula."
	w.finds, w.none = "find that it is tasted", "nobody tastes it at any amount, and everybody guesses"
	w.noneBy = "the level of the test, α, at the most"
	w.smallest = fmt.Sprintf("half of the people taste it from %s %s on, the middle of the series",
		aboutAmount(tried.Smallest.Difference), a.AmountsIn)
	w.given, w.aim, w.power = "If people are as assumed", "that it is tasted",
		clearlyLess(tried.Smallest.Often, analysis.DefaultPower)
	w.assumed = "People’s own thresholds scatter around the middle of the series with a standard deviation of one " +
		"step, " +
		"and each comes to taste it over about one step. Who does not taste it guesses. No answer is missing."
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
	w.finds = "find that the rating goes with the amount"
	w.none = "the amount changes nothing"
	w.smallest = fmt.Sprintf("each %s more adds the smallest effect worth acting on, %s", unit,
		pointsWords(tried.Smallest.Difference))
	w.aim = "so much for each " + unit
	w.assumed = spreadWords(a, tried.Spread) + " All people taste the amounts as strongly as each other, and the " +
		"means lie " +
		"on a straight line. The other attributes know no effect."
	if _, laid := a.Series(); len(laid) > 0 {
		w.finds = "find that the name does something"
		w.none = fmt.Sprintf("each %s more adds %s, and the name adds "+
			"nothing", unit, site.Number(a.Plan.SmallestEffect))
		w.smallest = fmt.Sprintf("each %s more adds %s, and the name as much as %s would", unit,
			pointsWords(tried.Smallest.Difference), a.AmountsIn.Short(analysis.WorthTried(a)))
		w.aim = "a name that is worth so much"
	}
}

// ofTicks are the words on the words that people tick.
func (w *dryWords) ofTicks(a *study.Study, tried panel.DryRun) {
	list, _ := a.Words()
	most, least := analysis.FurthestApart(a)
	w.said, w.state = answer, "share"
	w.formula = "“Should be about” comes from a formula for large panels."
	w.finds = "find that the samples differ in what is ticked"
	w.none = "every word is ticked as often for one sample as for another"
	w.smallest = fmt.Sprintf("“%s” is ticked by %s more of the people for %s than for %s, the smallest share worth "+
		"acting on", list.Scale.Labels[0], analysis.Percent(tried.Smallest.Difference),
		summary.SampleWords(english, a, most),
		summary.SampleWords(english, a, least))
	w.given, w.aim = "If people are as assumed", "that the samples differ by such a word"
	w.assumed = "Half of the people tick each word for each sample, the hardest to find, and no tick says anything " +
		"of the next. In that one word samples between the two lie midway; no other word tells samples apart."
	if len(a.RatedBeside()) > 0 {
		w.assumed += " What is rated beside knows no effect."
	}
}

// ofAllSamples are the words on all samples compared together.
func (w *dryWords) ofAllSamples(a *study.Study, tried panel.DryRun) {
	most, least := analysis.FurthestApart(a)
	w.none = "all samples are alike"
	w.smallest = fmt.Sprintf("%s and %s differ by the smallest difference worth acting on, %s, and all others lie "+
		"midway between them", summary.SampleWords(english, a, most), summary.SampleWords(english, a, least),
		pointsWords(tried.Smallest.Difference))
	w.finds = "find that the samples are not all alike"
	w.aim = "such a difference"
	w.assumed = spreadWords(a, tried.Spread) + " The other attributes know no effect."
}

// ofOneDish are the words on one dish that is asked about right.
func (w *dryWords) ofOneDish(a *study.Study, tried panel.DryRun) {
	asked, _ := a.Attribute(a.Plan.Attribute)
	w.said = answer
	w.formula = "“Should be about” comes from a formula for two groups as large as each other; where those people " +
		"like it as much there is none, and less than the level of the test."
	w.finds, w.none = "find something to change", "those who say too little or too much like it as much as the others"
	w.smallest = fmt.Sprintf("those who say “%s” like it less by the smallest drop worth acting on, %s",
		asked.Scale.SideLabel(study.TooMuch), pointsWords(tried.Smallest.Difference))
	w.given, w.aim = "If people are as assumed", "that it has to change"
	w.assumed = "Of ten people six find it about right, three say too much and one too little. Liking scatters " +
		"between people by " + pointsWords(tried.Spread.SD) + "."
}
