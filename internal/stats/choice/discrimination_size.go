package choice

import (
	"fmt"

	"cloche/internal/stats/dist"
)

// criterionSlack lets a tail that equals α exactly (such as 1/8 at α = 0.125)
// count as reached although its floating-point value is an ulp above.
const criterionSlack = 1e-12

// MinCorrect returns the smallest number of correct answers out of n that is
// significant at alpha when guessing is right with probability p0: the least x
// with P(X ≥ x) ≤ alpha. reachable is false when not even n of n suffices.
//
// Exact binomial, the layout of ISO 4120 table A.1, ISO 10399 table A.1 and
// ISO 5495 table A.1.
func MinCorrect(n int, p0, alpha float64) (least int, reachable bool, err error) {
	if err := checkBinomialDesign(n, p0, alpha); err != nil {
		return 0, false, err
	}
	significant := func(x int) bool { return dist.BinomialSurvival(x-1, n, p0) <= alpha*(1+criterionSlack) }
	if !significant(n) {
		return 0, false, nil
	}
	lo, hi := 0, n // lo is never significant (its tail is 1), hi always
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if significant(mid) {
			hi = mid
			continue
		}
		lo = mid
	}
	return hi, true, nil
}

// MaxCorrectSimilar returns the largest number of correct answers out of n
// that still says "similar": the greatest x with P(X ≤ x) ≤ beta when the share
// pd of assessors discriminates. reachable is false when not even 0 correct
// would say so. A result below n·p0 means that no conclusion is possible.
//
// ISO 4120 table A.2, ISO 5495 table A.3 and their national editions.
func MaxCorrectSimilar(n int, p0, pd, beta float64) (most int, reachable bool, err error) {
	if err := checkBinomialDesign(n, p0, beta); err != nil {
		return 0, false, err
	}
	if !(pd > 0 && pd <= 1) {
		return 0, false, fmt.Errorf("share of discriminators %g: it must lie in (0, 1]", pd)
	}
	p1 := p0 + pd*(1-p0)
	similar := func(x int) bool { return dist.BinomialCDF(x, n, p1) <= beta*(1+criterionSlack) }
	if !similar(0) {
		return 0, false, nil
	}
	lo, hi := 0, n // lo is always similar, hi never (its tail is 1)
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if similar(mid) {
			lo = mid
			continue
		}
		hi = mid
	}
	return lo, true, nil
}

func checkBinomialDesign(n int, p0, alpha float64) error {
	switch {
	case n < 1:
		return fmt.Errorf("%d answers: at least 1 is needed", n)
	case !(p0 > 0 && p0 < 1):
		return fmt.Errorf("chance %g: it must lie in (0, 1)", p0)
	case !(alpha > 0 && alpha < 1):
		return fmt.Errorf("error rate %g: it must lie in (0, 1)", alpha)
	}
	return nil
}
