package stats

import "math"

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
		return invertSignedRank(w, n)
	}
	runs := make([]run, n)
	for i := range runs {
		runs[i] = run{i + 1, 1}
	}
	tail, _ := lowerTail(runs, w)
	return tail
}

// signedRankConvolutionMax: beyond it every secondary peak of the
// characteristic function (the largest, at 2π/3, is about 2^(−2n/3)) is far
// below rounding error, so that only the frequencies near 0 count.
const signedRankConvolutionMax = 120

// invertSignedRank sums the inverse Fourier series of the distribution on
// 0 … n(n+1)/2 with one period of spare length.
func invertSignedRank(w, n int) float64 {
	total := n * (n + 1) / 2
	period := float64(total + 1)
	centre := float64(total) / 2
	sum := float64(w+1) / period
	for k := 1; k <= total/2; k++ {
		t := 2 * math.Pi * float64(k) / period
		phi := 1.0
		for j := 1; j <= n && math.Abs(phi) > 1e-20; j++ {
			phi *= math.Cos(float64(j) * t / 2)
		}
		if math.Abs(phi) <= 1e-20 {
			break
		}
		// Σ_{s=0}^{w} cos(t(s − centre)) = sin(t(w+1)/2)/sin(t/2)·cos(t(w/2 − centre))
		kernel := math.Sin(t*float64(w+1)/2) / math.Sin(t/2) * math.Cos(t*(float64(w)/2-centre))
		sum += 2 / period * phi * kernel
	}
	return min(1, max(0, sum))
}

// signedRankQuantile returns the smallest w with P(W ≤ w) ≥ q, less a
// rounding allowance, for q below ½.
func signedRankQuantile(q float64, n int) int {
	return smallestReaching(q, n*(n+1)/2, func(w int) float64 { return SignedRankCDF(w, n) })
}

// quantileAllowance keeps a probability met exactly from being missed by
// rounding.
const quantileAllowance = 10 * 0x1p-52

// smallestReaching returns the smallest s in 0 … last with cdf(s) ≥ q.
func smallestReaching(q float64, last int, cdf func(int) float64) int {
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
// Math. Stat. 18:50): exact, by counting.
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
	return cumulate(mannWhitneyPMF(m, n, u))[u]
}

// mannWhitneyPMF returns P(U = 0 … last), by the recurrence on the largest
// value: it belongs to x and beats all n values of y, or to y
// (Mann & Whitney 1947, eq. 2). The recurrence runs on probabilities, so
// nothing overflows. Cost: m·n·last.
func mannWhitneyPMF(m, n, last int) []float64 {
	if m > n {
		m, n = n, m
	}
	rows := make([][]float64, m+1) // rows[i] is the distribution for i against j
	for i := range rows {
		rows[i] = make([]float64, last+1)
		rows[i][0] = 1 // against nobody
	}
	for j := 1; j <= n; j++ {
		for i := 1; i <= m; i++ {
			fromX := float64(i) / float64(i+j)
			row, less := rows[i], rows[i-1]
			for u := min(last, i*j); u >= 0; u-- {
				v := row[u] * (1 - fromX)
				if u >= j {
					v += less[u-j] * fromX
				}
				row[u] = v
			}
		}
	}
	return rows[m]
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
