package analysis

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// Codes of the warnings that the analysis gives, beside those of package stats.
const (
	WarnInvented      = "invented-data"
	WarnNotLocked     = "plan-not-locked"
	WarnNotAdjusted   = "secondary-not-adjusted"
	WarnNoPairs       = "no-pairs"
	WarnFewPairs      = "too-few-pairs"
	WarnIncomplete    = "incomplete-assessors"
	WarnReplicates    = "replicates-averaged"
	WarnSkewed        = "skewed-differences"
	WarnTestsDisagree = "tests-disagree"
	WarnOneSided      = "one-sided-test"
	WarnFloor         = "floor-effect"
	WarnCeiling       = "ceiling-effect"
	WarnOrderEffect   = "order-effect"
	WarnCarryOver     = "carry-over"
	WarnOrderUnknown  = "order-unknown"
	WarnOrderOpen     = "order-not-checked"
	WarnPositions     = "unequal-positions"
	WarnTooSmall      = "below-smallest-effect"
	WarnSmallestOpen  = "smallest-effect-open"
	WarnBlindBroken   = "blind-broken"
	WarnPlanChanged   = "plan-changed"
)

func warnBlindBroken(k, n int) Warning {
	return Warning{WarnBlindBroken, fmt.Sprintf("%d of the %d ratings are of servings for which the blind was broken; "+
		"they are counted like the others: judge whether somebody could have known what was tasted", k, n)}
}

func warnNotAdjusted(k int) Warning {
	return Warning{WarnNotAdjusted, fmt.Sprintf("the %d secondary comparisons are not adjusted for their number: "+
		"one in twenty would look clear by chance alone at 5 %%", k)}
}

func warnNoPairs(d study.Design) Warning {
	text := "no assessor rated both samples, so they cannot be compared within people"
	if d == study.One {
		text += "; the plan gives each assessor one sample, which needs a comparison between groups"
	}
	return Warning{WarnNoPairs, text}
}

func warnFewPairs(n, need int, did string) Warning {
	who := fmt.Sprintf("%d assessors", n)
	if n == 1 {
		who = "one assessor"
	}
	return Warning{WarnFewPairs, fmt.Sprintf("only %s %s; at least %d are needed "+
		"before even the most lopsided ranks could pass the test", who, did, need)}
}

func warnTies(exact bool) Warning {
	text := "several assessors moved by the same amount or not at all: equal differences share ranks in the signed-rank test, " +
		"and pairs without a difference give up theirs"
	if exact {
		text += "; its p is exact given both"
	}
	return Warning{stats.WarnTies, text}
}

func warnIncomplete(left []Exclusion) Warning {
	parts := make([]string, len(left))
	for i, e := range left {
		parts[i] = fmt.Sprintf("%d %s", e.Count, e.Reason)
	}
	return Warning{WarnIncomplete, "assessors left out of this comparison: " + strings.Join(parts, "; ")}
}

func warnReplicates(most int) Warning {
	return Warning{WarnReplicates, fmt.Sprintf("samples were rated up to %d times by one assessor; "+
		"each assessor's ratings were averaged before comparing", most)}
}

func warnSkewed(skew float64) Warning {
	side := "upwards"
	if skew < 0 {
		side = "downwards"
	}
	return Warning{WarnSkewed, fmt.Sprintf("a few assessors differ far more than the rest, %s (skewness %s): "+
		"read the signed-rank test and the median difference beside the mean", side, decimals(skew, 1))}
}

func warnTestsDisagree(planned, other Test, alpha float64) Warning {
	return Warning{WarnTestsDisagree, fmt.Sprintf("the planned %s gives %s and the %s gives %s, on two sides of %g: "+
		"the answer leans on the choice of test", planned.Title, pText(planned.P), other.Title, pText(other.P), alpha)}
}

func warnOneSided() Warning {
	return Warning{WarnOneSided, "the planned test looks in one direction only, while the interval looks in both, " +
		"so the two can differ near the border"}
}

func warnEnd(code, end string, share float64, of string) Warning {
	return Warning{code, fmt.Sprintf("%.0f %% of the ratings of “%s” stand at the %s of the scale, "+
		"where a difference can no longer show", 100*share, of, end)}
}

func warnPeriod(c Check) Warning {
	way := "higher"
	if c.Estimate < 0 {
		way = "lower"
	}
	return Warning{WarnOrderEffect, fmt.Sprintf("whatever came first was rated %s points %s (%s); "+
		"the difference with the order allowed for stands among the checks", decimals(math.Abs(c.Estimate), 1), way, pText(c.P))}
}

func warnPositionEffect(p float64) Warning {
	return Warning{WarnOrderEffect, fmt.Sprintf("ratings change with the position of the serving (%s); "+
		"balanced orders keep this out of the difference, but it adds scatter", pText(p))}
}

func warnCarryOver(c Check) Warning {
	return Warning{WarnCarryOver, fmt.Sprintf("the two orders differ in their sums (%s), as if one sample coloured the next, "+
		"or as if the two groups of people differed: look at the first servings alone", pText(c.P))}
}

func warnOrderUnknown() Warning {
	return Warning{WarnOrderUnknown, "the order of serving is not known for every rating, so order effects were not checked"}
}

func warnOrderUnchecked() Warning {
	return Warning{WarnOrderOpen, "the orders of serving are too few or too alike to check for order effects; " +
		"at least two assessors are needed for each order"}
}

func warnPositions(first, second int, a, b string) Warning {
	return Warning{WarnPositions, fmt.Sprintf("“%s” came before “%s” for %d assessors and after it for %d: "+
		"an effect of order would shift the difference", a, b, first, second)}
}

func warnTooSmall(smallest float64) Warning {
	return Warning{WarnTooSmall, fmt.Sprintf("the whole interval is nearer to 0 than %g points, the smallest difference "+
		"that the study set out to act on", smallest)}
}

func warnSmallestOpen(smallest float64) Warning {
	return Warning{WarnSmallestOpen, fmt.Sprintf("the interval includes 0 and also differences of %g points or more, the smallest "+
		"worth acting on: this is not evidence that the samples are alike", smallest)}
}

// pText writes a p-value within a sentence.
func pText(p float64) string {
	if p < 0.001 {
		return "p < 0.001"
	}
	return "p = " + decimals(p, 3)
}

// decimals writes a number with n decimals and a minus sign.
func decimals(v float64, n int) string {
	return strings.Replace(fmt.Sprintf("%.*f", n, v), "-", "−", 1)
}
