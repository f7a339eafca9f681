package analysis

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
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
	WarnSignInstead   = "sign-test-instead"
	WarnOneSided      = "one-sided-test"
	WarnFloor         = "floor-effect"
	WarnCeiling       = "ceiling-effect"
	WarnOrderEffect   = "order-effect"
	WarnCarryOver     = "carry-over"
	WarnCarryOpen     = "carry-over-not-checked"
	WarnPanelPart     = "tests-of-complete-assessors"
	WarnOrderUnknown  = "order-unknown"
	WarnOrderOpen     = "order-not-checked"
	WarnOrderPart     = "order-partly-checked"
	WarnPositions     = "unequal-positions"
	WarnTooSmall      = "below-smallest-effect"
	WarnSmallestOpen  = "smallest-effect-open"
	WarnBlindBroken   = "blind-broken"
	WarnNotSetDown    = "not-set-down"
	WarnPlanChanged   = "plan-changed"
	WarnAfterClose    = "answers-after-close"
	WarnRevised       = "findings-revised"
	WarnUnscreened    = "not-screened"
	WarnStoppedEarly  = "stopped-early"
	WarnStoppedLate   = "stopped-late"

	WarnRanksInstead = "ranks-instead"
	WarnSittingsOpen = "sittings-not-in-model"
	WarnStrataOpen   = "strata-not-known"
	WarnStrataApart  = "strata-apart"

	WarnNoLottery = "lottery-not-known"
	WarnFewDraws  = "few-draws"
	WarnNoOrdinal = "order-not-modelled"

	WarnDrawsOpen   = "monte-carlo-p"
	WarnNotFollowed = "plan-not-followed"

	WarnFewerThanPlanned = "fewer-than-planned"
	WarnMoreThanPlanned  = "more-than-planned"
)

func warnBlindBroken(k, n int) Warning {
	return Warning{WarnBlindBroken, fmt.Sprintf("%d of the %d ratings are of servings for which the blind was broken; "+
		"they are counted like the others: judge whether somebody could have known what was tasted", k, n)}
}

// warnNotSetDown speaks of servings that were rated although floor noted no plate.
func warnNotSetDown(k, n int) Warning {
	if k == n {
		return Warning{WarnNotSetDown, "no plate was noted as set down: floor did not use its list, so that " +
			"nothing but the guest's own comparison " +
			"of codes says that each got the right plate"}
	}
	return Warning{WarnNotSetDown, fmt.Sprintf("%d of the %d servings were rated although no plate was noted as "+
		"set down; they are counted like the others: "+
		"judge whether the right plate was there", k, n)}
}

func warnNotAdjusted(k int, alpha float64) Warning {
	return Warning{WarnNotAdjusted, fmt.Sprintf("the %d secondary comparisons are not adjusted for their number: "+
		"where there is no difference at all, %s in a hundred look clear by chance alone", k, shortest(100*alpha))}
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
	return Warning{WarnFewPairs, fmt.Sprintf("only %s %s; with fewer than %d, chance alone too often looks like an "+
		"answer, "+
		"so that no verdict is given", who, did, need)}
}

func warnTies(r ranks.SignedRankResult) Warning {
	var parts []string
	if r.Ties {
		parts = append(parts, "several assessors moved by the same amount, and equal differences share ranks in "+
			"the signed-rank test")
	}
	switch {
	case r.Zeros == 1:
		parts = append(parts, "one assessor did not move at all, and a pair without a difference gives up its rank "+
			"in the signed-rank test")
	case r.Zeros > 1:
		parts = append(parts, "some assessors did not move at all, and pairs without a difference give up their "+
			"ranks in the signed-rank test")
	}
	text := strings.Join(parts, "; ")
	if r.Exact {
		text += "; its p is exact all the same"
	}
	return Warning{stats.WarnTies, text}
}

func warnSignInstead(planned method.ID) Warning {
	return Warning{WarnSignInstead, "every assessor moved by the same amount, so that the planned " +
		planned.Title() +
		" has no scatter to hold the mean against: the exact " + method.Sign.Title() +
		" and the median difference with its interval stand in its place"}
}

func warnFewInGroup(ns [2]int, need int) Warning {
	return Warning{WarnFewPairs, fmt.Sprintf("only %d in one group and %d in the other rated their sample; "+
		"with fewer than %d in each, chance alone too often looks like an answer, so that no verdict is given",
		ns[0], ns[1], need)}
}

func warnRanksInstead() Warning {
	return Warning{WarnRanksInstead, "within the groups, and strata where there are any, the ratings have no " +
		"scatter, so that a test " +
		"of the means has nothing to hold them against: the " + method.RankSum.Title() +
		" and the shift with its interval stand in its place"}
}

func warnStrataOpen() Warning {
	return Warning{WarnStrataOpen, "the plan keeps the groups even within strata, and the ratings do not say of " +
		"everybody who belongs " +
		"where: the test leaves that out, which makes it less sharp, not wrong"}
}

func warnStrataApart() Warning {
	return Warning{WarnStrataApart, "no stratum has people of both groups, so that the samples cannot be told " +
		"from the strata: " +
		"the groups are compared as if there were no strata"}
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
		"read the signed-rank test and the median difference beside the mean and its t test", side, decimals(skew, 1))}
}

func warnTestsDisagree(planned, other Test, alpha float64) Warning {
	return Warning{WarnTestsDisagree, fmt.Sprintf("the planned %s gives %s and the %s gives %s, on two sides of %g: "+
		"the answer leans on the choice of test", planned.Name(), decidingText(planned), other.Name(),
		decidingText(other), alpha)}
}

// decidingText writes the p-value that decides, and that it is adjusted.
func decidingText(t Test) string {
	if math.IsNaN(t.PAdjusted) {
		return pText(t.P)
	}
	return "adjusted " + pText(t.PAdjusted)
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
		"the difference with the order allowed for stands among the checks", decimals(math.Abs(c.Estimate),
		1), way, pText(c.P))}
}

func warnPositionEffect(p float64) Warning {
	return Warning{WarnOrderEffect, fmt.Sprintf("ratings change with the position of the serving (%s); "+
		"where orders are balanced this stays out of the difference, but it adds scatter", pText(p))}
}

func warnCarryOver(c Check) Warning {
	return Warning{WarnCarryOver, fmt.Sprintf("the two orders differ in their sums (%s), as if one sample coloured "+
		"the next, "+
		"or as if the two groups of people differed: look at the first servings alone", pText(c.P))}
}

func warnNoPanel(samples, people int) Warning {
	by := fmt.Sprintf("%d assessors", people)
	if people == 1 {
		by = "1 assessor"
	}
	return Warning{WarnNoPairs, fmt.Sprintf("all samples together cannot be compared: %d of them were rated, by %s, "+
		"and it takes three samples and two assessors",
		samples, by)}
}

func warnNoModel() Warning {
	return Warning{WarnNoPairs, "all samples together cannot be compared: too few people rated more than one serving"}
}

func warnPanelIncomplete(some, n int) Warning {
	return Warning{WarnPanelPart, fmt.Sprintf("%d of %d assessors did not rate every sample: the model uses all "+
		"that they said, the tests beside it leave them out", some, n)}
}

func warnPanelCarryOver(p float64) Warning {
	return Warning{WarnCarryOver, fmt.Sprintf("what was tasted just before a serving shows in its rating (%s): "+
		"the differences with that allowed for stand beside the others", pText(p))}
}

func warnCarryOpen(why string) Warning {
	return Warning{WarnCarryOpen, "whether one sample coloured the next could not be checked: " + why}
}

func warnSittingsOpen(why string) Warning {
	return Warning{WarnSittingsOpen, "the model is without the sittings, which cannot be told from what else is in " +
		"it: " + why}
}

// warnFlat says that a variance is estimated as zero: a singular fit.
func warnFlat(of ScatterOf) Warning {
	what := map[ScatterOf]string{
		ScatterAssessor: "no assessor rates higher or lower than another throughout",
		ScatterSitting:  "no sitting was rated higher or lower than another",
		ScatterDay:      "no assessor rates higher or lower at one sitting than at another",
		ScatterSample:   "people do not differ in what they find of a sample",
	}[of]
	return Warning{stats.WarnSingular, fmt.Sprintf("as far as the ratings can tell %s: the model puts that scatter "+
		"at zero (a singular fit)", what)}
}

func warnOrderUnknown() Warning {
	return Warning{WarnOrderUnknown, "the order of serving is not known for every rating, so order effects were " +
		"not checked"}
}

func warnOrderUnchecked(why string) Warning {
	return Warning{WarnOrderOpen, "order effects could not be checked: " + why}
}

// warnOrderPart names the positions that could be compared, and those that could not.
func warnOrderPart(groups [][]int) Warning {
	var within, alone []string
	for _, g := range groups {
		if len(g) > 1 {
			within = append(within, "positions "+listed(g)+" with each other")
		} else {
			alone = append(alone, fmt.Sprintf("position %d with no other", g[0]))
		}
	}
	what := "part of the differences between positions"
	if len(within) > 0 {
		what = strings.Join(append(within, alone...), "; ")
	}
	return Warning{WarnOrderPart, fmt.Sprintf("the check of order covers a part only: %s. The rest cannot be told "+
		"apart from the samples, "+
		"because which samples were served goes with the position", what)}
}

// listed writes numbers as "1, 2 and 3".
func listed(numbers []int) string {
	parts := make([]string, len(numbers))
	for i, n := range numbers {
		parts[i] = strconv.Itoa(n)
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

func warnPositions(first, second int, a, b string) Warning {
	return Warning{WarnPositions, fmt.Sprintf("“%s” came before “%s” for %d of the assessors and after it for %d: "+
		"an effect of order would shift the difference", a, b, first, second)}
}

func warnTooSmall(level float64, even, smallest string) Warning {
	return Warning{WarnTooSmall, fmt.Sprintf("the whole %s %% interval is nearer to %s than %s, the smallest "+
		"difference "+
		"that the study set out to act on", shortest(100*level), even, smallest)}
}

func warnSmallestOpen(even, smallest string) Warning {
	return Warning{WarnSmallestOpen, fmt.Sprintf("the interval includes %s and also differences of %s or more, the "+
		"smallest "+
		"worth acting on: this is not evidence that the samples are alike", even, smallest)}
}

// pText writes a p-value within a sentence.
func pText(p float64) string {
	if p < 0.001 {
		return "p < 0.001"
	}
	return "p = " + decimals(p, 3)
}

// shortest writes a number with the digits that it needs, at most six.
func shortest(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// decimals writes a number with n decimals and a minus sign.
func decimals(v float64, n int) string {
	return strings.Replace(fmt.Sprintf("%.*f", n, v), "-", "−", 1)
}
