package ranks

import (
	"math"
	"slices"

	"cloche/internal/stats/dist"
)

// exact fills the exact p-values unless they cost more than limit additions.
func (r *MannWhitneyResult) exact(ranks []int, limit float64) {
	m, n := float64(r.NX), float64(r.NY)
	small := min(m, n)
	if limit < 0 {
		return
	}
	if !r.Ties && small*m*n <= limit {
		r.exactUntied()
		return
	}
	if (m+n)*small*2*m*n/3 > limit {
		return
	}
	r.Exact = true
	// In doubled units above the least possible sum, 2U runs from 0 to 2mn.
	p := rankSumPMF(ranks, min(r.NX, r.NY))
	seen := int(math.Round(2 * r.U))
	if r.NX > r.NY {
		seen = int(math.Round(2 * r.UOther))
	}
	middle := r.NX * r.NY
	far := max(seen-middle, middle-seen)
	var atMost, atLeast, asFar float64
	for s, v := range p {
		if s <= seen {
			atMost += v
		}
		if s >= seen {
			atLeast += v
		}
		if s-middle >= far || middle-s >= far {
			asFar += v
		}
	}
	r.ExactLess, r.ExactGreater = min(1, atMost), min(1, atLeast)
	if r.NX > r.NY {
		r.ExactLess, r.ExactGreater = r.ExactGreater, r.ExactLess
	}
	r.ExactTwoSided = min(1, asFar)
	r.ExactDoubled = min(1, 2*min(r.ExactLess, r.ExactGreater))
}

// exactUntied fills the exact p-values of samples without ties.
func (r *MannWhitneyResult) exactUntied() {
	r.Exact = true
	least := int(min(r.U, r.UOther))
	cdf := dist.NewUntiedMannWhitney(r.NX, r.NY, least)
	tail := cdf(least)
	rest := 1.0
	if least > 0 {
		rest = 1 - cdf(least-1)
	}
	r.ExactLess, r.ExactGreater = tail, rest
	if r.U > r.UOther {
		r.ExactLess, r.ExactGreater = rest, tail
	}
	r.ExactDoubled = min(1, 2*tail)
	r.ExactTwoSided = r.ExactDoubled
}

// rankSumPMF is the distribution of 2U for m values drawn at random from the
// doubled mid-ranks, m being at most half of them. Drawing goes rank by rank
// from the lowest: with k drawn out of those seen, the next is drawn with
// chance (m−k)/(number left). The j-th drawn counts its doubled rank less 2j,
// so that sums run from 0 to 2m(N−m).
func rankSumPMF(ranks []int, m int) []float64 {
	last := 2 * m * (len(ranks) - m)
	rows := make([][]float64, m+1) // rows[k]: k drawn so far
	for k := range rows {
		rows[k] = make([]float64, last+1)
	}
	rows[0][0] = 1
	high := make([]int, m+1) // largest sum reached in each row
	for seen, rank := range slices.Sorted(slices.Values(ranks)) {
		left := float64(len(ranks) - seen)
		for k := min(seen, m-1); k >= 0; k-- {
			drawn := float64(m-k) / left
			shift := rank - 2*(k+1)
			from := rows[k][:high[k]+1]
			low := max(0, -shift) // sums below cannot be: U is never negative
			if low < len(from) {
				to := rows[k+1][low+shift:]
				for s, v := range from[low:] {
					to[s] += v * drawn
				}
				high[k+1] = max(high[k+1], high[k]+shift)
			}
			for s := range from {
				from[s] *= 1 - drawn
			}
		}
	}
	return rows[m]
}
