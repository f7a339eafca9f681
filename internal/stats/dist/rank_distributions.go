package dist

import (
	"math"
)

// SignedRankCDF returns P(W ≤ w) of the signed-rank sum of n untied
// differences (Wilcoxon 1945): exact by convolution up to n = 120, beyond by
// inverting the characteristic function Π cos(jt/2), to about 10⁻¹⁵.
func SignedRankCDF(w, n int) float64 {
	total := n * (n + 1) / 2
	switch {
	case n < 0:
		return math.NaN()
	case w < 0:
		return 0
	case w >= total:
		return 1
	case 2*w > total:
		return 1 - SignedRankCDF(total-w-1, n)
	case n > signedRankConvolutionMax:
		return invertSignedRank(n)(w)
	}
	runs := make([]run, n)
	for i := range runs {
		runs[i] = run{i + 1, 1}
	}
	tail, _ := lowerTail(runs, w)
	return tail
}

// NewSignedRank is [SignedRankCDF] as a function of w alone, for those who ask for many.
func NewSignedRank(n int) func(w int) float64 {
	if n > signedRankConvolutionMax {
		return invertSignedRank(n)
	}
	return func(w int) float64 { return SignedRankCDF(w, n) }
}

// signedRankConvolutionMax: beyond it every secondary peak of the
// characteristic function (the largest, at 2π/3, is about 2^(−2n/3)) is far
// below rounding error, so that only the frequencies near 0 count.
const signedRankConvolutionMax = 120

// invertSignedRank inverts the characteristic function Π cos(jt/2).
func invertSignedRank(n int) func(w int) float64 {
	return invertLattice(n*(n+1)/2, func(t float64) float64 {
		phi := 1.0
		for j := 1; j <= n && math.Abs(phi) > negligible; j++ {
			phi *= math.Cos(float64(j) * t / 2)
		}
		return phi
	})
}

// negligible is the size of a characteristic function that adds nothing.
const negligible = 1e-20

// invertLattice returns P(X ≤ w) as a function of w, of a whole number X between 0 and total that
// is symmetric about total/2, from the real characteristic function phi of
// X − total/2: the inverse Fourier series with period total + 1. phi must fall
// from 1 to nothing and stay there up to π. It is worked out once, whatever is asked of it.
func invertLattice(total int, phi func(t float64) float64) func(w int) float64 {
	period := float64(total + 1)
	centre := float64(total) / 2
	var weights []float64 // of the frequencies that count, from the first on
	for k := 1; k <= total/2; k++ {
		t := 2 * math.Pi * float64(k) / period
		f := phi(t)
		if math.Abs(f) <= negligible {
			break
		}
		weights = append(weights, 2/period*f/math.Sin(t/2))
	}
	return func(w int) float64 {
		sum := float64(w+1) / period
		for i, weight := range weights {
			t := 2 * math.Pi * float64(i+1) / period
			// Σ_{s=0}^{w} cos(t(s − centre)) = sin(t(w+1)/2)/sin(t/2)·cos(t(w/2 − centre))
			sum += weight * math.Sin(t*float64(w+1)/2) * math.Cos(t*(float64(w)/2-centre))
		}
		return min(1, max(0, sum))
	}
}

// quantileAllowance keeps a probability met exactly from being missed by
// rounding.
const quantileAllowance = 10 * 0x1p-52

// SmallestReaching returns the smallest s in 0 … last with cdf(s) ≥ q.
func SmallestReaching(q float64, last int, cdf func(int) float64) int {
	lo, hi := 0, last
	for lo < hi {
		mid := lo + (hi-lo)/2
		if cdf(mid) >= q-quantileAllowance {
			hi = mid
			continue
		}
		lo = mid + 1
	}
	return lo
}

// MannWhitneyCDF returns P(U ≤ u) of the number of pairs with x > y among m
// untied values of one sample and n of the other (Mann & Whitney 1947, Ann.
// Math. Stat. 18:50): exact by counting, or for very large samples by
// inverting the characteristic function, to about 10⁻¹⁵.
func MannWhitneyCDF(u, m, n int) float64 {
	switch {
	case m < 0 || n < 0:
		return math.NaN()
	case u < 0:
		return 0
	case u >= m*n:
		return 1
	case 2*u > m*n:
		return 1 - MannWhitneyCDF(m*n-u-1, m, n)
	}
	return NewUntiedMannWhitney(m, n, u)(u)
}

// NewUntiedMannWhitney returns the distribution function of U for values from
// 0 to last, at most m·n/2.
func NewUntiedMannWhitney(m, n, last int) func(u int) float64 {
	small := min(m, n)
	if small >= mannWhitneyInversionMin && float64(small)*float64(last) > mannWhitneyCountMax {
		return invertMannWhitney(m, n)
	}
	cdf := cumulate(mannWhitneyPMF(m, n, last))
	return func(u int) float64 { return cdf[u] }
}

// NewMannWhitneyMiddle is [NewUntiedMannWhitney] up to m·n/2, right to 1e-12 rather than to as much
// of a small tail: for quantiles that are far from 0.
func NewMannWhitneyMiddle(m, n int) func(u int) float64 {
	if small := min(m, n); small >= mannWhitneyInversionMin && float64(small)*float64(m*n/2) > mannWhitneyQuick {
		return invertMannWhitney(m, n)
	}
	return NewUntiedMannWhitney(m, n, m*n/2)
}

const (
	// mannWhitneyQuick is where a dozen inversions take as long as counting once.
	mannWhitneyQuick = 4e6
	// mannWhitneyInversionMin: from it on the secondary peaks of the
	// characteristic function (the largest, at π, is C((m+n)/2, m/2)/C(m+n, m))
	// are below rounding error.
	mannWhitneyInversionMin = 64
	// mannWhitneyCountMax bounds the counting: about a tenth of a second.
	mannWhitneyCountMax = 5e7
)

// invertMannWhitney inverts Π [i·sin((n+i)t/2)]/[(n+i)·sin(it/2)], i = 1 … m.
func invertMannWhitney(m, n int) func(u int) float64 {
	if m > n {
		m, n = n, m
	}
	return invertLattice(m*n, func(t float64) float64 {
		phi := 1.0
		for i := 1; i <= m && math.Abs(phi) > negligible; i++ {
			a, b := float64(i), float64(n+i)
			phi *= a / b * math.Sin(b*t/2) / math.Sin(a*t/2)
		}
		return phi
	})
}

// mannWhitneyPMF returns P(U = 0 … last) for last up to m·n/2 from the
// generating function Π (1−q^(n+i))/(1−q^i), i = 1 … m (Harding 1984, Appl.
// Stat. 33:1): after each i the coefficients are the distribution for i
// against n, so that they stay positive and near 1 in sum.
// Cost: 2·min(m, n)·last additions.
func mannWhitneyPMF(m, n, last int) []float64 {
	if m > n {
		m, n = n, m
	}
	p := make([]float64, last+1)
	p[0] = 1
	for i := 1; i <= m; i++ {
		for u := last; u >= n+i; u-- {
			p[u] -= p[u-n-i]
		}
		share := float64(i) / float64(n+i)
		for u := range min(i, len(p)) {
			p[u] *= share
		}
		for u := i; u <= last; u++ {
			p[u] = p[u]*share + p[u-i]
		}
	}
	return p
}

func cumulate(p []float64) []float64 {
	c := make([]float64, len(p))
	sum := 0.0
	for i, v := range p {
		sum += v
		c[i] = min(1, sum)
	}
	return c
}
