package dose

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// RatioShape says what a confidence set of a ratio looks like.
type RatioShape string

// The shapes. Only the first is an interval with two ends.
const (
	Bounded   RatioShape = "bounded"
	TwoRays   RatioShape = "two_rays"   // everything outside an interval
	OneRay    RatioShape = "one_ray"    // everything on one side
	WholeLine RatioShape = "whole_line" // every ratio
)

// String is the shape as a word.
func (s RatioShape) String() string { return string(s) }

// Estimates are two estimates, near normal together, whose ratio A/B is sought.
type Estimates struct {
	A, B             float64
	VarA, VarB, Cov  float64 // of the estimates themselves
	DegreesOfFreedom float64 // of the variances; +Inf for known ones
}

// RatioResult is a ratio of two estimates with Fieller's confidence set.
type RatioResult struct {
	Ratio        float64
	G            float64        // how unclear the denominator is: bounded only below 1
	Type         RatioShape     // of the set
	CI           stats.Interval // the set where it is bounded or one ray, infinite ends elsewhere
	Excluded     stats.Interval // of [TwoRays]: what the set leaves out; absent elsewhere
	DeltaSE      float64        // by the delta method, for comparison alone: it is wrong unless G is small
	DeltaCI      stats.Interval
	TDenominator float64 // B in its standard errors
}

// Fieller returns a ratio with its confidence set at a level, 0 for 0.95: the values r
// for which A − rB is no farther from 0 than its own standard error allows. Fieller
// (1954), J. R. Stat. Soc. B 16, 175–185. When the denominator does not differ clearly
// from 0 the set has no two ends, see [RatioShape].
func Fieller(e Estimates, level float64) (RatioResult, error) {
	level, err := stats.LevelOr95(level)
	if !(e.VarA >= 0 && e.VarB >= 0) || !(e.DegreesOfFreedom > 0) {
		err = errors.Join(err, errors.New("variances must be 0 or above, degrees of freedom above 0"))
	}
	if err = errors.Join(err, stats.CheckUsable([]float64{e.A, e.B, e.VarA, e.VarB, e.Cov})); err != nil {
		return RatioResult{}, err
	}
	q := dist.NormalQuantile((1 + level) / 2)
	if !math.IsInf(e.DegreesOfFreedom, 1) {
		q = dist.TQuantile((1+level)/2, e.DegreesOfFreedom)
	}
	r := RatioResult{Ratio: e.A / e.B, G: q * q * e.VarB / (e.B * e.B), TDenominator: e.B / math.Sqrt(e.VarB),
		Excluded: stats.NoInterval(level)}
	if e.A == 0 && e.B == 0 {
		r.Ratio, r.G = math.NaN(), math.Inf(1)
	}
	r.DeltaSE = math.Sqrt(max(0, e.VarA-2*r.Ratio*e.Cov+r.Ratio*r.Ratio*e.VarB)) / math.Abs(e.B)
	r.DeltaCI = stats.Interval{Lo: r.Ratio - q*r.DeltaSE, Hi: r.Ratio + q*r.DeltaSE, Level: level}
	r.Type, r.CI, r.Excluded = e.set(q, level)
	return r, nil
}

// set solves the quadratic (A − rB)² ≤ q²·Var(A − rB) for r.
func (e Estimates) set(q, level float64) (RatioShape, stats.Interval, stats.Interval) {
	a := e.B*e.B - q*q*e.VarB
	b := e.A*e.B - q*q*e.Cov
	c := e.A*e.A - q*q*e.VarA
	all := stats.Interval{Lo: math.Inf(-1), Hi: math.Inf(1), Level: level}
	none := stats.NoInterval(level)
	if a == 0 {
		switch {
		case b > 0:
			return OneRay, stats.Interval{Lo: c / (2 * b), Hi: math.Inf(1), Level: level}, none
		case b < 0:
			return OneRay, stats.Interval{Lo: math.Inf(-1), Hi: c / (2 * b), Level: level}, none
		}
		return WholeLine, all, none
	}
	d := b*b - a*c
	if a < 0 && !(d > 0) {
		return WholeLine, all, none
	}
	root := math.Sqrt(max(0, d))
	lo, hi := (b-root)/a, (b+root)/a
	if a < 0 {
		return TwoRays, all, stats.Interval{Lo: hi, Hi: lo, Level: level}
	}
	return Bounded, stats.Interval{Lo: lo, Hi: hi, Level: level}, none
}

// RatioOfMeans is [Fieller] of the means of pairs (a, b), one of each person.
func RatioOfMeans(a, b []float64, level float64) (RatioResult, error) {
	if len(a) != len(b) {
		return RatioResult{}, stats.ErrUnequalLengths
	}
	if len(a) < 2 {
		return RatioResult{}, errors.New("the ratio of two means has no interval from fewer than two pairs")
	}
	return Fieller(MeansOf(a, b), level)
}

// MeansOf are the means of pairs (a, b), two or more, with their variances and covariance.
func MeansOf(a, b []float64) Estimates {
	n := float64(len(a))
	meanA, meanB := stats.Mean(a), stats.Mean(b)
	e := Estimates{A: meanA, B: meanB, DegreesOfFreedom: n - 1}
	for i := range a {
		da, db := a[i]-meanA, b[i]-meanB
		e.VarA, e.VarB, e.Cov = e.VarA+da*da, e.VarB+db*db, e.Cov+da*db
	}
	scale := n * (n - 1)
	e.VarA, e.VarB, e.Cov = e.VarA/scale, e.VarB/scale, e.Cov/scale
	return e
}
