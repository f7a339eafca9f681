package stats

import "math"

// bisect returns where below turns from true to false between lo and hi, to
// about 15 digits of the larger of the place and 1.
func bisect(lo, hi float64, below func(float64) bool) float64 {
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
