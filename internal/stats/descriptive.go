package stats

import (
	"math"
)

// Mean returns the arithmetic mean of x by the corrected two-pass algorithm
// (Chan, Golub & LeVeque 1983, Am. Stat. 37:242), NaN when x is empty.
func Mean(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	n := float64(len(x))
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	m := sum / n
	rest := 0.0
	for _, v := range x {
		rest += v - m
	}
	return m + rest/n
}

// Variance returns the sample variance of x with divisor n−1 (corrected
// two-pass algorithm), NaN for fewer than two values.
func Variance(x []float64) float64 { return varianceAbout(x, Mean(x)) }

// SD returns the sample standard deviation of x with divisor n−1, NaN for
// fewer than two values.
func SD(x []float64) float64 { return math.Sqrt(Variance(x)) }

func varianceAbout(x []float64, m float64) float64 {
	if len(x) < 2 {
		return math.NaN()
	}
	ss, rest := 0.0, 0.0
	for _, v := range x {
		d := v - m
		ss += d * d
		rest += d
	}
	n := float64(len(x))
	return max(0, ss-rest*rest/n) / (n - 1)
}

func MedianOfSorted(s []float64) float64 {
	n := len(s)
	if n == 0 {
		return math.NaN()
	}
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1]/2 + s[n/2]/2
}

// Skewness returns the adjusted Fisher–Pearson coefficient
// G1 = g1·√(n(n−1))/(n−2), with g1 = m3/m2^(3/2)
// (Joanes & Gill 1998, The Statistician 47:183). It is NaN for fewer than
// three values or when all values are equal.
func Skewness(x []float64) float64 {
	n := float64(len(x))
	m := Mean(x)
	var m2, m3 float64
	for _, v := range x {
		d := v - m
		m2 += d * d
		m3 += d * d * d
	}
	if n < 3 || AllEqual(x) {
		return math.NaN()
	}
	g1 := (m3 / n) / math.Pow(m2/n, 1.5)
	return g1 * math.Sqrt(n*(n-1)) / (n - 2)
}

// Correlation returns Pearson's r of paired x and y, NaN when either is
// constant or there are fewer than two pairs.
func Correlation(x, y []float64) float64 {
	mx, my := Mean(x), Mean(y)
	var sxy, sxx, syy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		sxy += dx * dy
		sxx += dx * dx
		syy += dy * dy
	}
	if len(x) < 2 || AllEqual(x) || AllEqual(y) {
		return math.NaN()
	}
	n1 := float64(len(x) - 1)
	return min(1, max(-1, sxy/n1/(math.Sqrt(sxx/n1)*math.Sqrt(syy/n1))))
}

// AllEqual reports whether all values of x are the same (true when empty).
func AllEqual(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}
