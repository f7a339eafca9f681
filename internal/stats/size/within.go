package size

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// WithinDesign is a planned repeated-measures analysis of K samples.
type WithinDesign struct {
	Samples int     // K
	Effect  float64 // SD of the true sample means (divisor K) over the residual SD of one rating within an assessor
	Epsilon float64 // sphericity, in [1/(K−1), 1]; 0 means 1
	Alpha   float64 // level of the F test; 0 means 0.05
}

// PowerWithin returns the power of the F test of K samples rated by the same
// n assessors from the noncentral F distribution: λ = n·K·Effect², degrees of
// freedom K−1 and (n−1)(K−1), all three times Epsilon (Muller & Barton 1989,
// J. Am. Stat. Assoc. 84:549). Errors: [ErrDesign].
func PowerWithin(n int, d WithinDesign) (float64, error) {
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if d.Epsilon == 0 {
		d.Epsilon = 1
	}
	k := float64(d.Samples)
	if n < 2 || d.Samples < 2 || stats.CheckFinite([]float64{d.Effect}) != nil || stats.CheckLevel(d.Alpha) != nil ||
		!(d.Epsilon <= 1 && d.Epsilon >= 1/(k-1)-1e-12) {
		return math.NaN(), ErrDesign
	}
	df1, df2 := d.Epsilon*(k-1), d.Epsilon*(k-1)*float64(n-1)
	lambda := d.Epsilon * float64(n) * k * d.Effect * d.Effect
	return PowerF(df1, df2, lambda, d.Alpha)
}

// Within returns the smallest number of assessors that reaches the
// power, 0 when none does. Errors: [ErrDesign].
func Within(power float64, d WithinDesign) (int, error) {
	if stats.CheckLevel(power) != nil {
		return 0, ErrDesign
	}
	if d.Effect == 0 {
		_, err := PowerWithin(2, d)
		return 0, err
	}
	return smallestN(2, func(n int) (bool, error) {
		p, err := PowerWithin(n, d)
		return p >= power, err
	})
}

// fUpperQuantile solves P(F > f) = tail, by bisection on ln f.
func fUpperQuantile(tail, df1, df2 float64) float64 {
	return math.Exp(numeric.Bisect(-700, 700, func(l float64) bool {
		return dist.FSurvival(math.Exp(l), df1, df2) > tail
	}))
}

// DetectableWithin returns the smallest effect that the F test of a
// repeated-measures analysis with n assessors finds with the power. The Effect
// of design is not used. Errors: [ErrDesign].
func DetectableWithin(n int, power float64, design WithinDesign) (float64, error) {
	design.Effect = 0
	if none, err := PowerWithin(n, design); err != nil || stats.CheckLevel(power) != nil || power <= none {
		return math.NaN(), ErrDesign
	}
	reached := func(effect float64) bool {
		design.Effect = effect
		p, err := PowerWithin(n, design)
		return err != nil || p >= power
	}
	hi := 1.0
	for !reached(hi) {
		hi *= 2
	}
	return numeric.Bisect(0, hi, func(effect float64) bool { return !reached(effect) }), nil
}
