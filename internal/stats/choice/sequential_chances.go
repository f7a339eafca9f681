package choice

import (
	"fmt"
	"math"
)

// tieSlack decides a count that lies on a line by arithmetic and not by rounding: it has
// reached it.
const tieSlack = 1e-12

// at is where the test stands with so many correct of n answers.
func (l SequentialLines) at(correct, n int) SequentialState {
	x, line := float64(correct), l.Slope*float64(n)
	switch {
	case x <= l.Low+line+tieSlack:
		return DecidedSimilar
	case x >= l.High+line-tieSlack:
		return DecidedDifferent
	}
	return Undecided
}

// SequentialChances are what a sequential test that ends at the latest after so many
// answers comes to, and how many answers it takes on average.
type SequentialChances struct{ Similar, Different, Open, Mean float64 }

// Chances returns what the test comes to, with at most so many answers, when each is
// correct with probability p: exact, by counting the paths between the lines (Wald 1947;
// Armitage 1957, Biometrika 44, 9–26). Where the last answer leaves it between the lines
// the test stays open.
func (d SequentialDesign) Chances(most int, p float64) (SequentialChances, error) {
	lines, err := d.Lines()
	if err != nil {
		return SequentialChances{}, err
	}
	if most < 1 || !(p >= 0 && p <= 1) {
		return SequentialChances{}, fmt.Errorf("%d answers, correct with probability %g: at least one, within [0, 1]",
			most, p)
	}
	r, open := SequentialChances{}, []float64{1} // probability of each count, still between the lines
	for n := 1; n <= most; n++ {
		next, left := make([]float64, n+1), 0.0
		for x, q := range open {
			next[x] += q * (1 - p)
			next[x+1] += q * p
			r.Mean += q
		}
		for x, q := range next {
			switch lines.at(x, n) {
			case DecidedSimilar:
				r.Similar, next[x] = r.Similar+q, 0
			case DecidedDifferent:
				r.Different, next[x] = r.Different+q, 0
			default:
				left += q
			}
		}
		if open, r.Open = next, left; left == 0 {
			break
		}
	}
	return r, nil
}

// FewestDifferent returns the smallest number of answers, all correct, that decide for
// different.
func (l SequentialLines) FewestDifferent() int { return int(math.Ceil(l.High/(1-l.Slope) - tieSlack)) }

// FewestSimilar returns the smallest number of answers, none correct, that decide for
// similar.
func (l SequentialLines) FewestSimilar() int { return int(math.Ceil(-l.Low/l.Slope - tieSlack)) }
