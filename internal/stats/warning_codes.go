package stats

import (
	"errors"
	"fmt"
	"math"
)

// Warning codes of the difference tests.
const (
	WarnBelowChance  = "below-chance"
	WarnAllCorrect   = "all-correct"
	WarnFewAssessors = "few-assessors"
)

// ErrCounts is returned when counts are negative or exceed their total.
var ErrCounts = errors.New("counts must be whole, not negative and not above their total")

// Codes of the warnings of [anova.IncompleteBlocks].
const (
	WarnNotBalanced = "not-balanced" // no common r, k and λ
	WarnMissing     = "missing"      // missing values left out
)

// Codes of the warnings of models.
const (
	WarnSingular     = "singular-fit"
	WarnAliased      = "aliased-effect"
	WarnNotConverged = "not-converged"
	WarnNotEstimable = "not-estimable"
)

// Codes of the warnings that the tests of two samples give.
const (
	WarnTooFew        = "too-few-values"         // fewer values than the method needs
	WarnConstant      = "no-spread"              // all values or differences equal
	WarnAllSame       = "all-differences-zero"   // nobody rates the two apart
	WarnTies          = "ties"                   // tied values share mid-ranks
	WarnZeros         = "zero-differences"       // more than half of the pairs do not differ
	WarnApproximate   = "approximate"            // a large-sample p-value stands in for the exact one
	WarnSimulated     = "simulated"              // a p-value or interval from random draws
	WarnLevelNotMet   = "level-not-reachable"    // too few values for an interval of this level
	WarnNoCorrelation = "no-correlation"         // the correlation of the pairs is undefined
	WarnOneSidedData  = "all-in-one-direction"   // a rank coefficient of 1 or −1 has no such interval
	WarnLowCounts     = "low-expected-counts"    // the large-sample test of a table is rough
	WarnZeroCell      = "zero-cell"              // an odds ratio of 0, infinity or undefined
	WarnNoDiscordant  = "no-discordant-answers"  // nobody answers differently to the samples
	WarnNotReached    = "target-not-reached"     // no sample size in range reaches the power
	WarnCannotReject  = "cannot-reach-5-percent" // too few pairs that differ for any result to count
	WarnSawTooth      = "saw-tooth"              // exact power falls now and then as n rises
)

func TooFew(need int, what string) Warning {
	return Warning{WarnTooFew, fmt.Sprintf("too few %s: at least %d are needed", what, need)}
}

func NoSpread(what string) Warning {
	return Warning{WarnConstant, fmt.Sprintf("all %s are equal, so their spread is 0 and nothing can be tested or "+
		"standardised against it", what)}
}

func AllSame() Warning {
	return Warning{WarnAllSame, "every pair of ratings is equal, so there is no direction to test"}
}

// DirectionWarnings are the remarks on a test of direction in which used of n pairs differ.
func DirectionWarnings(n, used int) []Warning {
	var w []Warning
	if used == 0 {
		return []Warning{AllSame()}
	}
	if used < 6 {
		pairs := fmt.Sprintf("%d pairs that differ", used)
		if used == 1 {
			pairs = "one pair that differs"
		}
		w = append(w, Warning{WarnCannotReject, fmt.Sprintf(
			"with %s this test cannot reach p = 0.05 two-sided: at least 6 are needed", pairs)})
	}
	if 2*used < n {
		w = append(w, Warning{WarnZeros, fmt.Sprintf("%d of %d pairs show no difference at all", n-used, n)})
	}
	return w
}

func NoCorrelation() Warning {
	return Warning{WarnNoCorrelation, "all ratings of one sample are equal, so the two cannot be correlated"}
}

// NoInterval is the marked absence of an interval at a level.
func NoInterval(level float64) Interval {
	return Interval{Lo: math.NaN(), Hi: math.NaN(), Level: level}
}

func LevelNotMet(of string, reached float64) Warning {
	if reached <= 0 {
		return Warning{WarnLevelNotMet, fmt.Sprintf("one pair alone gives no interval of the %s", of)}
	}
	return Warning{WarnLevelNotMet, fmt.Sprintf("the interval of the %s reaches only %.1f %% confidence: more "+
		"pairs are needed for a higher level", of, 100*reached)}
}
