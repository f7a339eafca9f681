package stats

import (
	"fmt"
	"math"
)

// Codes of the warnings that the tests of two samples give.
const (
	WarnTooFew        = "too-few-values"        // fewer values than the method needs
	WarnConstant      = "no-spread"             // all values or differences equal
	WarnAllSame       = "all-differences-zero"  // nobody rates the two apart
	WarnTies          = "ties"                  // tied values share mid-ranks
	WarnZeros         = "zero-differences"      // pairs without a difference
	WarnApproximate   = "approximate"           // a large-sample p-value stands in for the exact one
	WarnSimulated     = "simulated"             // a p-value or interval from random draws
	WarnLevelNotMet   = "level-not-reachable"   // too few values for an interval of this level
	WarnNoCorrelation = "no-correlation"        // the correlation of the pairs is undefined
	WarnOneSidedData  = "all-in-one-direction"  // a rank coefficient of 1 or −1 has no such interval
	WarnLowCounts     = "low-expected-counts"   // the large-sample test of a table is rough
	WarnZeroCell      = "zero-cell"             // an odds ratio of 0, infinity or undefined
	WarnNoDiscordant  = "no-discordant-answers" // nobody answers differently to the samples
	WarnNotReached    = "target-not-reached"    // no sample size in range reaches the power
	WarnAssumption    = "assumption"            // what a power or sample size rests on
	WarnSawTooth      = "saw-tooth"             // exact power falls now and then as n rises
)

func warnTooFew(need int, what string) Warning {
	return Warning{WarnTooFew, fmt.Sprintf("too few %s: at least %d are needed", what, need)}
}

func warnConstant(what string) Warning {
	return Warning{WarnConstant, fmt.Sprintf("all %s are equal, so their spread is 0 and nothing can be tested or standardised against it", what)}
}

func warnAllSame() Warning {
	return Warning{WarnAllSame, "every pair of ratings is equal, so there is no direction to test"}
}

func warnNoCorrelation() Warning {
	return Warning{WarnNoCorrelation, "all ratings of one sample are equal, so the two cannot be correlated"}
}

// absent is the marked absence of an interval at a level.
func absent(level float64) Interval { return Interval{Lo: math.NaN(), Hi: math.NaN(), Level: level} }

func warnLevelNotMet(of string, reached float64) Warning {
	return Warning{WarnLevelNotMet, fmt.Sprintf("the interval of the %s reaches only %.1f %% confidence: more pairs are needed for a higher level", of, 100*reached)}
}
