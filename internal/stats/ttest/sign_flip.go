package ttest

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// SignFlipOptions sets a sign-flip test; the zero value is two-sided.
type SignFlipOptions struct {
	Mu          float64           // mean of x − y under the null hypothesis
	Alternative stats.Alternative // side of P
	Draws       int               // random flips when no exact method is in reach; 0 means 100,000
	Seed        uint64            // of the random flips
}

// SignFlipResult is the outcome of [SignFlip].
type SignFlipResult struct {
	N                       int
	Sum, Mean               float64 // of x − y − Mu
	P                       float64 // on the side asked for
	TwoSided, Greater, Less float64 // of |sum|, of the sum, of minus the sum
	Exact                   bool
	Draws                   int     // random flips used; 0 when Exact
	Error                   float64 // standard error of P from random flips; 0 when Exact
	Alternative             stats.Alternative
	Warnings                []stats.Warning
}

const (
	// exactFlipCost bounds the additions of the convolution: about 50 ms.
	exactFlipCost = 100_000_000
	// exactFlipHalves bounds n for the search of two halves: 2·2¹⁸ sums.
	exactFlipHalves = 36
	defaultDraws    = 100_000
	maxFlipSteps    = 1e17 // whole numbers below it cannot overflow
)

// SignFlip is Fisher's randomisation test of paired samples (Fisher 1935, The
// Design of Experiments, sect. 21; Pitman 1937): if nothing differs, each
// difference is as likely to be positive as negative, so the sum seen is
// compared with the sums of all 2ⁿ sign patterns.
//
// Differences are whole multiples of a common step (ratings on a scale), so
// the sums are counted exactly by convolution for any n while n times the
// range is in reach; finer values are exact up to n = 36 by joining the sorted
// sums of two halves (Horowitz & Sahni 1974, J. ACM 21:277). Else Draws
// seeded random flips, p = (1 + as extreme)/(1 + Draws) (Phipson & Smyth 2010,
// Stat. Appl. Genet. Mol. Biol. 9:39), with the standard error of that.
//
// Equal pairs keep their place. When every difference is 0 every pattern gives
// the sum seen: the p-values are 1, with a warning. Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty],
// [stats.ErrNotFinite].
func SignFlip(x, y []float64, o SignFlipOptions) (SignFlipResult, error) {
	d, err := stats.ShiftedDifferences(x, y, o.Mu)
	if err != nil {
		return SignFlipResult{}, err
	}
	nan := math.NaN()
	r := SignFlipResult{N: len(d), Mean: stats.Mean(d), P: nan, TwoSided: nan, Greater: nan, Less: nan,
		Alternative: o.Alternative}
	r.Sum = r.Mean * float64(r.N)
	steps, ok := wholeSteps(d, stats.Resolution(x, y, []float64{o.Mu}))
	r.Warnings = stats.DirectionWarnings(r.N, len(steps.size))
	if len(steps.size) == 0 { // every pattern gives the same sum, 0
		r.P, r.TwoSided, r.Greater, r.Less, r.Exact = 1, 1, 1, 1, true
		return r, nil
	}
	switch {
	case ok && float64(steps.total)*float64(len(steps.size)) <= exactFlipCost:
		r.setExact(steps.convolve())
	case ok && len(steps.size) <= exactFlipHalves:
		r.setExact(steps.joinHalves())
	default:
		r.simulate(d, o)
	}
	r.P = [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater, stats.Less: r.Less}[o.Alternative]
	return r, nil
}

// flipSteps are the non-zero differences in whole steps.
type flipSteps struct {
	size       []int // |difference|/step
	sum, total int   // Σ difference, Σ |difference|
}

// wholeSteps writes the differences as multiples of their largest common
// step. It is not ok when they are too fine for whole numbers.
func wholeSteps(d []float64, grid float64) (flipSteps, bool) {
	var f flipSteps
	var common int
	reach := 0.0
	for _, v := range d {
		k := math.Round(v / grid)
		if k == 0 {
			continue
		}
		if reach += math.Abs(k); reach > maxFlipSteps {
			return flipSteps{size: make([]int, len(d))}, false
		}
		size := int(math.Abs(k))
		f.size = append(f.size, size)
		f.sum += int(k)
		common = dist.GreatestCommonDivisor(size, common)
	}
	for i := range f.size {
		f.size[i] /= common
		f.total += f.size[i]
	}
	if common > 0 {
		f.sum /= common
	}
	return f, true
}

// convolve returns P(flipped sum ≥ sum) and P(flipped sum ≤ sum). A flipped
// sum is 2·(sum of a random subset) − total.
func (f flipSteps) convolve() (atLeast, atMost float64) {
	atMost, atLeast = dist.SubsetSumTails(f.size, (f.sum+f.total)/2)
	return atLeast, atMost
}

// joinHalves counts the pairs of subset sums of two halves, both sorted, that
// reach the sum seen.
func (f flipSteps) joinHalves() (atLeast, atMost float64) {
	subset := (f.sum + f.total) / 2
	half := len(f.size) / 2
	a, b := sortedSubsetSums(f.size[:half]), sortedSubsetSums(f.size[half:])
	var less, notMore float64
	j, k := len(b), len(b)
	for _, v := range a {
		for j > 0 && v+b[j-1] >= subset {
			j--
		}
		for k > 0 && v+b[k-1] > subset {
			k--
		}
		less += float64(j)
		notMore += float64(k)
	}
	all := math.Ldexp(1, len(f.size))
	return (all - less) / all, notMore / all
}

// sortedSubsetSums returns all 2ⁿ subset sums in rising order, by merging.
func sortedSubsetSums(parts []int) []int {
	sums := []int{0}
	for _, p := range parts {
		merged := make([]int, 0, 2*len(sums))
		i := 0
		for _, s := range sums {
			for i < len(sums) && sums[i] <= s-p {
				merged = append(merged, sums[i]+p)
				i++
			}
			merged = append(merged, s)
		}
		for ; i < len(sums); i++ {
			merged = append(merged, sums[i]+p)
		}
		sums = merged
	}
	return sums
}

func (r *SignFlipResult) setExact(atLeast, atMost float64) {
	r.Exact = true
	r.Greater, r.Less = atLeast, atMost
	r.TwoSided = min(1, 2*min(atLeast, atMost))
}
