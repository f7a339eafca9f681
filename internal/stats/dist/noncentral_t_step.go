package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// stepRatio is the t²/df beyond which Φ(t·eᵘ − ncp) rises so fast against the
// density of u that conditioning on Z is cheaper.
const stepRatio = 400

// isStep reports whether [stepCDF] applies: t and ncp large and of one sign.
func isStep(t, df, ncp float64) bool {
	return math.Abs(ncp) > 12 && t*ncp > 0 && t*t > stepRatio*df
}

// stepCDF returns P(T ≤ t) and its derivative by ncp as the integral of
// P(S ≥ (z + ncp)/t) against the normal density of z, by the trapezoidal
// rule. For negative t and ncp it is the integral of P(S ≤ (z + |ncp|)/|t|).
func stepCDF(t, df, ncp float64) (p, slope float64) {
	const step = 0.25
	logC := LogChiConstant(df)
	size, shift := math.Abs(t), math.Abs(ncp)
	// A tail peaks where S must be small (z below √df) or large (z above size − shift).
	lowest, highest := max(-45, min(0, size-shift)), 2*df/(math.Hypot(shift, 2*math.Sqrt(df))+shift)
	for z := lowest - 9; z <= highest+9; z += step {
		s := (z + shift) / size
		if s <= 0 {
			continue // beyond rounding: ncp is above 12
		}
		w := step * NormalDensity(z)
		if t > 0 {
			p += w * mathext.GammaIncRegComp(df/2, df/2*s*s)
		} else {
			p += w * mathext.GammaIncReg(df/2, df/2*s*s)
		}
		slope -= w * math.Exp(logC+(df-1)*math.Log(s)-df*(s*s-1)/2) / size
	}
	return p, slope
}

// NoncentralTInterval returns the confidence limits of the noncentrality
// given the t statistic seen: the values of ncp at which P(T ≤ t) is
// (1+level)/2 and (1−level)/2 (Steiger & Fouladi 1997).
func NoncentralTInterval(t, df, level float64) (lo, hi float64) {
	if t < 0 {
		lo, hi = NoncentralTInterval(-t, df, level)
		return -hi, -lo
	}
	if t > largestT {
		lo, hi = NoncentralTInterval(largestT, df, level)
		return lo * (t / largestT), hi * (t / largestT)
	}
	z := NormalQuantile((1 + level) / 2)
	l := noncentralityLimits{t: t, df: df, scale: math.Sqrt(1 + t*t/(2*df))}
	low, high := l.start(z), l.start(-z)
	const reach, floor = 3, 1e-19
	first, last := low-reach, high+reach
	if t*t > stepRatio*df { // limits far from 0 come from stepCDF
		first, last = -13, 13
	}
	l.nodes = newChiNodes(t, df, first, last, floor)
	return l.solve(z, low), l.solve(-z, high)
}

// noncentralityLimits solves for limits that share t, df and nodes.
type noncentralityLimits struct {
	t, df, scale float64
	nodes        chiNodes
}

// start approximates the ncp at which P(T ≤ t) = Φ(z): by the normal
// approximation of Johnson & Welch 1940 (Biometrika 31:362), or, where Φ is a
// step, by t times the quantile of S after Wilson & Hilferty 1931.
func (l noncentralityLimits) start(z float64) float64 {
	if l.t*l.t > stepRatio*l.df {
		k := 2 / (9 * l.df)
		return l.t * math.Pow(max(0.01, 1-k-z*math.Sqrt(k)), 1.5)
	}
	return l.t*(1-1/(4*l.df+1)) - z*l.scale
}

// solve finds the ncp at which P(T ≤ t) = Φ(z). P falls in ncp and its probit
// is nearly straight, so Newton's method on the probit needs few steps; a
// bracket catches the rest. The last step leaves an error of the order of its
// square.
func (l noncentralityLimits) solve(z, start float64) float64 {
	lo, hi := math.Inf(-1), math.Inf(1)
	ncp := start
	for range 200 {
		p, slope := l.cdfAndSlope(ncp)
		q := NormalQuantile(min(1-1e-16, max(1e-300, p)))
		if q > z {
			lo = ncp
		} else {
			hi = ncp
		}
		step := math.Copysign(8*l.scale, q-z)
		if slope != 0 {
			step = min(8*l.scale, max(-8*l.scale, (z-q)*NormalDensity(q)/slope))
		}
		if math.Abs(step) <= 3e-7*l.scale {
			return ncp + step
		}
		ncp += step
		if ncp <= lo || ncp >= hi {
			ncp = lo + (hi-lo)/2
		}
	}
	return ncp
}

func (l noncentralityLimits) cdfAndSlope(ncp float64) (p, slope float64) {
	if isStep(l.t, l.df, ncp) {
		return stepCDF(l.t, l.df, ncp)
	}
	return l.nodes.cdfAndSlope(l.t, ncp)
}
