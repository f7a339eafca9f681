package dist

import (
	"math"

	"cloche/internal/stats/numeric"
)

// NoncentralTCDF returns P(T ≤ t) of the noncentral t distribution with df
// degrees of freedom and noncentrality ncp: T = (Z + ncp)/S with S = √(χ²/df).
//
// Conditioning on u = ln S gives the integral of Φ(t·eᵘ − ncp) against the
// density of u (Owen 1965, Biometrika 52:437, eq. 1.2, in logarithms). The
// integrand is analytic and falls off exponentially on both sides, where the
// trapezoidal rule converges geometrically (Trefethen & Weideman 2014, SIAM
// Rev. 56:385); all terms are positive, so small tails keep their relative
// accuracy. Where t and ncp are so large that Φ is a step, it conditions on Z
// instead. df may be +Inf. NaN unless df > 0 and ncp is finite.
func NoncentralTCDF(t, df, ncp float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0) || math.IsNaN(ncp) || math.IsInf(ncp, 0):
		return math.NaN()
	case math.IsInf(t, -1):
		return 0
	case math.IsInf(t, 1):
		return 1
	case math.IsInf(df, 1):
		return NormalCDF(t - ncp)
	case max(math.Abs(t), math.Abs(ncp)) > 2*largestT:
		shrink := largestT / max(math.Abs(t), math.Abs(ncp))
		return NoncentralTCDF(t*shrink, df, ncp*shrink)
	case t == 0:
		return NormalCDF(-ncp)
	case ncp == 0:
		return TCDF(t, df)
	case tailExponent(t, df, ncp) < -760: // smaller than any float
		return numeric.Indicator(t > ncp)
	case isStep(t, df, ncp):
		p, _ := stepCDF(t, df, ncp)
		return min(1, p)
	}
	return min(1, newChiNodes(t, df, ncp, ncp, 0).cdf(t, ncp))
}

// NoncentralTSurvival returns P(T > t), accurate where it is small.
func NoncentralTSurvival(t, df, ncp float64) float64 { return NoncentralTCDF(-t, df, -ncp) }

// largestT: beyond it Z changes nothing in (Z + ncp)/S that a float could hold,
// and only the ratio of t to ncp counts.
const largestT = 1e10

// chiNodes are trapezoidal nodes s = √(χ²/df) and weights density·step.
type chiNodes struct{ s, w []float64 }

// newChiNodes places nodes for Φ(t·s − ncp) with ncp in [lo, hi], leaving out
// those whose weight is below floor.
//
// Width: the density of u has standard deviation 1/√(2·df); Φ rises over
// 1/|t·s| where t·s is near ncp, and its tail bends as fast as |t·s| where the
// product peaks. A step of 0.4 of the width of the product leaves an aliasing
// error below 10⁻¹⁴; for df below about 8 the density's own transform
// |Γ((df+iω)/2)/Γ(df/2)| asks for a step of 0.12.
// Range: where the density, or its product with a normal tail, has fallen by
// e⁻⁴⁰ on each side.
func newChiNodes(t, df, lo, hi, floor float64) chiNodes {
	left, right, steepest := 0.0, 0.0, 1.0
	for _, ncp := range [...]float64{lo, hi} {
		peak := tailPeak(t, df, ncp)
		left, right = min(left, math.Log(peak)), max(right, math.Log(peak))
		steepest = max(steepest, math.Abs(ncp)+math.Abs(t)*peak+saturated)
	}
	steepest = min(steepest, max(1, math.Abs(t)*math.Exp(right), math.Abs(lo), math.Abs(hi)))
	h := min(0.12, 0.4/math.Sqrt(2*df+steepest*steepest))
	left, right = left+fall(df, -1), right+fall(df, 1)
	n := int((right-left)/h) + 2
	both := make([]float64, 2*n)
	nodes := chiNodes{both[:0:n], both[n : n : 2*n]}
	logC := LogChiConstant(df) + math.Log(h)
	for i := range n {
		u := left + float64(i)*h
		s := math.Exp(u)
		if w := math.Exp(logC + df*(u-0.5*math.Expm1(2*u))); w > floor {
			nodes.s = append(nodes.s, s)
			nodes.w = append(nodes.w, w)
		}
	}
	return nodes
}

// saturated is where Φ differs from 0 or 1 by less than rounding.
const saturated = 8.5

// tailPeak is the s at which s^df·exp(−df·s²/2)·exp(−(ts−ncp)²/2) is largest.
func tailPeak(t, df, ncp float64) float64 {
	b := t * ncp
	root := math.Sqrt(b*b + 4*df*(t*t+df))
	if b >= 0 {
		return (b + root) / (2 * (t*t + df))
	}
	return 2 * df / (root - b)
}

// tailExponent is the logarithm of that product at its peak, relative to the
// density's own peak: about ln of the tail beyond t, if t lies in a tail.
func tailExponent(t, df, ncp float64) float64 {
	s := tailPeak(t, df, ncp)
	gap := t*s - ncp
	return df*(math.Log(s)-(s*s-1)/2) - gap*gap/2
}

// fall returns the u on the side asked for at which the density of u has
// fallen by e⁻⁴⁰ from its peak at 0.
func fall(df, side float64) float64 {
	const drop = 40
	u := side * math.Sqrt(drop/df)
	if side < 0 {
		u -= drop / df // the left side falls like e^(df·u) only
		return max(u, -drop/df-0.5-math.Sqrt(1/df))
	}
	return u
}

// LogChiConstant is ln of the density of u = ln √(χ²/df) at u = 0:
// 2·a^a·e^(−a)/Γ(a) with a = df/2.
func LogChiConstant(df float64) float64 {
	a := df / 2
	if a > 15 {
		return math.Ln2 + 0.5*math.Log(a) - 0.5*math.Log(2*math.Pi) - stirlingError(a)
	}
	g, _ := math.Lgamma(a)
	return math.Ln2 + a*math.Log(a) - a - g
}

// cdf returns Σ w·Φ(t·s − ncp).
func (c chiNodes) cdf(t, ncp float64) float64 {
	sum := 0.0
	for i, s := range c.s {
		sum += c.w[i] * math.Erfc((ncp-t*s)/math.Sqrt2)
	}
	return sum / 2
}

// cdfAndSlope returns the distribution function and its derivative by ncp.
func (c chiNodes) cdfAndSlope(t, ncp float64) (p, slope float64) {
	for i, s := range c.s {
		z := ncp - t*s
		p += c.w[i] * math.Erfc(z/math.Sqrt2)
		slope -= c.w[i] * math.Exp(-z*z/2)
	}
	return p / 2, slope / math.Sqrt(2*math.Pi)
}
