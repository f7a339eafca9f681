package dist

import (
	"math"

	"cloche/internal/stats/numeric"
)

// The studentized range Q = (max − min)/s of k independent standard normal
// values over an independent s with df·s² ~ χ²(df): Copenhaver & Holland
// (1988), J. Statist. Comput. Simul. 30, 1–15. Their two nested integrals are
// kept; both are taken here as survival functions, so that small tail areas
// keep their relative precision, and by the trapezoidal rule, which converges
// geometrically for analytic integrands that vanish at both ends (Trefethen &
// Weideman 2014, SIAM Review 56, 385–458, section 5).

const (
	// rangeStep is the spacing of the inner rule. The narrowest integrand met
	// (hundreds of samples) has a standard deviation near 0.4, for which the
	// error is about exp(−2π²·0.16/h²) = exp(−50).
	rangeStep = 0.25
	// rangeNodes reach from −8.5 to 27, far enough for every w below rangeMax.
	rangeLow   = -34
	rangeNodes = 143
	// rangeMax: beyond it the tail area is below 1e-170.
	rangeMax = 40
)

// rangeTable holds Φ(u) and φ(u) at the nodes of the inner rule.
var rangeTable = func() (t struct{ cdf, pdf [rangeNodes]float64 }) {
	for i := range rangeNodes {
		u := float64(rangeLow+i) * rangeStep
		t.cdf[i] = math.Erfc(-u/math.Sqrt2) / 2
		t.pdf[i] = math.Exp(-u*u/2) / math.Sqrt(2*math.Pi)
	}
	return t
}()

// maxMeans and minRangeDF bound the work of the integral: no study compares
// more means, and no error has fewer degrees of freedom.
const (
	maxMeans   = 10_000
	minRangeDF = 0.01
)

// StudentizedRangeSurvival returns P(Q > q) for the studentized range of k
// means and df error degrees of freedom; df may be +Inf. k < 2 or above
// 10,000, df < 0.01 or a NaN give NaN.
func StudentizedRangeSurvival(q float64, k int, df float64) float64 {
	switch {
	case math.IsNaN(q) || math.IsNaN(df) || k < 2 || k > maxMeans || df < minRangeDF:
		return math.NaN()
	case q <= 0:
		return 1
	case math.IsInf(q, 1):
		return 0
	case k == 2: // Q = |T|·√2
		return TTwoSided(q/math.Sqrt2, df)
	case math.IsInf(df, 1):
		return rangeSurvival(q, k)
	}
	return averageOverScale(q, k, df)
}

// StudentizedRangeCDF returns P(Q ≤ q); see [StudentizedRangeSurvival].
func StudentizedRangeCDF(q float64, k int, df float64) float64 {
	return 1 - StudentizedRangeSurvival(q, k, df)
}

// averageOverScale integrates the tail of the range of unit normals over the
// distribution of x = log s. It starts at s = 1 and walks both ways until the
// terms no longer count: the integrand has one maximum, at or left of s = 1.
func averageOverScale(q float64, k int, df float64) float64 {
	// 0.12 is enough for the double-exponential decay on the right whatever df
	// is; 1/√(2df) is the standard deviation of log s for large df.
	tail := func(w float64) float64 { return rangeSurvival(w, k) }
	if k <= curveMeans {
		tail = rangeCurveFor(k).survival
	}
	h := math.Min(0.12, 0.5/math.Sqrt(2*df))
	lg, _ := math.Lgamma(df / 2)
	c := math.Ln2 + df/2*math.Log(df/2) - lg
	sum := 0.0
	for _, step := range []float64{-h, h} {
		x := 0.0
		if step > 0 {
			x = h
		}
		for previous := 0.0; ; x += step {
			scale := math.Exp(x)
			logDensity := c + df*x - df/2*scale*scale
			if logDensity < -700 {
				break
			}
			term := math.Exp(logDensity) * tail(q*scale)
			sum += term
			if term <= previous && term < 1e-17*sum {
				break
			}
			previous = term
		}
	}
	return math.Min(1, sum*h)
}

// rangeSurvival returns the probability that the range of k independent
// standard normal values exceeds w:
//
//	k ∫ φ(u) { Φ(u)^(k−1) − [Φ(u) − Φ(u−w)]^(k−1) } du,
//
// Copenhaver & Holland's equation (2.3) subtracted from k ∫ φ Φ^(k−1) = 1.
func rangeSurvival(w float64, k int) float64 {
	if w >= rangeMax {
		return 0
	}
	if w <= 0 {
		return 1
	}
	// Outside these bounds the integrand is below 1e-17 of its maximum.
	lo := math.Max(-8.5, w/2-6.5)
	hi := math.Sqrt(w*w/2 + 76)
	if w > 13 {
		hi = w/2 + 6.5
	}
	first := int(math.Floor(lo/rangeStep)) - rangeLow
	last := int(math.Ceil(hi/rangeStep)) - rangeLow
	sum := 0.0
	for i := max(first, 0); i <= min(last, rangeNodes-1); i++ {
		u := float64(rangeLow+i) * rangeStep
		below := math.Erfc((w-u)/math.Sqrt2) / 2
		sum += rangeTable.pdf[i] * powerGap(rangeTable.cdf[i], below, k-1)
	}
	return math.Min(1, float64(k)*sum*rangeStep)
}

// powerGap returns a^m − (a−b)^m for 0 ≤ b ≤ a ≤ 1 without cancellation.
func powerGap(a, b float64, m int) float64 {
	if b >= a {
		return math.Pow(a, float64(m))
	}
	const short = 12 // up to here the finite sum is cheaper than two logarithms
	if m > short {
		return -math.Pow(a, float64(m)) * math.Expm1(float64(m)*math.Log1p(-b/a))
	}
	// b·Σ a^i (a−b)^(m−1−i), by Horner's rule.
	c := a - b
	sum, power := 1.0, 1.0
	for range m - 1 {
		power *= a
		sum = sum*c + power
	}
	return b * sum
}

// StudentizedRangeQuantile returns the q for which P(Q ≤ q) = p, 0 ≤ p ≤ 1;
// other arguments as in [StudentizedRangeSurvival]. p = 1 gives +Inf.
func StudentizedRangeQuantile(p float64, k int, df float64) float64 {
	if !(p >= 0 && p <= 1) || k < 2 || !(df > 0) {
		return math.NaN()
	}
	if p == 0 {
		return 0
	}
	if p < 0.5 && k > 2 {
		return studentizedRangeLower(p, k, df)
	}
	return StudentizedRangeUpper(1-p, k, df)
}

// studentizedRangeLower solves P(Q ≤ q) = p for small p on log scales.
func studentizedRangeLower(p float64, k int, df float64) float64 {
	gap := func(x float64) float64 {
		return math.Log(p) - math.Log(math.Max(StudentizedRangeCDF(math.Exp(x), k, df), 1e-300))
	}
	hi := math.Log(StudentizedRangeUpper(0.5, k, df))
	lo := hi
	for gap(lo) <= 0 && lo > -700 {
		lo--
	}
	return math.Exp(numeric.BracketRoot(gap, lo, hi, 1e-11))
}

// StudentizedRangeUpper returns the q for which P(Q > q) = tail ≤ 1/2. One pair alone
// bounds it from below and Bonferroni's inequality over all pairs from above;
// the equation is solved on log scales, where it is close to a straight line.
func StudentizedRangeUpper(tail float64, k int, df float64) float64 {
	if tail <= 0 {
		return math.Inf(1)
	}
	if k == 2 {
		return math.Sqrt2 * TQuantileUpper(tail/2, df)
	}
	gap := func(x float64) float64 {
		return math.Log(StudentizedRangeSurvival(math.Exp(x), k, df)) - math.Log(tail)
	}
	lo := math.Log(math.Sqrt2 * TQuantileUpper(tail/2, df))
	pairs := float64(k) * float64(k-1) / 2
	hi := math.Log(math.Sqrt2*TQuantileUpper(math.Min(tail/pairs, 1)/2, df)) + 1e-9
	return math.Exp(numeric.BracketRoot(gap, lo, hi, 1e-11))
}
