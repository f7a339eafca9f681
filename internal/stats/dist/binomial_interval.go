package dist

import (
	"math"

	"cloche/internal/stats"
)

// ClopperPearson returns the exact interval of a proportion from x successes
// in n trials (Clopper & Pearson 1934, Biometrika 26:404): each limit is the
// p at which a result at least as extreme has probability (1−level)/2. Its
// coverage is at least level. Counts are not checked: 0 ≤ x ≤ n, n ≥ 1.
func ClopperPearson(x, n int, level float64) stats.Interval {
	tail := (1 - level) / 2
	lo, hi := 0.0, 1.0
	if x > 0 {
		lo = binomialLimit(x, n, tail)
	}
	if x < n {
		hi = 1 - binomialLimit(n-x, n, tail)
	}
	return stats.Interval{Lo: lo, Hi: hi, Level: level}
}

// binomialLimit solves P(X ≥ x | n, p) = tail for p. The upper tail rises
// in p with slope x·C(n,x)·p^(x−1)·(1−p)^(n−x); Newton's method on ln of the
// tail against ln p, inside a bracket.
func binomialLimit(x, n int, tail float64) float64 {
	if x == n {
		return math.Pow(tail, 1/float64(n))
	}
	if x == 1 {
		return -math.Expm1(math.Log1p(-tail) / float64(n))
	}
	lo, hi := 0.0, 1.0
	p := Wilson(x, n, -NormalQuantile(tail)).Lo
	for range 200 {
		f := BinomialSurvival(x-1, n, p)
		if f < tail {
			lo = p
		} else {
			hi = p
		}
		slope := float64(x) * BinomialPMF(x, n, p) / p
		next := p * math.Exp((math.Log(tail)-math.Log(f))*f/(slope*p))
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-p) <= 1e-15*next {
			return next
		}
		p = next
	}
	return p
}

// Wilson is the score interval of a proportion (Wilson 1927, J. Am. Stat.
// Assoc. 22:209) with normal quantile z.
func Wilson(x, n int, z float64) stats.Interval {
	N, k := float64(n), float64(x)
	p := k / N
	middle := p + z*z/(2*N)
	half := z * math.Sqrt(p*(1-p)/N+z*z/(4*N*N))
	scale := 1 + z*z/N
	i := stats.Interval{Lo: (middle - half) / scale, Hi: (middle + half) / scale}
	if x == 0 {
		i.Lo = 0
	}
	if x == n {
		i.Hi = 1
	}
	return i
}
