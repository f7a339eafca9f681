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
	N                         int
	Expected, Blind, Informed MeanOfPeople // ratings, on the scale
	Gap                       MeanOfPeople // E − B: what was promised beyond what was tasted
	Moved                     MeanOfPeople // I − B: what the name did
	Left                      MeanOfPeople // I − E: what is left of the promise
	Fieller                   RatioResult  // Moved over Gap
	Verdict                   Assimilation
}

// ExpectedAndInformed is the share of the way from what was tasted blind (B) to what was
// expected of a name (E) that ratings under the name (I) went: A = mean(I − B)/mean(E − B),
// with Fieller's interval over n pairs. Each person gives one of each. Zero lies outside the
// interval just when I − B is significant, one when I − E is; both by the paired t test.
//
// It is never a slope or a ratio person by person, as B stands in both differences. Let a
// person's true blind rating be b, their true gap g, of variance v_g over people, and let
// each rating err by itself:
//
//	B = b + e_B,  E = b + g + e_E,  I = b + A·g + e_I
//	I − B = A·g + e_I − e_B,  E − B = g + e_E − e_B
//	Cov(I − B, E − B) = A·v_g + v_B,  Var(E − B) = v_g + v_E + v_B
//
// so that the slope of the one on the other is (A·v_g + v_B)/(v_g + v_E + v_B): v_B lifts it
// far above 0 when the name does nothing, and v_E and v_B pull it below 1 when it does all
// (mathematical coupling: Oldham 1962, from memory). A person's own ratio has a denominator
// that may be 0, and so neither a mean nor an interval. To split people by the sign of E − B
// selects on e_B: the same fault. The means over people have no such error: theirs goes to
// 0 as people are added, and Fieller's interval allows for what is left of it.
//
// Errors: [stats.ErrUnequalLengths], and those of [RatioOfMeans].
func ExpectedAndInformed(expected, blind, informed []float64, level float64) (AssimilationResult, error) {
	r := AssimilationResult{N: len(blind)}
	if len(expected) != len(blind) || len(informed) != len(blind) {
		return r, stats.ErrUnequalLengths
	}
	err := errors.Join(stats.CheckUsable(expected), stats.CheckUsable(blind), stats.CheckUsable(informed))
	if err != nil {
		return r, err
	}
	moved, gap, left := make([]float64, r.N), make([]float64, r.N), make([]float64, r.N)
	for i, b := range blind {
		moved[i], gap[i], left[i] = informed[i]-b, expected[i]-b, informed[i]-expected[i]
	}
	for _, m := range []struct {
		mean *MeanOfPeople
		of   []float64
	}{{&r.Expected, expected}, {&r.Blind, blind}, {&r.Informed, informed}, {&r.Gap, gap}, {&r.Moved, moved},
		{&r.Left, left}} {
		if *m.mean, err = meanOfPeople(m.of, level); err != nil {
			return r, err
		}
	}
	r.Fieller, err = RatioOfMeans(moved, gap, level)
	r.Verdict = r.Fieller.assimilation()
	return r, err
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
