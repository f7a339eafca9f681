package dose

import (
	"errors"

	"cloche/internal/stats"
)

// Assimilation says how far a name drew ratings from what was tasted blind to what was expected.
type Assimilation string

// What the interval of the ratio says, and nothing beside it.
const (
	PartOfTheWay     Assimilation = "partial_assimilation"           // inside (0, 1)
	PerhapsAllTheWay Assimilation = "assimilation_possibly_complete" // above 0, and holds 1
	BeyondExpected   Assimilation = "overshoot"                      // above 1
	AwayFromExpected Assimilation = "contrast"                       // below 0
	NoneOrPart       Assimilation = "none_to_partial"                // below 1, and holds 0
	WayUndecided     Assimilation = "undecided"                      // holds both
	WayNotEstimable  Assimilation = "not_estimable"                  // has no two ends
)

// String is the verdict as a word.
func (a Assimilation) String() string { return string(a) }

// AssimilationResult is the outcome of [ExpectedAndInformed].
type AssimilationResult struct {
	N       int
	Fieller RatioResult // mean(I − B)/mean(E − B)
	Verdict Assimilation
}

// ExpectedAndInformed is the share of the way from what was tasted blind (B) to what was
// expected of a name (E) that ratings under the name (I) went: A = mean(I − B)/mean(E − B),
// with Fieller's interval over n pairs. Each person gives one of each. Zero lies outside the
// interval just when I − B is significant, one when I − E is; both by the paired t test.
//
// It is never a slope or a ratio person by person: B stands in both differences. With error
// variances v_B and v_E of one rating and variance v_g of people's true gaps, the slope of
// I − B on E − B is (A·v_g + v_B)/(v_g + v_E + v_B): far from 0 when the name does nothing, and
// below 1 when it does all (mathematical coupling: Oldham 1962, from memory). To split people
// by the sign of E − B selects on the error of B: the same fault.
//
// Errors: [stats.ErrUnequalLengths], and those of [RatioOfMeans].
func ExpectedAndInformed(expected, blind, informed []float64, level float64) (AssimilationResult, error) {
	if len(expected) != len(blind) || len(informed) != len(blind) {
		return AssimilationResult{}, stats.ErrUnequalLengths
	}
	err := errors.Join(stats.CheckUsable(expected), stats.CheckUsable(blind), stats.CheckUsable(informed))
	if err != nil {
		return AssimilationResult{}, err
	}
	moved, gap := make([]float64, len(blind)), make([]float64, len(blind))
	for i, b := range blind {
		moved[i], gap[i] = informed[i]-b, expected[i]-b
	}
	ratio, err := RatioOfMeans(moved, gap, level)
	return AssimilationResult{N: len(blind), Fieller: ratio, Verdict: ratio.assimilation()}, err
}

// assimilation reads the interval of the ratio, the first that holds.
func (r RatioResult) assimilation() Assimilation {
	lo, hi := r.CI.Lo, r.CI.Hi
	switch {
	case r.Type != Bounded:
		return WayNotEstimable
	case lo > 1:
		return BeyondExpected
	case hi < 0:
		return AwayFromExpected
	case lo > 0 && hi < 1:
		return PartOfTheWay
	case lo > 0:
		return PerhapsAllTheWay
	case hi < 1:
		return NoneOrPart
	}
	return WayUndecided
}
