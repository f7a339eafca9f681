package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// thresholdKind tells from which amount on something is tasted.
var thresholdKind = kind{thresholdVerdict, thresholdAsked, thresholdRow, thresholdFigures}

// grams writes an amount with two significant digits, as none is known better.
func grams(v float64) string {
	if math.IsNaN(v) {
		return absent
	}
	if !(v > 0) || math.IsInf(v, 0) {
		return number(v, 0)
	}
	return number(v, max(0, 1-int(math.Floor(math.Log10(v)+1e-9))))
}

// gramsInterval is [gramsRange] in English.
func gramsInterval(ci stats.Interval, t analysis.ThresholdPart) string {
	return gramsRange(ci, t).String()
}

// gramsRange is an interval of amounts; of an end that no amount of the series t reaches it
// says no more than that.
func gramsRange(ci stats.Interval, t analysis.ThresholdPart) study.Said {
	if ci.Absent() {
		return study.Say(absent)
	}
	least, most := t.Steps[0].Amount, t.Steps[len(t.Steps)-1].Amount
	end := func(v float64) study.Said {
		switch {
		case v < least:
			return study.Say("below %s", study.Figure(grams(least)))
		case v > most:
			return study.Say("above %s", study.Figure(grams(most)))
		}
		return study.Say("%s", study.Figure(grams(v)))
	}
	if ci.Lo > most || ci.Hi < least { // both ends on one side
		return end(ci.Lo)
	}
	return study.Say("%s to %s", end(ci.Lo), end(ci.Hi))
}

func thresholdAsked(s *study.Study, f analysis.Finding) string {
	steps, u := f.Threshold.Steps, f.Threshold.Unit
	return fmt.Sprintf("Asked beforehand: “%s” — %d amounts, from %s to %s, each beside two servings without, "+
		"tasted "+
		"by %s.", s.TurnAsk(), len(steps), u.Short(steps[0].Amount), u.Words(steps[len(steps)-1].Amount),
		people(len(f.Threshold.Each)))
}

// thresholdVerdict says from which amount on it is tasted, if that is clear.
func thresholdVerdict(s *study.Study, f analysis.Finding) []study.Said {
	t := f.Threshold
	counted := study.Say("%d right of %s, where about %s would be if everybody guessed", t.Right, answers(t.Answers),
		figure(t.Chance*float64(t.Answers), 0))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say on “%s”: %s answered every tray, and a verdict takes at "+
			"least %d.",
			s.TurnAsk(), peopleOrNobody(f.N), analysis.Fewest(s.Plan.Alpha)), study.Say("%s.", counted)}
	case Unclear:
		return []study.Said{study.Say("It is not clear that anybody tastes it at these amounts: %s.", counted),
			study.Say("No amount is named, for a threshold of guesses says nothing."), partners(thresholdNumbers(f))}
	}
	return []study.Said{reached(s, f), beyondSeries(f), halfTaste(f), falseStarts(f), mindSafety(f),
		partners(thresholdNumbers(f))}
}

// reached says the group's threshold, where the series holds it.
func reached(s *study.Study, f analysis.Finding) study.Said {
	t := f.Threshold
	steps := t.Steps
	if !t.Inside {
		if first := steps[0].Amount; !(f.Value > first) {
			return study.Say("People taste it (“%s”), and from which amount on the series does not show: on "+
				"average it "+
				"lies lower than %s, where it ends.", s.TurnAsk(), inUnit(t.Unit, first))
		}
		return study.Say("People taste it (“%s”), and from which amount on the series does not show: on average "+
			"it lies "+
			"higher than %s, where it ends.", s.TurnAsk(), inUnit(t.Unit, steps[len(steps)-1].Amount))
	}
	return study.Say("On average people taste it (“%s”) from about %s %s on "+
		"(%s).", s.TurnAsk(), study.Figure(grams(f.Value)), unitOf(t.Unit),
		gramsRange(f.CI, f.Threshold))
}

// inUnit is an amount of the series in full.
func inUnit(u study.AmountUnit, v float64) worded {
	return worded{study.Say("%s %s", study.Figure(general(v)), unitOf(u)), u.Words(v)}
}

// mindSafety is what to mind where an amount is named that somebody may cook by.
func mindSafety(f analysis.Finding) study.Said {
	if !f.Threshold.Inside && !f.Threshold.CurveInside {
		return study.Said{}
	}
	return study.Say(study.KeepsSafe)
}

// beyondSeries counts those whose own threshold no amount of the series shows.
func beyondSeries(f analysis.Finding) study.Said {
	t := f.Threshold
	least, most := t.Unit.Short(t.Steps[0].Amount), t.Unit.Short(t.Steps[len(t.Steps)-1].Amount)
	switch {
	case t.Below > 0 && t.Above > 0:
		return study.Say("Right from %s on, the least amount: %d of %s; wrong at %s, the largest: %d. Such thresholds "+
			"lie outside the series.", least, t.Below, people(f.N), most, t.Above)
	case t.Below > 0:
		return study.Say("Right from %s on, the least amount: %d of %s. Such a threshold lies below the series.",
			least, t.Below, people(f.N))
	case t.Above > 0:
		return study.Say("Wrong at %s, the largest amount: %d of %s. Such a threshold lies above the series.",
			most, t.Above, people(f.N))
	}
	return study.Say("The series reaches everybody: each of %s missed an amount of it and was right at the largest.",
		people(f.N))
}

// halfTaste says what the curve finds beside the best estimates.
func halfTaste(f analysis.Finding) study.Said {
	t := f.Threshold
	if !t.CurveInside {
		return study.Say("A curve through all answers names no amount: they do not rise clearly enough within " +
			"the series.")
	}
	return study.Say("By a curve through all answers, which allows for guesses, half of the people taste it at "+
		"about %s %s "+
		"(%s).", study.Figure(grams(t.Curve.Value)), unitOf(t.Unit), gramsRange(t.Curve.CI, t))
}

// falseStarts says how guesses were dealt with.
func falseStarts(f analysis.Finding) study.Said {
	guesses := study.Say("A right answer below a miss counts as a guess, as %d people gave.", f.Threshold.FalseStarts)
	switch f.Threshold.FalseStarts {
	case 0:
		guesses = study.Say("A right answer below a miss counts as a guess; nobody gave one.")
	case 1:
		guesses = study.Say("A right answer below a miss counts as a guess, as one person gave.")
	}
	return study.Say("%s Lucky guesses just above the last miss remain: they make own thresholds too low, by up "+
		"to half a "+
		"step on average.", guesses)
}

func thresholdNumbers(f analysis.Finding) string {
	text := fmt.Sprintf("In numbers: %s of %d; "+
		"%s", testInWords(f.Test), f.Threshold.Answers, pPhrase(f.Test.Deciding()))
	if f.Verdict.Different() && f.Threshold.Inside && !f.CI.Absent() {
		text += fmt.Sprintf("; %s interval of the threshold %s", percent(f.CI.Level), gramsInterval(f.CI,
			f.Threshold))
	}
	return text + "."
}

// thresholdNext says what to do after it.
func thresholdNext(f analysis.Finding) study.Said {
	t := f.Threshold
	switch {
	case !f.Verdict.Different():
		return study.Say("repeat it with larger amounts, if they can be served.")
	case !t.Inside:
		return study.Say("repeat it with a series that reaches further.")
	case 4*(t.Below+t.Above) > f.N: // a choice of ours
		return study.Say("use it with care, or repeat it with a series that reaches further: more than a quarter " +
			"of the people " +
			"are " +
			"beyond its ends.")
	}
	return study.Say("act on it: below that amount most people do not taste it, and well above it most do. Some " +
		"taste less, as " +
		"the " +
		"figure shows.")
}

// thresholdRow is the row of the group's threshold, with the counts of each amount.
func thresholdRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	t := f.Threshold
	r := Row{Ask: s.TurnAsk(), Attribute: string(f.Attribute), Role: string(f.Role), N: f.N, People: fmt.Sprint(f.N),
		Compared: "Tasted from, in " + t.Unit.String(), Pair: "tasted from", Difference: none, Interval: none,
		P: pValue(f.Test.Deciding()), Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings),
		Technical: testRows(f),
		Excluded:  exclusionLines(f.Excluded)}
	if v.Outcome == Clear && t.Inside {
		r.Difference, r.Interval = grams(f.Value), gramsInterval(f.CI, f.Threshold)
	}
	r.Technical = append(r.Technical,
		TechRow{method.BestEstimate.Title(), number(f.Value, 4), interval(f.CI, 4), none, none},
		TechRow{"Standard deviation of people’s thresholds, as log10", number(t.LogSD, 3), none, none, none},
		TechRow{method.ThresholdCurve.Title(), number(t.Curve.Value, 4), interval(t.Curve.CI, 4), none, none},
		TechRow{"Slope of the curve, logits for each tenfold amount", number(t.CurveSlope, 3), none, none, none})
	for _, x := range t.Steps {
		r.Technical = append(r.Technical, TechRow{"Right at " + t.Unit.Short(x.Amount),
			fmt.Sprintf("%d of %d", x.Right, x.N), none, none, none})
	}
	return r
}

// thresholdWritten says how a threshold is written that was reckoned in another way: where
// one is named at all.
func thresholdWritten(f analysis.Finding) func(float64, stats.Interval) (string, string) {
	return func(v float64, ci stats.Interval) (string, string) {
		if math.IsNaN(v) || !f.Verdict.Different() || !f.Threshold.Inside {
			return none, ""
		}
		return grams(v), gramsInterval(ci, f.Threshold)
	}
}

// thresholdFacts are what was to be tested how.
func thresholdFacts(s *study.Study, r *analysis.Result) []Fact {
	return []Fact{
		{"Assessors with answers", fmt.Sprint(r.Assessors)},
		{"Asked", s.TurnAsk()},
		{"Planned test", fmt.Sprintf("%s of all trays, one-sided (more right answers than guessing gives), alpha %g",
			method.Binomial.Title(), s.Plan.Alpha)},
		{"Planned estimate", method.BestEstimate.Title()},
		{"Amounts in", s.AmountsIn.String()},
	}
}
