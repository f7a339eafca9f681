package ranks

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// MannWhitneyOptions sets a Mann–Whitney test; the zero value is two-sided.
type MannWhitneyOptions struct {
	Alternative stats.Alternative // side of P; Greater: x tends to exceed y
	// most additions to spend on the exact distribution; 0 means ExactMannWhitneyCost, negative none
	ExactCost int
}

// ExactMannWhitneyCost is the number of additions (about a tenth of a second)
// up to which the exact distribution is counted: 60 against 60, for example.
const ExactMannWhitneyCost = 200_000_000

// MannWhitneyResult is the outcome of [MannWhitney].
type MannWhitneyResult struct {
	NX, NY    int
	U, UOther float64 // pairs with x > y, pairs with y > x; ties count half
	Ties      bool
	P         float64 // on the side asked for: exact when Exact, else normal with continuity correction
	Exact     bool

	// The exact p-values given the ties seen; NaN when not computed.
	// ExactTwoSided adds all rank sums at least as far from their mean as the
	// one seen; ExactDoubled is twice the smaller tail. They differ only with
	// ties in samples of unequal size.
	ExactTwoSided, ExactGreater, ExactLess, ExactDoubled float64

	// The normal approximation with variance corrected for ties, without and
	// with the continuity correction of ½.
	MeanU, VarU             float64
	Z, ZCorrected           float64
	NormalTwoSided          float64
	NormalTwoSidedCorrected float64
	Alternative             stats.Alternative
	Warnings                []stats.Warning
}

// MannWhitney is the rank-sum test of two independent samples (Wilcoxon 1945;
// Mann & Whitney 1947, Ann. Math. Stat. 18:50) of equal distributions against
// one tending to give larger values. Values are compared on ten decimals.
//
// The exact distribution is conditional on the mid-ranks, and so holds under
// ties: all ways to choose nₓ of them are counted by doubled rank sum
// (Streitberg & Röhmel 1986, Stat. Software Newsl. 12:10). P is the exact
// two-sided p that adds all rank sums as far from the mean, or one tail.
//
// When all values are equal the tests are NaN with a warning. Errors:
// [stats.ErrEmpty], [stats.ErrNotFinite].
func MannWhitney(x, y []float64, o MannWhitneyOptions) (MannWhitneyResult, error) {
	if len(x) == 0 || len(y) == 0 {
		return MannWhitneyResult{}, stats.ErrEmpty
	}
	if err := stats.CheckSize(x, y); err != nil {
		return MannWhitneyResult{}, err
	}
	pooled := make([]float64, 0, len(x)+len(y))
	grid := stats.Resolution(x, y)
	for _, v := range x {
		pooled = append(pooled, stats.OnGrid(v, grid))
	}
	for _, v := range y {
		pooled = append(pooled, stats.OnGrid(v, grid))
	}
	ranks, groups := Doubled(pooled)
	r := newMannWhitney(ranks, groups, len(x))
	r.Alternative = o.Alternative
	if len(groups) == 1 {
		r.withhold()
		return r, nil
	}
	r.approximate(groups)
	limit := o.ExactCost
	if limit == 0 {
		limit = ExactMannWhitneyCost
	}
	r.exact(ranks, float64(limit))
	r.choose()
	return r, nil
}

func newMannWhitney(ranks, groups []int, m int) MannWhitneyResult {
	sum := 0
	for _, rank := range ranks[:m] {
		sum += rank
	}
	n := len(ranks) - m
	nan := math.NaN()
	r := MannWhitneyResult{NX: m, NY: n, U: float64(sum-m*(m+1)) / 2, Ties: len(groups) < len(ranks),
		ExactTwoSided: nan, ExactGreater: nan, ExactLess: nan, ExactDoubled: nan, MeanU: float64(m*n) / 2}
	r.UOther = float64(m*n) - r.U
	return r
}

func (r *MannWhitneyResult) withhold() {
	nan := math.NaN()
	r.P, r.Z, r.ZCorrected, r.NormalTwoSided, r.NormalTwoSidedCorrected = nan, nan, nan, nan, nan
	if r.NX+r.NY < 3 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "different ratings"))
		return
	}
	r.Warnings = append(r.Warnings, stats.NoSpread("ratings"))
}

func (r *MannWhitneyResult) approximate(groups []int) {
	n := float64(r.NX + r.NY)
	ties := 0.0
	for _, g := range groups {
		t := float64(g)
		ties += t*t*t - t
	}
	r.VarU = float64(r.NX) * float64(r.NY) / 12 * (n + 1 - ties/(n*(n-1)))
	sd := math.Sqrt(r.VarU)
	off := r.U - r.MeanU
	r.Z = off / sd
	if off != 0 {
		r.ZCorrected = math.Copysign(math.Abs(off)-0.5, off) / sd
	}
	r.NormalTwoSided = dist.NormalPValue(r.Z, stats.TwoSided)
	r.NormalTwoSidedCorrected = dist.NormalPValue(r.ZCorrected, stats.TwoSided)
}

// choose picks P and says how it was found.
func (r *MannWhitneyResult) choose() {
	if r.Exact {
		r.P = [...]float64{stats.TwoSided: r.ExactTwoSided, stats.Greater: r.ExactGreater,
			stats.Less: r.ExactLess}[r.Alternative]
		return
	}
	off, sd := r.U-r.MeanU, math.Sqrt(r.VarU)
	switch r.Alternative {
	case stats.Greater:
		r.P = dist.NormalSurvival((off - 0.5) / sd)
	case stats.Less:
		r.P = dist.NormalCDF((off + 0.5) / sd)
	default:
		r.P = r.NormalTwoSidedCorrected
	}
	r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnApproximate,
		Text: "the Mann–Whitney p-value is a normal approximation because there are so many ratings"})
}
