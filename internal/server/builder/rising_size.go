package builder

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/server/site"
)

// risingSize says beforehand how close a panel comes to a threshold: there is no effect to
// be found, so that nothing is asked.
func (b *builder) risingSize() part {
	return part{ID: "looked-for", Heading: "How close?", Lead: []string{
		"There is no effect to find here, but an amount to come close to. How close depends on how far people’s own " +
			"thresholds lie apart, which nobody knows before. Below is what follows if they scatter with a standard " +
			"deviation of one step of your series, or of two.",
	}}
}

// risingAnswer is how close the panel planned, and twice as many, come.
func (b *builder) risingAnswer() sizeAnswer {
	a := sizeAnswer{Planned: b.asked.Panel.Assessors}
	step, ok := analysis.StepOf(b.asked)
	if !ok {
		return sizeAnswer{Missing: b.say("Add the dishes with their amounts first.")}
	}
	if a.Planned < 2 {
		return sizeAnswer{Missing: b.say("Say in the step Panel and service how many are to taste.")}
	}
	for _, x := range analysis.ThresholdsAhead(b.asked, a.Planned) {
		a.Near = append(a.Near, b.say("With %d people the interval of the group’s threshold reaches a factor "+
			"of %s up "+
			"and down if they scatter by one step, and of %s if by two (%s "+
			"%%).", x.Assessors, b.factorWords(x.OneStep), b.factorWords(x.TwoSteps),
			site.Number(100*b.asked.Plan.Level())))
	}
	a.Rests = append(a.Rests, b.say("A step of your series is a factor of %s on average.", b.factorWords(step)),
		b.say("Lucky guesses make people’s own thresholds too low, by up to half a step on average, however many "+
			"people "+
			"taste; "+
			"the curve beside them allows for guessing."),
		b.say("Logarithms of people’s thresholds are near normal, and everybody counted answers every tray: plan some "+
			"more for those who leave."))
	a.cost(b.asked, &analysis.Size{Planned: analysis.PanelPower{Assessors: a.Planned}})
	return a
}

// factorWords writes a factor with two decimals at most below 10, and from a million on says so.
func (b *builder) factorWords(v float64) string {
	if v >= 1e6 {
		return b.say("more than a million")
	}
	if v >= 9.995 {
		return site.Number(math.Round(v))
	}
	return site.Number(math.Round(100*v) / 100)
}
