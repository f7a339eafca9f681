package dist

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
)

// BinomialPMF returns P(X = x) of n trials with success probability p by
// Loader's saddle-point form (Loader 2000, Fast and Accurate Computation of
// Binomial Probabilities), which keeps relative accuracy for large n.
func BinomialPMF(x, n int, p float64) float64 {
	switch {
	case x < 0 || x > n:
		return 0
	case p == 0:
		return numeric.Indicator(x == 0)
	case p == 1:
		return numeric.Indicator(x == n)
	case x == 0:
		return math.Exp(float64(n) * math.Log1p(-p))
	case x == n:
		return math.Exp(float64(n) * math.Log(p))
	}
	k, m, N := float64(x), float64(n-x), float64(n)
	log := stirlingError(N) - stirlingError(k) - stirlingError(m) - deviance(k, N*p) - deviance(m, N*(1-p))
	return math.Exp(log) * math.Sqrt(N/(2*math.Pi*k*m))
}

// BinomialCDF returns P(X ≤ x) of n trials with success probability p. The
// terms are summed from the one nearest the mean outwards on the shorter
// side, so that small tails keep their relative accuracy.
func BinomialCDF(x, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case x < 0:
		return 0
	case x >= n:
		return 1
	case float64(x) > float64(n)*p:
		return 1 - upperBinomialTail(x+1, n, p)
	}
	return upperBinomialTail(n-x, n, 1-p)
}

// BinomialSurvival returns P(X > x).
func BinomialSurvival(x, n int, p float64) float64 {
	if n < 0 || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return BinomialCDF(n-x-1, n, 1-p)
}

// upperBinomialTail returns P(X ≥ x) for x at or above the mean.
func upperBinomialTail(x, n int, p float64) float64 {
	if p == 0 || p == 1 {
		return numeric.Indicator(x <= 0 || p == 1)
	}
	odds := p / (1 - p)
	term := BinomialPMF(x, n, p)
	sum := term
	for k := x; k < n && term > sum*1e-18; k++ {
		term *= odds * float64(n-k) / float64(k+1)
		sum += term
	}
	return min(1, sum)
}

// BinomialQuantile returns the smallest x with P(X ≤ x) ≥ q, with the
// allowance of 64 rounding units that keeps a q met exactly from being missed.
func BinomialQuantile(q float64, n int, p float64) int {
	q *= 1 - 64*0x1p-52
	lo, hi := 0, n
	for lo < hi {
		mid := lo + (hi-lo)/2
		if BinomialCDF(mid, n, p) >= q {
			hi = mid
			continue
		}
		lo = mid + 1
	}
	return lo
}

// BinomialPValue returns the exact p-value of x successes in n trials. The
// two-sided p adds every outcome no more likely than x, with a relative
// allowance of 10⁻⁷ for equal probabilities.
func BinomialPValue(x, n int, p float64, side stats.Alternative) float64 {
	switch side {
	case stats.Greater:
		return BinomialSurvival(x-1, n, p)
	case stats.Less:
		return BinomialCDF(x, n, p)
	}
	limit := BinomialPMF(x, n, p) * (1 + 1e-7)
	mean := float64(n) * p
	if float64(x) == mean {
		return 1
	}
	if float64(x) < mean {
		// Outcomes above the mean fall in probability: find the first rare enough.
		upper := firstAtMost(limit, int(math.Ceil(mean)), n, p)
		return min(1, BinomialCDF(x, n, p)+BinomialSurvival(upper-1, n, p))
	}
	lower := n - firstAtMost(limit, int(math.Ceil(float64(n)*(1-p))), n, 1-p)
	return min(1, BinomialSurvival(x-1, n, p)+BinomialCDF(lower, n, p))
}

// firstAtMost returns the smallest k ≥ from with P(X = k) ≤ limit, or n+1.
func firstAtMost(limit float64, from, n int, p float64) int {
	lo, hi := from, n+1
	for lo < hi {
		mid := lo + (hi-lo)/2
		if BinomialPMF(mid, n, p) <= limit {
			hi = mid
			continue
		}
		lo = mid + 1
	}
	return lo
}
