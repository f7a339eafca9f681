// Package simulated says how much tests simulate: few studies in go test, all of
// them when the variable CLOCHE_FULL is 1.
//
// A rate that is simulated n times is compared within [Margin], four standard
// errors. At a level of 5 % that is 0.62 of a percentage point for 20,000 studies,
// 1.9 for 2,000 and 2.8 for 1,000: the short run fails with 98 % certainty when a
// test of 2,000 studies really rejects 8.2 % or 2.4 %, and one of 1,000 when it
// rejects 9.7 % or 1.5 %. It finds what is broken (a wrong df, a side forgotten, a
// variance divided by n); what is a little off, the full run finds: 6.0 % or 4.1 %.
// Seeds are fixed, so that neither run fails by chance.
package simulated

import (
	"math"
	"os"
	"runtime/debug"
)

// Simulated studies are garbage as soon as they were counted: to collect it less often makes
// the tests faster, at a few megabytes.
func init() { debug.SetGCPercent(400) }

// Full is the variable that asks for the full run.
const Full = "CLOCHE_FULL"

// All reports whether the full run was asked for.
func All() bool { return os.Getenv(Full) == "1" }

// fewest studies say something: with less, no rate near 5 % would be too low.
const fewest = 1000

// fewestAnalyses see [Analyses].
const fewestAnalyses = 500

// Studies returns how many of the full number of studies, or of seeds, to simulate:
// a tenth, but not fewer than 1,000 or than there are.
func Studies(full int) int {
	if All() {
		return full
	}
	return max(full/10, min(full, fewest))
}

// Analyses is [Studies] for studies that go through a whole analysis, which takes a hundred
// times as long as a method alone: a twentieth, but not fewer than 500. Of a power of 80 %
// a test with so few finds what is really 72 % or less; cloche calibrate plays many.
func Analyses(full int) int {
	if All() {
		return full
	}
	return max(full/20, min(full, fewestAnalyses))
}

// Panels is [Studies] for panels that are described whole, on several attributes and with
// everybody judged on each: half of them. What is counted is people, of whom each has dozens.
func Panels(full int) int {
	if All() {
		return full
	}
	return full / 2
}

// Margin returns four standard errors of a rate that is simulated n times.
func Margin(rate float64, n int) float64 { return 4 * math.Sqrt(rate*(1-rate)/float64(n)) }
