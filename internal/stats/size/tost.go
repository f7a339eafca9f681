package size

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ttest"
)

// EquivalenceDesign is a planned equivalence test by two one-sided t tests. Differences
// and bounds are in units of the standard deviation of the differences (paired) or of the
// common standard deviation (independent samples).
type EquivalenceDesign struct {
	Independent  bool    // two independent samples of equal size instead of pairs
	Strata       int     // fixed effects within which independent samples are compared; 0 or 1 = none
	Lower, Upper float64 // equivalence bounds
	Difference   float64 // true mean difference
	Alpha        float64 // level of each one-sided test; 0 means 0.05
}

// PowerTOST returns the exact power of the two one-sided tests with n pairs, or with n
// assessors in each group, whose spread is taken to be the same:
// given s, the ratio of estimated to true spread, both reject when the mean
// lies between Lower + t·s/√n and Upper − t·s/√n; that normal probability is
// integrated over the distribution of s (Phillips 1990, J. Pharmacokinet.
// Biopharm. 18:137). Errors: [ErrDesign], [ttest.ErrBounds].
func PowerTOST(n int, d EquivalenceDesign) (float64, error) {
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if n < 2 || stats.CheckFinite([]float64{d.Lower, d.Upper, d.Difference}) != nil || !(d.Alpha > 0 && d.Alpha < 0.5) {
		return math.NaN(), ErrDesign
	}
	if d.Lower >= d.Upper {
		return math.NaN(), ttest.ErrBounds
	}
	df, root := float64(n-1), math.Sqrt(float64(n))
	if d.Independent {
		df, root = float64(2*n-1-max(1, d.Strata)), math.Sqrt(float64(n)/2)
	}
	if df < 1 {
		return 0, nil
	}
	t := dist.TQuantile(1-d.Alpha, df)
	logC := dist.LogChiConstant(df)
	integrand := func(s float64) float64 {
		inside := dist.NormalCDF((d.Upper-d.Difference)*root-t*s) - dist.NormalCDF((d.Lower-d.Difference)*root+t*s)
		// density of s = √(χ²/df): that of ln s, divided by s
		return inside * math.Exp(logC+(df-1)*math.Log(s)-df*(s*s-1)/2)
	}
	reach := 9 / math.Sqrt(2*df)
	from, to := max(0, 1-reach), min(1+reach, (d.Upper-d.Lower)*root/(2*t))
	if to <= from {
		return 0, nil
	}
	return min(1, max(0, quad.Fixed(integrand, from, to, 128, quad.Legendre{}, 1))), nil
}

// TOST returns the smallest number of pairs that reaches the power,
// 0 when none does (the true difference lies on or outside a bound). Errors:
// [ErrDesign], [ttest.ErrBounds].
func TOST(power float64, d EquivalenceDesign) (int, error) {
	if stats.CheckLevel(power) != nil {
		return 0, ErrDesign
	}
	if d.Difference <= d.Lower || d.Difference >= d.Upper {
		_, err := PowerTOST(2, d)
		return 0, err
	}
	return smallestN(2, func(n int) (bool, error) {
		p, err := PowerTOST(n, d)
		return p >= power, err
	})
}

// DetectableMargin returns the smallest m for which n pairs, or n assessors in each
// group, with a true difference of 0 show equivalence within −m and m with the power, in the
// units of the design, whose bounds are without effect. Errors: [ErrDesign].
func DetectableMargin(n int, power float64, d EquivalenceDesign) (float64, error) {
	within := func(m float64) (float64, error) {
		d.Lower, d.Upper, d.Difference = -m, m, 0
		return PowerTOST(n, d)
	}
	if _, err := within(1); err != nil || stats.CheckLevel(power) != nil {
		return math.NaN(), ErrDesign
	}
	reached := func(m float64) bool {
		p, err := within(m)
		return err == nil && p >= power
	}
	hi := 1.0
	for !reached(hi) && hi < 1e6 {
		hi *= 2
	}
	return numeric.Bisect(0, hi, func(m float64) bool { return m == 0 || !reached(m) }), nil
}
