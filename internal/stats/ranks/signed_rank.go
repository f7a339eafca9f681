package ranks

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// ZeroMethod says what the signed-rank test does with pairs without a
// difference.
type ZeroMethod int

const (
	// Pratt ranks the zeros with the other differences and then leaves their
	// ranks out (Pratt 1959, J. Am. Stat. Assoc. 54:655). The default: rating
	// scales give many zeros, and dropping them first can reverse conclusions.
	Pratt ZeroMethod = iota
	// WilcoxonZeros drops the zeros before ranking (Wilcoxon 1945, Biom. Bull. 1:80).
	WilcoxonZeros
)

// ExactSignedRankMax is the number of non-zero differences up to which P is
// exact unless the options say otherwise: it then takes up to a tenth of a
// second, and the normal approximation is right to three digits or more.
const ExactSignedRankMax = 1000

// SignedRankOptions sets a signed-rank test; the zero value is two-sided
// against 0 with Pratt's zeros.
type SignedRankOptions struct {
	Mu          float64           // location of x − y under the null hypothesis
	Alternative stats.Alternative // side of P
	Zeros       ZeroMethod
	ExactMax    int // largest number of non-zero differences for an exact P; 0 means ExactSignedRankMax, negative never
}

// SignedRankResult is the outcome of [SignedRank].
type SignedRankResult struct {
	N, NUsed, Zeros int     // pairs; pairs with a difference; pairs without
	WPlus, WMinus   float64 // rank sums of positive and of negative differences
	P               float64 // on the side asked for: exact when Exact, else normal with continuity correction
	Exact           bool    // whether P is the exact conditional p-value
	Ties            bool    // equal absolute differences share mid-ranks

	// The exact p-values, given the ranks and ties seen; NaN when not computed.
	ExactTwoSided, ExactGreater, ExactLess float64

	// The normal approximation: mean and variance of WPlus given the ranks,
	// z without and with the continuity correction of ½, and their p-values.
	MeanWPlus, VarWPlus     float64
	Z, ZCorrected           float64
	NormalTwoSided          float64 // from Z
	NormalTwoSidedCorrected float64 // from ZCorrected
	NormalGreaterCorrected  float64
	NormalLessCorrected     float64
	Alternative             stats.Alternative
	Method                  ZeroMethod
	Warnings                []stats.Warning
}

// SignedRank is the signed-rank test of paired samples (Wilcoxon 1945; zeros
// by Pratt 1959 or dropped). It tests that x − y − Mu is distributed
// symmetrically about 0; differences are compared on ten decimals.
//
// The exact p-value is conditional on the mid-ranks and so holds under ties
// and zeros: each rank is positive or negative with probability ½, and the
// distribution of the doubled rank sum is found by convolution. The two-sided
// p is twice the smaller tail, at most 1. Beyond o.ExactMax the normal
// approximation with E = Σr/2, V = Σr²/4 and a continuity correction of ½.
//
// When every difference is 0 the p-values are NaN with a warning. Errors:
// [stats.ErrUnequalLengths], [stats.ErrEmpty], [stats.ErrNotFinite].
func SignedRank(x, y []float64, o SignedRankOptions) (SignedRankResult, error) {
	d, err := stats.ShiftedDifferences(x, y, o.Mu)
	if err != nil {
		return SignedRankResult{}, err
	}
	return SignedRankOf(d, o), nil
}

// SignedRankOf is [SignedRank] of differences that are at hand, exact equality
// being a tie; o.Mu is not looked at.
func SignedRankOf(d []float64, o SignedRankOptions) SignedRankResult {
	r := rankSums(d, o.Zeros)
	r.Alternative, r.Method = o.Alternative, o.Zeros
	r.approximate()
	limit := o.ExactMax
	if limit == 0 {
		limit = ExactSignedRankMax
	}
	r.Exact = r.NUsed > 0 && r.NUsed <= limit
	r.exact()
	r.choose()
	return r.SignedRankResult
}

// signedRanks is a result in the making, with the doubled ranks of the
// non-zero differences.
type signedRanks struct {
	SignedRankResult
	doubled     []int
	doubledPlus int
}

func rankSums(d []float64, zeros ZeroMethod) signedRanks {
	size := make([]float64, 0, len(d))
	positive := make([]bool, 0, len(d))
	r := signedRanks{SignedRankResult: SignedRankResult{N: len(d)}}
	for _, v := range d {
		if v == 0 {
			r.Zeros++
			if zeros == WilcoxonZeros {
				continue
			}
		}
		size = append(size, math.Abs(v))
		positive = append(positive, v > 0)
	}
	ranks, groups := Doubled(size)
	r.NUsed = r.N - r.Zeros
	if zeros == Pratt && r.Zeros > 0 {
		groups = groups[1:] // the zeros rank lowest
	}
	r.Ties = len(groups) < r.NUsed
	minus := 0
	for i, rank := range ranks {
		switch {
		case size[i] == 0:
			continue
		case positive[i]:
			r.doubledPlus += rank
		default:
			minus += rank
		}
		r.doubled = append(r.doubled, rank)
	}
	r.WPlus, r.WMinus = float64(r.doubledPlus)/2, float64(minus)/2
	return r
}

// approximate fills the normal approximation.
func (r *signedRanks) approximate() {
	var sum, squares float64
	for _, rank := range r.doubled {
		sum += float64(rank)
		squares += float64(rank) * float64(rank)
	}
	r.MeanWPlus, r.VarWPlus = sum/4, squares/16
	sd := math.Sqrt(r.VarWPlus)
	off := r.WPlus - r.MeanWPlus
	r.Z, r.ZCorrected = off/sd, (math.Abs(off)-0.5)/sd
	switch {
	case off < 0:
		r.ZCorrected = -r.ZCorrected
	case off == 0:
		r.ZCorrected = 0 / sd
	}
	r.NormalTwoSided = dist.NormalPValue(r.Z, stats.TwoSided)
	r.NormalTwoSidedCorrected = dist.NormalPValue(r.ZCorrected, stats.TwoSided)
	r.NormalGreaterCorrected = dist.NormalSurvival((off - 0.5) / sd)
	r.NormalLessCorrected = dist.NormalCDF((off + 0.5) / sd)
}

// exact fills the exact p-values, NaN unless r.Exact.
func (r *signedRanks) exact() {
	r.ExactTwoSided, r.ExactGreater, r.ExactLess = math.NaN(), math.NaN(), math.NaN()
	if !r.Exact {
		return
	}
	r.ExactLess, r.ExactGreater = dist.SubsetSumTails(r.doubled, r.doubledPlus)
	r.ExactTwoSided = min(1, 2*min(r.ExactLess, r.ExactGreater))
}

// choose picks P and says how it was found.
func (r *signedRanks) choose() {
	pick := func(two, greater, less float64) float64 {
		return [...]float64{stats.TwoSided: two, stats.Greater: greater, stats.Less: less}[r.Alternative]
	}
	r.Warnings = append(r.Warnings, stats.DirectionWarnings(r.N, r.NUsed)...)
	if r.NUsed == 0 {
		nan := math.NaN()
		r.P, r.Z, r.ZCorrected = nan, nan, nan
		r.NormalTwoSided, r.NormalTwoSidedCorrected = nan, nan
		r.NormalGreaterCorrected, r.NormalLessCorrected = nan, nan
		return
	}
	r.P = pick(r.NormalTwoSidedCorrected, r.NormalGreaterCorrected, r.NormalLessCorrected)
	if r.Exact {
		r.P = pick(r.ExactTwoSided, r.ExactGreater, r.ExactLess)
		return
	}
	r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnApproximate,
		Text: "the signed-rank p-value is a normal approximation because there are so many pairs"})
}
