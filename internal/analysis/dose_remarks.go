package analysis

import (
	"fmt"

	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// Codes of the warnings on amounts.
const (
	WarnSlopeUnclear = dose.WarnSlopeUnclear
	WarnNotStraight  = "not-straight"
	WarnOutsideRange = "outside-range"
	WarnSeriesShort  = "series-too-short"
	WarnOneSlope     = "one-slope"
	WarnNoDose       = "no-line"
	// a name served at several amounts is not worth the same at each
	WarnShiftByLevel = "shift-depends-on-level"
	// an end of what a name is worth lies where nobody tasted
	WarnEndOutside = "interval-outside-range"
)

// endShareOfAmounts is the share of ratings at an end of the scale from which a line over
// amounts is bent by it (a choice of ours, stricter than for pairs: a slope leans on the
// outermost amounts).
const endShareOfAmounts = 0.1

func warnNoDose(n int) Warning {
	return Warning{WarnNoDose, fmt.Sprintf("%s rated at least one amount: too few, or too few amounts each, for a line",
		counted(n, "assessor"))}
}

func warnOneSlope() Warning {
	return Warning{WarnOneSlope, "the ratings do not bear a slope of each person's own, so that all have one; what " +
		"differs between them is part of the error, and the interval may be a little too narrow"}
}

func warnSlopeUnclear() Warning {
	return Warning{WarnSlopeUnclear, "the panel did not tell the amounts apart clearly, so that no amount can be " +
		"named " +
		"with two ends; look at the ratings themselves"}
}

func warnNotStraight(p float64) Warning {
	return Warning{WarnNotStraight, fmt.Sprintf("the means do not lie on a straight line (%s): the slope is an "+
		"average "+
		"over the series, and an amount that is read from it is rough; look at the means", pText(p))}
}

func warnOutsideRange(s *study.Study, l Laid) Warning {
	return Warning{WarnOutsideRange, fmt.Sprintf("what %s was rated like lies outside the series: nobody tasted that, "+
		"so that no amount is named; serve a wider series", Label(s, l.Sample))}
}

func warnEndOutside() Warning {
	return Warning{WarnEndOutside, "an end of the interval lies outside the series, where nobody tasted: it " +
		"holds only if the line goes on"}
}

func warnShiftByLevel(name string, p float64) Warning {
	what := "serving it without a name"
	if name != "" {
		what = "“" + name + "”"
	}
	return Warning{WarnShiftByLevel, fmt.Sprintf("what %s does depends on the amount that is in the dish (%s): it "+
		"is not worth the same everywhere, so that each amount has its own answer", what, pText(p))}
}

func warnSeriesShort(s *study.Study, x Sought) Warning {
	return Warning{WarnSeriesShort, fmt.Sprintf("the series does not reach the rating of %g that is sought: it would "+
		"take an amount that nobody tasted; serve a series that goes further", x.Rating)}
}

// remarkDose adds what a careful reader should know of a line over amounts.
func (p *panel) remarkDose(s *study.Study, a study.Attribute, f *Finding) {
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "rated the series"))
	}
	if p.most > 1 {
		f.warn(warnReplicates(p.most))
	}
	broken, all, low, high := 0, 0, 0, 0
	for _, id := range f.Comparison {
		c := p.column(a.ID, id)
		broken, all = c.addRevealed(broken, all)
		for _, in := range c {
			for _, v := range in {
				low, high = low+boolToInt(v.value == a.Scale.Min()), high+boolToInt(v.value == a.Scale.Max())
			}
		}
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
	for _, end := range []struct {
		code, name string
		n          int
	}{{WarnFloor, "low end", low}, {WarnCeiling, "high end", high}} {
		if share := float64(end.n) / float64(max(1, all)); share > endShareOfAmounts {
			f.warn(warnEnd(end.code, end.name, share, "the series"))
		}
	}
}
