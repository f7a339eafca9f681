package numeric

import (
	"math"
)

// Bisect returns where below turns from true to false between lo and hi, to
// about 15 digits of the larger of the place and 1.
func Bisect(lo, hi float64, below func(float64) bool) float64 {
	for {
		mid := lo + (hi-lo)/2
		if hi-lo <= 4e-16*(1+math.Abs(mid)) || mid <= lo || mid >= hi {
			return mid
		}
		if below(mid) {
			lo = mid
			continue
		}
		hi = mid
	}
}

// BracketRoot returns the root of f between lo and hi, where f changes sign,
// to within tol, by the Anderson–Björck variant of false position (Anderson &
// Björck 1973, BIT 13, 253–264) with bisection whenever it does not halve.
func BracketRoot(f func(float64) float64, lo, hi, tol float64) float64 {
	flo, fhi := f(lo), f(hi)
	for range 200 {
		if hi-lo <= tol || flo == 0 || fhi == 0 {
			break
		}
		x := lo - flo*(hi-lo)/(fhi-flo)
		if !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
		fx := f(x)
		if fx == 0 || math.Min(x-lo, hi-x) <= tol/2 && math.Abs(fx) < 1e-12 {
			return x
		}
		if (fx < 0) == (fhi < 0) {
			m := 1 - fx/fhi
			if m <= 0 {
				m = 0.5
			}
			hi, fhi, flo = x, fx, flo*m
			continue
		}
		m := 1 - fx/flo
		if m <= 0 {
			m = 0.5
		}
		lo, flo, fhi = x, fx, fhi*m
	}
	if math.Abs(flo) < math.Abs(fhi) {
		return lo
	}
	return hi
}
