package size

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// SDUpperLimit returns the one-sided upper confidence limit of a standard
// deviation sd that was estimated with df degrees of freedom from normal values:
// sd·√(df/χ²), χ² being the (1 − level) quantile with df degrees of freedom. A panel
// that is sized with a limit of level 0.8 has, four times in five, at least the
// power wished for, however few the values were (Browne 1995, Stat. Med. 14:1933,
// from memory). NaN unless sd ≥ 0, df ≥ 1 and 0 < level < 1.
func SDUpperLimit(sd float64, df int, level float64) float64 {
	if !(sd >= 0) || df < 1 || !(level > 0 && level < 1) {
		return math.NaN()
	}
	n := float64(df)
	return sd * math.Sqrt(n/distuv.ChiSquared{K: n}.Quantile(1-level))
}
