package stats

import "math"

// subsetSums is the null distribution of the sum of a random subset of whole
// numbers, each in or out with probability ½: the doubled signed-rank sum, or
// the doubled sum of flipped differences.
type subsetSums struct {
	p     []float64 // p[s] = P(sum = s)·2^n, scaled by 2^shift
	scale float64   // multiply p by this for probabilities
}

// maxExactShift keeps counts of 2^n subsets inside the range of a float64.
const maxExactShift = 1000

// newSubsetSums convolves the parts one by one. Counts stay exact whole
// numbers up to 2^53 and have relative error of about n·10⁻¹⁶ beyond.
// Cost: n·total additions.
func newSubsetSums(parts []int) subsetSums {
	total := 0
	for _, r := range parts {
		total += r
	}
	shift := min(len(parts), maxExactShift)
	p := make([]float64, total+1)
	p[0] = math.Ldexp(1, -shift)
	high := 0
	for _, r := range parts {
		high += r
		for s := high; s >= r; s-- {
			p[s] += p[s-r]
		}
	}
	return subsetSums{p: p, scale: math.Ldexp(1, shift-len(parts))}
}

// atMost returns P(sum ≤ s).
func (d subsetSums) atMost(s int) float64 {
	sum := 0.0
	for _, v := range d.p[:min(len(d.p), max(0, s+1))] {
		sum += v
	}
	return min(1, sum*d.scale)
}

// atLeast returns P(sum ≥ s), by symmetry.
func (d subsetSums) atLeast(s int) float64 { return d.atMost(len(d.p) - 1 - s) }
