package size

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ErrDesign is returned for a power question whose numbers make no sense: an
// effect that is not finite, too few assessors, a level or a power outside
// (0, 1).
var ErrDesign = errors.New("a power calculation needs a finite effect, at least 2 assessors, and level and power " +
	"between 0 and 1")

// TDesign is a planned t test. The effect d is the mean difference divided by
// the standard deviation of the differences (paired) or by the common standard
// deviation (independent samples).
type TDesign struct {
	Independent bool              // two independent samples instead of pairs
	Strata      int               // fixed effects within which independent samples are compared; 0 or 1 = none
	Effect      float64           // d
	Alpha       float64           // level of the test; 0 means 0.05
	Alternative stats.Alternative // side of the test; Less needs a negative effect
	Efficiency  float64           // of another test of location against t: n assessors count as n·Efficiency; 0 means 1
	Smaller     float64           // the smaller of two groups, as a part of n, their harmonic mean; 0 means 1
	Few         int               // with fewer in the smaller group the test is on its degrees of freedom
}

// RankEfficiency is the asymptotic relative efficiency of Wilcoxon's signed-rank
// and rank-sum tests against the t tests when ratings are normal, 3/π = 0.955
// (Hodges & Lehmann 1956, Ann. Math. Stat. 27:324; it is 0.864 at the worst).
const RankEfficiency = 3 / math.Pi

// Power is the probability that a planned test rejects.
type Power struct {
	N           int      // assessors, per group with independent samples
	Power       float64  // in either direction when the test is two-sided
	RightTail   float64  // in the direction of the effect only
	Assumptions []string // what it rests on
}

// SampleSize is the answer to how many assessors are needed.
type SampleSize struct {
	N           int     // smallest number that reaches the power, per group with independent samples; 0 when none does
	NFractional float64 // where the power curve crosses the target; NaN when none does
	NNormal     int     // the same from the normal distribution: ⌈m·((z₁₋α + z_power)/d)²⌉
	Power       float64 // at N
	Assumptions []string
	Warnings    []stats.Warning
}

// maxAssessors ends the search for a sample size.
const maxAssessors = 1e9

func (d TDesign) checked() (TDesign, error) {
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if d.Efficiency == 0 {
		d.Efficiency = 1
	}
	if d.Smaller == 0 {
		d.Smaller = 1
	}
	if stats.CheckFinite([]float64{d.Effect}) != nil || stats.CheckLevel(d.Alpha) != nil ||
		!(d.Efficiency > 0.5 && d.Efficiency <= 2) || !(d.Smaller > 0.5 && d.Smaller <= 1) {
		return d, ErrDesign
	}
	return d, nil
}

func (d TDesign) assumptions() []string {
	what := "the differences of independent assessors are near normal"
	if d.Independent {
		what = "ratings of independent assessors are near normal with the same spread in both groups"
	}
	return []string{what, fmt.Sprintf("the true standardised effect is %.3g", d.Effect),
		fmt.Sprintf("the test is done at the %.3g %% level", 100*d.Alpha)}
}

// PowerT returns the power of a t test with n assessors (per group with
// independent samples) from the noncentral t distribution (Cohen 1988, ch. 2,
// exactly): noncentrality d·√n on n−1, or d·√(n/2) on 2n−2 degrees of freedom. Strata take
// one each beyond the first, which is exact where every stratum has as many of both groups.
// Of a smaller group with fewer than Few the degrees of freedom are its own, as those of the
// test are then. Errors: [ErrDesign].
func PowerT(n int, design TDesign) (Power, error) {
	d, err := design.checked()
	if err != nil || n < 2 {
		return Power{}, ErrDesign
	}
	both, right := d.power(float64(n))
	return Power{N: n, Power: both, RightTail: right, Assumptions: d.assumptions()}, nil
}

// power is defined for a fractional n above 1 after Efficiency.
func (d TDesign) power(n float64) (both, right float64) {
	n *= d.Efficiency
	ncp, df := d.Effect*math.Sqrt(n), n-1
	if d.Independent {
		ncp, df = d.Effect*math.Sqrt(n/2), 2*n-1-float64(max(1, d.Strata))
	}
	if smaller := n * d.Smaller; d.Independent && smaller < float64(d.Few) {
		df = smaller - 1
	}
	if df < 1e-9 {
		return 0, 0
	}
	switch d.Alternative {
	case stats.Greater:
		p := dist.NoncentralTSurvival(dist.TQuantile(1-d.Alpha, df), df, ncp)
		return p, p
	case stats.Less:
		p := dist.NoncentralTCDF(dist.TQuantile(d.Alpha, df), df, ncp)
		return p, p
	}
	q := dist.TQuantile(1-d.Alpha/2, df)
	ncp = math.Abs(ncp)
	right = dist.NoncentralTSurvival(q, df, ncp)
	return min(1, right+dist.NoncentralTCDF(-q, df, ncp)), right
}

// T returns the smallest number of assessors with which a t test
// reaches the power. Power rises with n, so the search doubles and halves.
// Errors: [ErrDesign]; an effect of 0 or on the wrong side of a one-sided test
// is not an error: N is 0 with a warning.
func T(power float64, design TDesign) (SampleSize, error) {
	d, err := design.checked()
	if err != nil || stats.CheckLevel(power) != nil {
		return SampleSize{}, ErrDesign
	}
	s := SampleSize{NFractional: math.NaN(), Power: math.NaN(), Assumptions: d.assumptions()}
	reached := func(n float64) bool { both, _ := d.power(n); return both >= power }
	hi := 2.0
	for !reached(hi) {
		if hi *= 2; hi > maxAssessors || d.Effect == 0 {
			s.Warnings = append(s.Warnings, warnNotReached())
			return s, nil
		}
	}
	s.NFractional = 2
	if hi > 2 {
		s.NFractional = numeric.BracketRoot(func(n float64) float64 { both, _ := d.power(n); return both - power },
			hi/2, hi, 1e-14*hi)
	}
	s.N = int(math.Ceil(s.NFractional - 1e-9))
	if !reached(float64(s.N)) {
		s.N++
	}
	s.Power, _ = d.power(float64(s.N))
	s.NNormal = d.normalSampleSize(power)
	return s, nil
}

func (d TDesign) normalSampleSize(power float64) int {
	z := dist.NormalQuantile(1-d.Alpha) + dist.NormalQuantile(power)
	if d.Alternative == stats.TwoSided {
		z = dist.NormalQuantile(1-d.Alpha/2) + dist.NormalQuantile(power)
	}
	n := z * z / (d.Effect * d.Effect * d.Efficiency)
	if d.Independent {
		n *= 2
	}
	return int(math.Ceil(n))
}

// DetectableEffectT returns the smallest standardised effect that a t test
// with n assessors (per group with independent samples) finds with the power.
// The effect of design is not used. Errors: [ErrDesign].
func DetectableEffectT(n int, power float64, design TDesign) (float64, error) {
	design.Effect = 0
	d, err := design.checked()
	if err != nil || stats.CheckLevel(power) != nil || n < 2 || power <= d.Alpha {
		return math.NaN(), ErrDesign
	}
	sign := 1.0
	if d.Alternative == stats.Less {
		sign = -1
	}
	above := func(effect float64) float64 {
		d.Effect = sign * effect
		both, _ := d.power(float64(n))
		return both - power
	}
	hi := 1.0
	for above(hi) < 0 {
		hi *= 2
	}
	return sign * numeric.BracketRoot(above, 0, hi, 1e-14*hi), nil
}

func warnNotReached() stats.Warning {
	return stats.Warning{Code: stats.WarnNotReached, Text: "no number of assessors in range reaches this power: " +
		"the effect is 0, on the wrong side, or too small"}
}
