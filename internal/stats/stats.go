package stats

import (
	"errors"
	"math"
)

// Warning is a remark on a result that a careful statistician would say aloud.
// Code is stable: tests, renderings and translations key on it. Text is one
// plain sentence that a chef can read and, where possible, says how to mend it.
type Warning struct{ Code, Text string }

// Interval is a confidence interval [Lo, Hi]. Level is the confidence level in
// (0, 1), e.g. 0.95. An unbounded side is ±Inf; an interval that could not be
// computed has NaN ends and its result carries a warning that says why.
type Interval struct{ Lo, Hi, Level float64 }

// Absent reports whether the interval could not be computed.
func (i Interval) Absent() bool { return math.IsNaN(i.Lo) || math.IsNaN(i.Hi) }

// Alternative is the side of a test. The zero value is two-sided.
type Alternative int

// The alternatives are about the first sample (or the estimate) against the
// second (or the null value).
const (
	TwoSided Alternative = iota
	Greater
	Less
)

// Errors for malformed input, matched with errors.Is. Sound input that cannot
// support a test is not an error: the result marks what is absent with NaN and
// carries a [Warning].
var (
	ErrUnequalLengths = errors.New("paired samples have unequal lengths")
	ErrNotFinite      = errors.New("values must be finite numbers")
	ErrEmpty          = errors.New("no values")
	ErrLevel          = errors.New("confidence level must lie in (0, 1)")
)

// CheckFinite returns [ErrNotFinite] when any value is NaN or infinite.
func CheckFinite(xs ...[]float64) error {
	for _, x := range xs {
		for _, v := range x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return ErrNotFinite
			}
		}
	}
	return nil
}

// CheckLevel returns [ErrLevel] unless level lies in (0, 1).
func CheckLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return ErrLevel
	}
	return nil
}
