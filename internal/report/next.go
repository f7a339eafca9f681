package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// nextWords says what to do after a finding.
func nextWords(f analysis.Finding) study.Said {
	v, n := f.Verdict, f.Verdict.Next
	if f.Kind == analysis.KindAboutRight {
		return aboutRightNext(f)
	}
	if t := f.Choice.Told; t != nil && t.Early != nil && v.Code != analysis.TooFew {
		return earlyNext(f)
	}
	if f.Kind == analysis.KindThreshold && v.Code != analysis.TooFew {
		return thresholdNext(f)
	}
	if v.Sameness && v.Code != analysis.TooFew {
		return samenessNext(f.N, n)
	}
	switch n.Code {
	case analysis.NextChange:
		if v.Margin <= 0 && f.Kind == analysis.KindNamedDose { // what the study states is of the amounts
			return study.Say("act on it, if a name that is worth this much matters to you: the study did not say " +
				"how much a " +
				"name has to be worth.")
		}
		if v.Margin <= 0 {
			return study.Say("act on it, if a difference of this size matters to you: the study did not say how " +
				"large a " +
				"difference does.")
		}
		if v.Code == analysis.DifferentSizeOpen {
			return study.Say("act on it: the size is known to within half of what you would act on, and the best " +
				"estimate " +
				"reaches that.")
		}
		return study.Say("act on it.")
	case analysis.NextRepeat:
		return repeatWords(f)
	}
	if n.More > 0 {
		return study.Say("let it rest: to settle it would take about %d more people, more than ten times as many "+
			"as took part.", n.More)
	}
	if v.Margin > 0 && v.Code == analysis.DifferentSizeOpen {
		return study.Say("let it rest: the size is known to within half of what you would act on, and the best " +
			"estimate does " +
			"not reach that.")
	}
	return study.Say("let it rest.")
}

// samenessNext says what to do where one asked whether two are practically the same.
func samenessNext(tasted int, n analysis.Next) study.Said {
	switch {
	case n.Code == analysis.NextChange:
		return study.Say("act on it, if you have a reason to change: one can stand in for the other.")
	case n.Code == analysis.NextRepeat && n.More == 0:
		return study.Say("repeat it with more people before one stands in for the other.")
	case n.Code == analysis.NextRepeat:
		return study.Say("repeat it with %s: if the two differ by no more than was found here, that "+
			"shows they are practically the same with a chance of about %s or more.",
			wholePanelOf(tasted, n), study.Figure(percent(n.Chance)))
	case n.More > 0:
		return study.Say("let it rest: to show that they are practically the same would take about %d more "+
			"people, more than ten times as many as took part.", n.More)
	}
	return study.Say("let it rest: the best estimate is a difference that you would act on, so that one should " +
		"not stand " +
		"in for the other.")
}

func repeatWords(f analysis.Finding) study.Said {
	v, n := f.Verdict, f.Verdict.Next
	switch {
	case v.Code == analysis.TooFew:
		return study.Say("repeat it with at least %s, which is what a verdict takes.", morePeople(n.More))
	case f.Role != analysis.Primary:
		return study.Say("repeat it as the main question of another study, before you rely on it.")
	case v.Against:
		return study.Say("repeat it, before you rely on it: the difference lies where the plan did not look.")
	case v.Margin <= 0 && f.Kind == analysis.KindNamedDose:
		return study.Say("repeat it only after you have written down how much a name has to be worth before you " +
			"would act on it: from " +
			"it follows how many people it takes.")
	case v.Margin <= 0:
		return study.Say("repeat it only after you have written down the smallest difference that you would act " +
			"on: from it follows " +
			"how many people it takes.")
	case n.More == 0 && v.Code == analysis.DifferentSizeOpen &&
		(f.Kind == analysis.KindPanel || f.Kind == analysis.KindRanking || f.Kind == analysis.KindWords):
		if f.Kind == analysis.KindWords {
			return study.Say("repeat it with more people, if the size decides: whether any word reaches what you " +
				"would act on is not " +
				"settled.")
		}
		return study.Say("repeat it with more people, if the size decides: whether any pair reaches what you " +
			"would act on is not settled.")
	case n.More == 0:
		return study.Say("repeat it.")
	case v.Code == analysis.Open:
		return study.Say("repeat it with %s: if there is a difference of the size that you would act on, they find "+
			"it with a chance of about %s or more.",
			wholePanelOf(f.N, n), study.Figure(percent(n.Chance)))
	}
	return study.Say("repeat it with %s: with a chance of about %s or more the size is then known to within half "+
		"of what "+
		"you would act on.",
		wholePanelOf(f.N, n), study.Figure(percent(n.Chance)))
}

// wholePanelOf names the panel of the study that repeats this one. The chance that is stated
// is that of all of them, in a study of its own: those beyond this panel alone find less, and
// whoever adds them to this one looks twice.
func wholePanelOf(tasted int, n analysis.Next) study.Said {
	return study.Say("about %d people, %d more than this time", tasted+n.More, n.More)
}

func morePeople(n int) study.Said {
	if n == 1 {
		return study.Say("1 more person")
	}
	return study.Say("%d more people", n)
}
