package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// profileInterval holds the distances that the likelihood ratio does not reject against
// the best one, each with the criterion that suits it best.
func (c sameDifferentCounts) profileInterval(r SameDifferentResult, level float64) stats.Interval {
	z := dist.NormalQuantile((1 + level) / 2)
	least := r.LogLik - z*z/2
	kept := func(d float64) bool { return c.profile(d) >= least }
	ci := stats.Interval{Hi: numeric.Bisect(r.DPrime, r.DPrime+maxDPrime, kept), Level: level}
	if !kept(0) {
		ci.Lo = numeric.Bisect(0, r.DPrime, func(d float64) bool { return !kept(d) })
	}
	return ci
}

// profile is the log-likelihood of a distance with the criterion that suits it best, found
// by golden section.
func (c sameDifferentCounts) profile(d float64) float64 {
	const golden = 0.6180339887498949
	lo, hi := 1e-9, d+maxDPrime
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	atA, atB := c.logLik(a, d), c.logLik(b, d)
	for hi-lo > 1e-9*(1+hi) {
		if atA < atB {
			lo, a, atA = a, b, atB
			b = lo + golden*(hi-lo)
			atB = c.logLik(b, d)
			continue
		}
		hi, b, atB = b, a, atA
		a = hi - golden*(hi-lo)
		atA = c.logLik(a, d)
	}
	return math.Max(atA, atB)
}
