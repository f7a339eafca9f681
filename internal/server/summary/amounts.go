package summary

import (
	"cloche/internal/method"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// amountsPlan is [AnalysisPlan] of a series of amounts.
func amountsPlan(w site.Tongue, a *study.Study, on study.Attribute) []string {
	series, laid := a.Series()
	if len(series) == 0 {
		return []string{"Add the dishes with their amounts first."}
	}
	least, most := series[0], series[len(series)-1]
	line := w.Translate("how “%s” goes with the amount, over %d amounts from %s to %s", on.Ask, len(series),
		a.AmountsIn.Short(a.Amount(least.ID)), a.AmountsIn.Words(a.Amount(most.ID)))
	test := method.SlopeT
	lines := []string{w.Translate("The main question: %s.", line)}
	if len(laid) > 0 {
		test = method.ShiftT
		lines = []string{w.Translate("The main question: how much %s is worth in %s, laid on the line of %s.",
			SampleWords(w, a, laid[0].ID), a.AmountsIn, line)}
	}
	lines = append(lines, w.Translate("By a %s, two-sided, at a significance level of %s; intervals at %s %%, "+
		"those of "+
		"amounts by Fieller’s method.", w.Translate(test.Title()), num(w, a.Plan.Alpha), num(w, 100*a.Plan.Level())))
	if a.Plan.SmallestEffect > 0 {
		lines = append(lines, w.Translate("The smallest slope worth acting on: %s points for each %s more.",
			num(w, a.Plan.SmallestEffect), a.AmountsIn.One()))
	}
	if want := a.Plan.WantedRating; want != nil {
		lines = append(lines, w.Translate("Sought: the amount at which the rating is %s on average.",
			num(w, *want)))
	}
	return append(lines, w.Translate("Whether the means lie on a straight line is checked. All else is secondary; "+
		"its p-values are adjusted together by %s.", w.Translate(method.Holm.Title())))
}

// thresholdPlan is [AnalysisPlan] of rising amounts.
func thresholdPlan(w site.Tongue, a *study.Study) []string {
	if len(a.Samples) < 2 {
		return []string{"Add the dish without it and those with their amounts first."}
	}
	least, most := a.Samples[1].ID, a.Samples[len(a.Samples)-1].ID
	return []string{
		w.Translate("The main question: “%s” From which amount on do people taste it, of %d from %s to "+
			"%s?", a.TurnAsk(),
			a.Trays(), a.AmountsIn.Short(a.Amount(least)), a.AmountsIn.Words(a.Amount(most))),
		w.Translate("That more answers are right than guessing gives, over all amounts together: by an %s, "+
			"one-sided, at a "+
			"significance level of %s.", w.Translate(method.Binomial.Title()), num(w, a.Plan.Alpha)),
		w.Translate("Everybody’s own threshold is the geometric mean of the last amount they missed and the next "+
			"(ASTM "+
			"E679, cited from memory): a right answer below a miss counts as a guess. The group’s is the geometric "+
			"mean of "+
			"these, with an interval at %s %%. Who was right throughout, or missed the largest amount, is set half a "+
			"step "+
			"outside the series, and counted.", num(w, 100*a.Plan.Level())),
		"Beside it a logistic curve through all answers, with guessing right once in three: the amount at which half " +
			"of " +
			"the people taste it.",
		"Whoever leaves out a tray has no threshold of their own, and counts in the curve and in the test.",
	}
}

// amountsCaution is what to mind before an amount is changed.
func amountsCaution(w site.Tongue) Caution {
	return Caution{Heading: w.Translate("Changing an amount"), Text: []string{w.Translate(study.KeepsSafe),
		w.Translate("Keep every amount within what one would cook for guests.")}}
}
