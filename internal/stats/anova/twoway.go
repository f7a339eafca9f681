package anova

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// TwoWayResult is what [TwoWay] finds. Effects are A, B and A×B.
type TwoWayResult struct {
	SSResidual, DFResidual float64
	TypeII, TypeIII        [3]Effect
	Warnings               []stats.Warning
}

// Effect is one row of an analysis of variance table. F, P and ω² are NaN
// when there are no residuals to test against.
type Effect struct {
	SS, DF, F, P  float64
	PartialEta2   float64 // SS / (SS + SS residual)
	PartialOmega2 float64 // (SS − df·MSE) / (SS + (n − df)·MSE), Keren & Lewis (1979), Educ. Psychol. Meas. 39, 119–128
}

// WarnEmptyCell marks a crossed layout with a combination that never occurs.
const WarnEmptyCell = "empty-cell"

// TwoWay is the analysis of variance of two crossed factors between
// assessors, balanced or not. a and b hold the level of each value, coded from
// 0 without gaps. Sums of squares of type II (each main effect given the
// other, the interaction given both) and III (each effect given all others,
// with effects that sum to zero): Yates (1934), J. Am. Stat. Assoc. 29, 51–66;
// names from Speed, Hocking & Hackney (1978), J. Am. Stat. Assoc. 73, 105–112.
// With an empty cell type III depends on an arbitrary choice and is left NaN.
func TwoWay(y []float64, a, b []int) (TwoWayResult, error) {
	ka, errA := countLevels(a, len(y))
	kb, errB := countLevels(b, len(y))
	if err := errors.Join(errA, errB, stats.CheckUsable(y)); err != nil {
		return TwoWayResult{}, fmt.Errorf("two-way anova: %w", err)
	}
	if ka < 2 || kb < 2 {
		return TwoWayResult{}, fmt.Errorf("two-way anova with %d × %d levels: %w", ka, kb, stats.ErrFewSamples)
	}
	mean := stats.Mean(y)
	centred := make([]float64, len(y))
	for i, v := range y {
		centred[i] = v - mean
	}
	x := sumToZeroColumns(a, b, ka, kb)
	t := anovaTable{y: centred, raw: stats.SumOfSquares(y)}
	full := t.fit(x.one, x.a, x.b, x.ab)
	r := TwoWayResult{SSResidual: full.ss, DFResidual: float64(len(y) - full.rank)}
	if stats.RoundingOnly(r.SSResidual, t.raw) {
		r.SSResidual = 0
	}
	if r.SSResidual == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "no value is left unexplained: nothing is left to test the effects against"})
	}
	main := t.fit(x.one, x.a, x.b)
	r.TypeII = [3]Effect{t.effect(t.fit(x.one, x.b), main, r), t.effect(t.fit(x.one, x.a), main, r),
		t.effect(main, full, r)}
	if full.rank < ka*kb {
		nan := math.NaN()
		none := Effect{nan, nan, nan, nan, nan, nan}
		r.TypeIII = [3]Effect{none, none, none}
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnEmptyCell,
			Text: "some combination of the two factors was never rated: type III sums of squares are not defined"})
		return r, nil
	}
	r.TypeIII = [3]Effect{t.effect(t.fit(x.one, x.b, x.ab), full, r), t.effect(t.fit(x.one, x.a, x.ab), full, r),
		t.effect(main, full, r)}
	return r, nil
}

// countLevels returns the number of levels of n codes.
func countLevels(code []int, n int) (int, error) {
	if n == 0 {
		return 0, stats.ErrEmpty
	}
	if len(code) != n {
		return 0, stats.ErrCodes
	}
	seen := map[int]bool{}
	highest := 0
	for _, c := range code {
		if c < 0 {
			return 0, stats.ErrCodes
		}
		seen[c] = true
		highest = max(highest, c)
	}
	if len(seen) != highest+1 {
		return 0, stats.ErrCodes
	}
	return highest + 1, nil
}

// twoWayColumns are the columns of a two-way layout by effect.
type twoWayColumns struct{ one, a, b, ab [][]float64 }

func sumToZeroColumns(a, b []int, ka, kb int) twoWayColumns {
	one := make([]float64, len(a))
	for i := range one {
		one[i] = 1
	}
	x := twoWayColumns{one: [][]float64{one}, a: sumToZero(a, ka), b: sumToZero(b, kb)}
	for _, ca := range x.a {
		for _, cb := range x.b {
			product := make([]float64, len(ca))
			for i := range product {
				product[i] = ca[i] * cb[i]
			}
			x.ab = append(x.ab, product)
		}
	}
	return x
}

// sumToZero codes k levels in k−1 columns whose effects sum to zero: level l
// has a 1 in column l, the last level −1 in all.
func sumToZero(code []int, k int) [][]float64 {
	columns := make([][]float64, k-1)
	for l := range columns {
		columns[l] = make([]float64, len(code))
		for i, c := range code {
			switch c {
			case l:
				columns[l][i] = 1
			case k - 1:
				columns[l][i] = -1
			}
		}
	}
	return columns
}

// anovaTable compares least-squares fits of y; raw is the sum of squares of
// the values before centring, the measure of their rounding error.
type anovaTable struct {
	y   []float64
	raw float64
}

type anovaFit struct {
	ss   float64
	rank int
}

func (t anovaTable) fit(effects ...[][]float64) anovaFit {
	var columns [][]float64
	for _, e := range effects {
		columns = append(columns, e...)
	}
	o := numeric.Orthonormalise(columns)
	return anovaFit{ss: stats.SumOfSquares(o.Residual(t.y)), rank: len(o.Kept)}
}

// effect tests what large explains beyond small.
func (t anovaTable) effect(small, large anovaFit, r TwoWayResult) Effect {
	nan := math.NaN()
	e := Effect{SS: math.Max(0, small.ss-large.ss), DF: float64(large.rank - small.rank), F: nan, P: nan,
		PartialEta2: nan, PartialOmega2: nan}
	if stats.RoundingOnly(e.SS, t.raw) {
		e.SS = 0
	}
	if e.SS+r.SSResidual > 0 {
		e.PartialEta2 = e.SS / (e.SS + r.SSResidual)
	}
	if r.SSResidual > 0 && r.DFResidual > 0 && e.DF > 0 {
		mse := r.SSResidual / r.DFResidual
		e.F = e.SS / e.DF / mse
		e.P = dist.FSurvival(e.F, e.DF, r.DFResidual)
		e.PartialOmega2 = (e.SS - e.DF*mse) / (e.SS + (float64(len(t.y))-e.DF)*mse)
	}
	return e
}
