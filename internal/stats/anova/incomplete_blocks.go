package anova

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
)

// ErrDisconnected marks blocks that fall apart into groups with no sample in
// common, so that some samples were never compared, even through others.
var ErrDisconnected = errors.New("some samples share no chain of assessors with the others, so they cannot be compared")

// BlocksResult is what [IncompleteBlocks] finds. Figures that cannot
// be computed are NaN, with a warning.
type BlocksResult struct {
	T, B          int     // samples, blocks
	K, R, Lambda  float64 // samples a block, servings a sample, joint servings a pair; NaN unless balanced
	Efficiency    float64 // λt/(rk); NaN unless balanced
	F, DF1, DF2   float64 // samples adjusted for blocks
	P, MSError    float64
	AdjustedMeans []float64 // at the average block
	SEMeans       []float64
	Pairs         []BlockPair // (0,1), (0,2), (1,2), (0,3), …
	DurbinChiSq   float64     // rank test, ties corrected; NaN unless balanced
	DurbinDF      float64
	DurbinP       float64
	Warnings      []stats.Warning
}

// BlockPair compares samples A < B within blocks.
type BlockPair struct {
	A, B     int
	Diff     float64 // adjusted mean of B less that of A
	SE, T, P float64
	PHolm    float64
	PTukey   float64
}

// IncompleteBlocks is the intra-block analysis of a panel in which every
// assessor (block) tasted some of the samples. y holds the ratings, NaN for a
// missing one; block and sample their levels, coded from 0 without gaps.
// Yates (1936), Ann. Eugen. 7, 121–140; Cochran & Cox (1957), Experimental
// Designs, chapter 11, extended to unequal blocks by the reduced normal
// equations. Rank test: Durbin (1951), Br. J. Psychol. Stat. 4, 85–90, with
// Conover's (1999, section 5.9) correction for ties.
//
// Errors: [stats.ErrCodes], [stats.ErrFewSamples], [ErrDisconnected], [stats.ErrNotFinite].
func IncompleteBlocks(y []float64, block, sample []int) (BlocksResult, error) {
	d, err := newBlockDesign(y, block, sample)
	if err != nil {
		return BlocksResult{}, fmt.Errorf("incomplete blocks: %w", err)
	}
	nan := math.NaN()
	r := BlocksResult{T: d.t, B: d.b, K: nan, R: nan, Lambda: nan, Efficiency: nan, F: nan, DF1: float64(d.t - 1),
		DF2: float64(len(d.y) - d.b - d.t + 1), P: nan, MSError: nan, DurbinChiSq: nan, DurbinDF: nan, DurbinP: nan}
	if dropped := len(y) - len(d.y); dropped > 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnMissing,
			Text: fmt.Sprintf("%d missing ratings are left out", dropped)})
	}
	if err := r.fit(d); err != nil {
		return BlocksResult{}, fmt.Errorf("incomplete blocks: %w", err)
	}
	if !r.balance(d) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNotBalanced,
			Text: "the blocks are not balanced: the pairs are not all compared with the same precision, and the " +
				"rank test is left out"})
		return r, nil
	}
	r.durbin(d)
	return r, nil
}

// blockDesign is the complete ratings with their codes.
type blockDesign struct {
	y             []float64
	block, sample []int
	t, b          int
	counts        *mat.Dense // servings, samples × blocks
}

func newBlockDesign(y []float64, block, sample []int) (blockDesign, error) {
	d := blockDesign{}
	if len(block) != len(y) || len(sample) != len(y) {
		return d, stats.ErrCodes
	}
	for i, v := range y {
		if math.IsNaN(v) {
			continue
		}
		d.y, d.block, d.sample = append(d.y, v), append(d.block, block[i]), append(d.sample, sample[i])
	}
	if err := stats.CheckUsable(d.y); err != nil {
		return d, err
	}
	var errB, errT error
	d.b, errB = countLevels(d.block, len(d.y))
	d.t, errT = countLevels(d.sample, len(d.y))
	if err := errors.Join(errB, errT); err != nil {
		return d, err
	}
	if d.t < 2 {
		return d, stats.ErrFewSamples
	}
	d.counts = mat.NewDense(d.t, d.b, nil)
	for i := range d.y {
		d.counts.Set(d.sample[i], d.block[i], d.counts.At(d.sample[i], d.block[i])+1)
	}
	return d, nil
}

// fit solves the reduced normal equations (R − N K⁻¹ Nᵗ) τ = Q with Σ τ = 0.
func (r *BlocksResult) fit(d blockDesign) error {
	size, blockMean := d.blockMeans()
	q := mat.NewVecDense(d.t, nil)
	within, raw := 0.0, stats.SumOfSquares(d.y)
	for i, v := range d.y {
		dev := v - blockMean[d.block[i]]
		q.SetVec(d.sample[i], q.AtVec(d.sample[i])+dev)
		within += dev * dev
	}
	c := mat.NewSymDense(d.t, nil)
	average := make([]float64, d.t) // share of each sample in the average block
	for i := range d.t {
		for j := i; j < d.t; j++ {
			joint := 0.0
			for l := range d.b {
				joint += d.counts.At(i, l) * d.counts.At(j, l) / size[l]
			}
			c.SetSym(i, j, 1/float64(d.t)-joint)
		}
		servings := 0.0
		for l := range d.b {
			servings += d.counts.At(i, l)
			average[i] += d.counts.At(i, l) / size[l] / float64(d.b)
		}
		c.SetSym(i, i, c.At(i, i)+servings)
	}
	var chol mat.Cholesky
	if !chol.Factorize(c) || chol.Cond() > 1e12 {
		return ErrDisconnected
	}
	tau := mat.NewVecDense(d.t, nil)
	if err := chol.SolveVecTo(tau, q); err != nil {
		return ErrDisconnected
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return ErrDisconnected
	}
	samples := mat.Dot(tau, q)
	r.test(samples, within-samples, raw)
	r.means(d, tau, &inverse, average, size, blockMean)
	return nil
}

func (d blockDesign) blockMeans() (size, mean []float64) {
	size, mean = make([]float64, d.b), make([]float64, d.b)
	for i, v := range d.y {
		size[d.block[i]]++
		mean[d.block[i]] += v
	}
	for l := range mean {
		mean[l] /= size[l]
	}
	return size, mean
}

func (r *BlocksResult) test(samples, residual, raw float64) {
	if r.DF2 < 1 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnTooFew,
			Text: "as many parameters as ratings: nothing is left to test the samples against"})
		return
	}
	if stats.RoundingOnly(residual, raw) {
		r.MSError = 0
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "no rating is left unexplained by block and sample: nothing is left to test the samples against"})
		return
	}
	r.MSError = residual / r.DF2
	r.F = math.Max(0, samples) / r.DF1 / r.MSError
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
}

// means fills in adjusted means and pairs. Sample effects and block means are
// uncorrelated, so their variances add.
func (r *BlocksResult) means(d blockDesign, tau *mat.VecDense, inverse *mat.SymDense, average, size,
	blockMean []float64) {
	level, blockPart := stats.Mean(blockMean), 0.0
	for i, w := range average {
		level -= w * tau.AtVec(i)
	}
	for _, k := range size {
		blockPart += 1 / k
	}
	blockPart /= float64(d.b * d.b)
	quadratic := func(c []float64) float64 {
		v := mat.NewVecDense(len(c), c)
		return mat.Inner(v, inverse, v)
	}
	var p []float64
	for b := range d.t {
		c := make([]float64, d.t)
		for i, w := range average {
			c[i] = -w
		}
		c[b]++
		r.AdjustedMeans = append(r.AdjustedMeans, level+tau.AtVec(b))
		r.SEMeans = append(r.SEMeans, math.Sqrt(r.MSError*(quadratic(c)+blockPart)))
		for a := range b {
			contrast := make([]float64, d.t)
			contrast[a], contrast[b] = -1, 1
			pair := r.pair(tau.AtVec(b)-tau.AtVec(a), quadratic(contrast))
			pair.A, pair.B = a, b
			r.Pairs = append(r.Pairs, pair)
			p = append(p, pair.P)
		}
	}
	for i, adjusted := range stats.Holm(p) {
		r.Pairs[i].PHolm = adjusted
	}
}

func (r *BlocksResult) pair(diff, factor float64) BlockPair {
	nan := math.NaN()
	pair := BlockPair{Diff: diff, SE: nan, T: nan, P: nan, PTukey: nan}
	if r.MSError > 0 {
		pair.SE = math.Sqrt(r.MSError * factor)
		pair.T = diff / pair.SE
		pair.P = dist.TTwoSided(pair.T, r.DF2)
		pair.PTukey = dist.StudentizedRangeSurvival(math.Abs(pair.T)*math.Sqrt2, r.T, r.DF2)
	}
	return pair
}

// balance fills in r, k, λ and the efficiency factor, or returns false.
func (r *BlocksResult) balance(d blockDesign) bool {
	var joint mat.Dense
	joint.Mul(d.counts, d.counts.T())
	k := mat.Sum(d.counts.ColView(0))
	for l := range d.b {
		if mat.Sum(d.counts.ColView(l)) != k || mat.Max(d.counts.ColView(l)) > 1 {
			return false
		}
	}
	for i := range d.t {
		for j := range d.t {
			if i != j && joint.At(i, j) != joint.At(0, 1) || joint.At(i, i) != joint.At(0, 0) {
				return false
			}
		}
	}
	r.K, r.R, r.Lambda = k, joint.At(0, 0), joint.At(0, 1)
	r.Efficiency = r.Lambda * float64(d.t) / (r.R * r.K)
	return true
}

// durbin fills in the rank test; ranks are doubled whole numbers.
func (r *BlocksResult) durbin(d blockDesign) {
	grid := stats.Resolution(d.y)
	byBlock := make([][]float64, d.b)
	members := make([][]int, d.b)
	for i, v := range d.y {
		byBlock[d.block[i]] = append(byBlock[d.block[i]], stats.OnGrid(v, grid))
		members[d.block[i]] = append(members[d.block[i]], d.sample[i])
	}
	sums := make([]float64, d.t)
	squares := 0.0
	for l, values := range byBlock {
		ranks, _ := ranks.Doubled(values)
		for i, rank := range ranks {
			sums[members[l][i]] += float64(rank)
			squares += float64(rank * rank)
		}
	}
	center := float64(len(d.y)) * (r.K + 1) * (r.K + 1)
	if squares == center {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnAllTied,
			Text: "every assessor rates all samples the same, so their ranks cannot be tested"})
		return
	}
	r.DurbinDF = float64(d.t - 1)
	r.DurbinChiSq = r.DurbinDF * (stats.SumOfSquares(sums) - r.R*center) / (squares - center)
	r.DurbinP = dist.ChiSquaredSurvival(r.DurbinChiSq, r.DurbinDF)
}
