package ordinal

import (
	"math"

	"cloche/internal/stats/dist"
)

// Link is how cumulative probabilities depend on the linear predictor.
type Link int

// The links: logit (proportional odds) is the zero value.
const (
	Logit Link = iota
	Probit
)

// linkValues are the distribution function of a link at a point, with its
// first three derivatives.
type linkValues struct{ cdf, d1, d2, d3 float64 }

// at evaluates the link at z, which may be infinite.
func (l Link) at(z float64) linkValues {
	if math.IsInf(z, 0) {
		v := linkValues{}
		if z > 0 {
			v.cdf = 1
		}
		return v
	}
	if l == Probit {
		d := dist.NormalDensity(z)
		return linkValues{dist.NormalCDF(z), d, -z * d, (z*z - 1) * d}
	}
	e := math.Exp(-math.Abs(z))
	d := e / ((1 + e) * (1 + e))
	v := linkValues{cdf: e / (1 + e), d1: d}
	turn := math.Copysign((1-e)/(1+e), z) // 2F − 1
	if z > 0 {
		v.cdf = 1 / (1 + e)
	}
	v.d2, v.d3 = -d*turn, d*(1-6*d)
	return v
}

// cell is the probability p of one category, F(upper) − F(lower), with the
// derivatives of log p that the ordinal models need. A shift moves both ends.
type cell struct {
	logP           float64
	upper, lower   float64 // ∂ log p / ∂ upper, ∂ lower
	s1, s2, s3     float64 // derivatives of log p by a shift
	s1Upper, s1Low float64 // ∂ s1 / ∂ upper, ∂ lower
	s2Upper, s2Low float64 // ∂ s2 / ∂ upper, ∂ lower
}

// probability returns F(upper) − F(lower) without cancellation when both lie
// in the upper tail.
func (l Link) probability(upper, lower float64, u, v linkValues) float64 {
	if lower > 0 {
		return l.at(-lower).cdf - l.at(-upper).cdf
	}
	return u.cdf - v.cdf
}

// simpleCell evaluates log p, its slopes and s1.
func (l Link) simpleCell(upper, lower float64) (c cell, ok bool) {
	u, v := l.at(upper), l.at(lower)
	p := l.probability(upper, lower, u, v)
	if !(p > 0) {
		return c, false
	}
	c.logP = math.Log(p)
	c.upper, c.lower = u.d1/p, -v.d1/p
	c.s1 = c.upper + c.lower
	return c, true
}

// fullCell evaluates all derivatives. For the logit link f = F(1−F), so that
// p divides out of all but the slopes towards the ends: s1 = 1 − F(u) − F(l).
func (l Link) fullCell(upper, lower float64) (c cell, ok bool) {
	u, v := l.at(upper), l.at(lower)
	p := l.probability(upper, lower, u, v)
	if !(p > 0) {
		return c, false
	}
	c.logP = math.Log(p)
	c.upper, c.lower = u.d1/p, -v.d1/p
	if l == Logit {
		c.s1, c.s2, c.s3 = 1-u.cdf-v.cdf, -u.d1-v.d1, -u.d2-v.d2
		c.s1Upper, c.s1Low, c.s2Upper, c.s2Low = -u.d1, -v.d1, -u.d2, -v.d2
		return c, true
	}
	c.s1 = c.upper + c.lower
	second := (u.d2 - v.d2) / p
	c.s2 = second - c.s1*c.s1
	c.s3 = (u.d3-v.d3)/p - 3*c.s1*second + 2*c.s1*c.s1*c.s1
	c.s1Upper = (u.d2 - u.d1*c.s1) / p
	c.s1Low = -(v.d2 - v.d1*c.s1) / p
	c.s2Upper = (u.d3-u.d1*second)/p - 2*c.s1*c.s1Upper
	c.s2Low = -(v.d3-v.d1*second)/p - 2*c.s1*c.s1Low
	return c, true
}

// slopes are what is needed of a cell at a node: ∂ log p / ∂ upper, ∂ lower and by a shift.
type slopes struct{ upper, lower, s1 float64 }

// logitSlopes are those of [logitCell], with p.
func logitSlopes(oddsUpper, oddsLower float64) (c slopes, p float64, ok bool) {
	aboveU, aboveL := 1/(1+oddsUpper), 1/(1+oddsLower) // 1 − F
	c.s1 = aboveU + aboveL - 1
	if math.IsInf(oddsUpper, 1) {
		c.lower = c.s1
		return c, aboveL, aboveL > 0
	}
	p = (oddsUpper - oddsLower) * aboveU * aboveL
	if !(p > 0) {
		return c, 0, false
	}
	c.upper = oddsUpper * aboveU * aboveU / p
	c.lower = c.s1 - c.upper
	return c, p, true
}

// logitCell evaluates log p's slopes and shifts for the logit link from the
// odds e^upper and e^lower, and p itself in place of its logarithm, without an
// exponential or a logarithm. The odds are +Inf above the last threshold and 0
// below the first.
func logitCell(oddsUpper, oddsLower float64) (c cell, p float64, ok bool) {
	aboveU, aboveL := 1/(1+oddsUpper), 1/(1+oddsLower) // 1 − F
	if math.IsInf(oddsUpper, 1) {
		p = aboveL
	} else {
		p = (oddsUpper - oddsLower) * aboveU * aboveL
		c.upper = oddsUpper * aboveU * aboveU / p
	}
	if !(p > 0) {
		return c, 0, false
	}
	fu, fl := aboveU*(1-aboveU), aboveL*(1-aboveL)
	c.lower = -oddsLower * aboveL * aboveL / p
	c.s1, c.s2 = aboveU+aboveL-1, -fu-fl
	c.s2Upper, c.s2Low = -fu*(2*aboveU-1), -fl*(2*aboveL-1)
	c.s3 = c.s2Upper + c.s2Low
	c.s1Upper, c.s1Low = -fu, -fl
	return c, p, true
}
