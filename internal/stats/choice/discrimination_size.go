package choice

import (
	"errors"
	"fmt"
	"math"

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

// DifferenceDesign is what a difference or similarity test must achieve.
type DifferenceDesign struct {
	Protocol Protocol
	Alpha    float64 // risk of calling guessing a difference
	Beta     float64 // risk of missing the alternative
	Pd       float64 // the alternative as a share of true discriminators …
	DPrime   float64 // … or, when Pd is 0, as a sensory distance
}

// PanelPlan is a number of independent answers with its cut.
type PanelPlan struct {
	N           int
	MinCorrect  int     // from so many correct answers on: different
	Alpha, Beta float64 // risks actually run
}

// PanelSizes holds two answers to "how many assessors": exact power falls now
// and then as n rises (saw-tooth), so the first n that meets both risks is not
// safe when one assessor more may come.
type PanelSizes struct {
	First  PanelPlan // smallest n that meets both risks
	Stable PanelPlan // smallest n from which every larger n meets them too
	PC     float64   // proportion correct under the alternative
}

// maxPanel bounds the search: beyond it a difference test is no sensible plan.
const maxPanel = 200_000

// ErrNoEffect is returned when a size is asked for an alternative that equals
// guessing.
var ErrNoEffect = errors.New("nothing to find: give a share of discriminators in (0, 1] or a d′ above 0")

// PanelSize returns the numbers of independent answers a design needs. The
// same numbers serve difference and similarity tests: either way a cut must
// exist that keeps both risks.
//
// Exact binomial (ISO 4120 table A.3, ISO 10399 table A.3, ISO 5495 tables A.4
// and A.5; ASTM E1885). The saw-tooth and its cure: Ennis & Jesionka (2011),
// J. Sens. Stud. 26, 371–382.
func PanelSize(d DifferenceDesign) (PanelSizes, error) {
	if err := d.Protocol.check(); err != nil {
		return PanelSizes{}, err
	}
	chance := d.Protocol.Chance()
	for _, risk := range []float64{d.Alpha, d.Beta} {
		if err := checkBinomialDesign(1, chance, risk); err != nil {
			return PanelSizes{}, err
		}
	}
	pc := chance + d.Pd*(1-chance)
	if d.Pd == 0 && d.DPrime > 0 {
		pc = d.Protocol.PC(d.DPrime)
	}
	if !(pc > chance && pc <= 1) {
		return PanelSizes{}, ErrNoEffect
	}
	s := sizing{chance, pc, d.Alpha, d.Beta}
	limit := sizeMargin*s.normalSize() + 200
	if limit > maxPanel {
		return PanelSizes{}, fmt.Errorf("about %.0f answers would be needed: look for a larger difference",
			limit/sizeMargin)
	}
	return s.search(int(limit)), nil
}

// sizeMargin widens the normal approximation: the saw-tooth ends within a few
// teeth of it, so half as much again is ample.
const sizeMargin = 1.5

type sizing struct{ p0, p1, alpha, beta float64 }

// normalSize is the normal approximation to the size of a one-sided binomial
// test.
func (s sizing) normalSize() float64 {
	za, zb := dist.NormalQuantile(1-s.alpha), dist.NormalQuantile(1-s.beta)
	root := za*math.Sqrt(s.p0*(1-s.p0)) + zb*math.Sqrt(s.p1*(1-s.p1))
	return root * root / ((s.p1 - s.p0) * (s.p1 - s.p0))
}

func (s sizing) search(limit int) PanelSizes {
	r := PanelSizes{PC: s.p1}
	cut := 1
	for n := 1; n <= limit; n++ {
		p := s.plan(n, cut)
		cut = p.MinCorrect
		switch {
		case p.Beta > s.beta*(1+criterionSlack):
			r.Stable = PanelPlan{}
		case r.Stable.N == 0:
			r.Stable = p
			if r.First.N == 0 {
				r.First = p
			}
		}
	}
	return r
}

// plan finds the cut for n, searching up from that of n−1: cuts never fall.
// A cut above n cannot be reached.
func (s sizing) plan(n, cut int) PanelPlan {
	for cut <= n && dist.BinomialSurvival(cut-1, n, s.p0) > s.alpha*(1+criterionSlack) {
		cut++
	}
	if cut > n {
		return PanelPlan{N: n, MinCorrect: cut, Beta: 1}
	}
	return PanelPlan{n, cut, dist.BinomialSurvival(cut-1, n, s.p0), dist.BinomialCDF(cut-1, n, s.p1)}
}
