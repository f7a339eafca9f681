package stats

import "math"

// NoncentralTCDF returns P(T ≤ t) of the noncentral t distribution with df
// degrees of freedom and noncentrality ncp: T = (Z + ncp)/√(χ²/df).
//
// Conditioning on u = ln √(χ²/df) gives the integral of Φ(t·eᵘ − ncp) against
// the density of u (Owen 1965, Biometrika 52:437, eq. 1.2, in logarithms).
// The integrand is analytic and falls off exponentially on both sides, where
// the trapezoidal rule converges geometrically (Trefethen & Weideman 2014,
// SIAM Rev. 56:385); all terms are positive, so small tails keep their
// relative accuracy. df may be +Inf. NaN unless df > 0 and ncp is finite.
func NoncentralTCDF(t, df, ncp float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0) || math.IsNaN(ncp) || math.IsInf(ncp, 0):
		return math.NaN()
	case math.IsInf(t, -1):
		return 0
	case math.IsInf(t, 1):
		return 1
	case math.IsInf(df, 1):
		return normalCDF(t - ncp)
	case t == 0:
		return normalCDF(-ncp)
	case ncp == 0:
		return TCDF(t, df)
	}
	return min(1, newChiNodes(t, df, ncp, ncp, 0).cdf(t, ncp))
}

// NoncentralTSurvival returns P(T > t), accurate where it is small.
func NoncentralTSurvival(t, df, ncp float64) float64 { return NoncentralTCDF(-t, df, -ncp) }

// chiNodes are trapezoidal nodes s = √(χ²/df) and weights density·step.
type chiNodes struct{ s, w []float64 }

// newChiNodes places nodes for Φ(t·s − ncp) with ncp in [lo, hi], leaving out
// those whose weight is below floor.
//
// Width: the density of u has standard deviation 1/√(2·df); Φ rises over
// 1/|t·s| or 1/|ncp|. A step of 0.4 of the width of the product leaves an
// aliasing error below 10⁻¹⁴; for df below about 8 the density's own transform
// |Γ((df+iω)/2)/Γ(df/2)| asks for a step of 0.12.
// Range: where the density, or its product with a normal tail, has fallen by
// e⁻⁴⁰ on each side.
func newChiNodes(t, df, lo, hi, floor float64) chiNodes {
	left, right, steepest := 0.0, 0.0, 1.0
	for _, ncp := range [...]float64{lo, hi} {
		peak := math.Log(tailPeak(t, df, ncp))
		left, right = min(left, peak), max(right, peak)
		steepest = max(steepest, math.Abs(ncp))
	}
	steepest = max(steepest, math.Abs(t)*math.Exp(right))
	h := min(0.12, 0.4/math.Sqrt(2*df+steepest*steepest))
	left, right = left+fall(df, -1), right+fall(df, 1)
	n := int((right-left)/h) + 2
	both := make([]float64, 2*n)
	nodes := chiNodes{both[:0:n], both[n : n : 2*n]}
	logC := logChiConstant(df) + math.Log(h)
	for i := range n {
		u := left + float64(i)*h
		s := math.Exp(u)
		if w := math.Exp(logC + df*(u-0.5*(s*s-1))); w > floor {
			nodes.s = append(nodes.s, s)
			nodes.w = append(nodes.w, w)
		}
	}
	return nodes
}

// tailPeak is the s at which s^df·exp(−df·s²/2)·exp(−(ts−ncp)²/2) is largest.
func tailPeak(t, df, ncp float64) float64 {
	b := t * ncp
	root := math.Sqrt(b*b + 4*df*(t*t+df))
	if b >= 0 {
		return (b + root) / (2 * (t*t + df))
	}
	return 2 * df / (root - b)
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

// logChiConstant is ln of the density of u = ln √(χ²/df) at u = 0:
// 2·a^a·e^(−a)/Γ(a) with a = df/2.
func logChiConstant(df float64) float64 {
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

// noncentralTInterval returns the confidence limits of the noncentrality
// given the t statistic seen: the values of ncp at which P(T ≤ t) is
// (1+level)/2 and (1−level)/2 (Steiger & Fouladi 1997).
func noncentralTInterval(t, df, level float64) (lo, hi float64) {
	z := normalQuantile((1 + level) / 2)
	// The normal approximation of Johnson & Welch 1940 (Biometrika 31:362).
	middle, half := t*(1-1/(4*df+1)), z*math.Sqrt(1+t*t/(2*df))
	const reach, floor = 3, 1e-19
	nodes := newChiNodes(t, df, middle-half-reach, middle+half+reach, floor)
	return nodes.noncentrality(t, z, middle-half), nodes.noncentrality(t, -z, middle+half)
}

// noncentrality solves P(T ≤ t) = Φ(z) for ncp. P falls in ncp and its probit
// is nearly straight, so Newton's method on the probit needs few steps; a
// bracket catches the rest. The last step leaves an error of the order of its
// square.
func (c chiNodes) noncentrality(t, z, start float64) float64 {
	lo, hi := math.Inf(-1), math.Inf(1)
	ncp := start
	for range 200 {
		p, slope := c.cdfAndSlope(t, ncp)
		q := normalQuantile(min(1-1e-16, max(1e-300, p)))
		if q > z {
			lo = ncp
		} else {
			hi = ncp
		}
		step := min(8, max(-8, (z-q)*normalDensity(q)/slope))
		if math.Abs(step) <= 3e-7 {
			return ncp + step
		}
		ncp += step
		if ncp <= lo || ncp >= hi {
			ncp = lo + (hi-lo)/2
		}
	}
	return ncp
}
