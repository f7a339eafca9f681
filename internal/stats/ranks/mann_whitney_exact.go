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
// doubled mid-ranks, m being at most half of them. Drawing goes from one group of
// equal ranks to the next, from the lowest: k being drawn so far, j more out of a
// group add j times their doubled rank, less 2(k+1), …, 2(k+j), so that sums run
// from 0 to 2m(N−m). Few different ranks have few sums, and cost little.
func rankSumPMF(ranks []int, m int) []float64 {
	last := 2 * m * (len(ranks) - m)
	rows := make([]sumRow, m+1) // rows[k]: k drawn so far
	for k := range rows {
		rows[k] = sumRow{chance: make([]float64, last+1), low: 1}
	}
	rows[0].chance[0], rows[0].low = 1, 0
	var drawn []float64
	for sorted := slices.Sorted(slices.Values(ranks)); len(sorted) > 0; {
		rank, t := sorted[0], 1
		for t < len(sorted) && sorted[t] == rank {
			t++
		}
		for k := m; k >= 0; k-- {
			drawn = drawnOf(drawn, t, len(sorted), m-k)
			for j := min(t, m-k); j >= 0; j-- { // none last: it changes the row that the others come from
				rows[k+j].add(&rows[k], j*(rank-2*k-j-1), drawn[j])
			}
		}
		sorted = sorted[t:]
	}
	return rows[m].chance
}

// sumRow is the chance of each sum; those below low and above high cannot be.
type sumRow struct {
	chance    []float64
	low, high int
}

// add adds the sums of another row, moved by shift, times share; those of the row itself become
// their share.
func (r *sumRow) add(from *sumRow, shift int, share float64) {
	if from.low > from.high {
		return
	}
	if r == from {
		for s := r.low; s <= r.high; s++ {
			r.chance[s] *= share
		}
		return
	}
	if share == 0 {
		return
	}
	if r.low > r.high {
		r.low, r.high = from.low+shift, from.high+shift
	}
	r.low, r.high = min(r.low, from.low+shift), max(r.high, from.high+shift)
	to := r.chance[from.low+shift : from.high+shift+1]
	for s, v := range from.chance[from.low : from.high+1] {
		to[s] += v * share
	}
}

// drawnOf returns the hypergeometric chances that 0, 1, … of t are among the drawn out of all,
// by the ratio of neighbours outwards from the largest; in is used again.
func drawnOf(in []float64, t, all, drawn int) []float64 {
	most := min(t, drawn)
	chance := slices.Grow(in[:0], most+1)[:most+1]
	clear(chance)
	up := func(j int) float64 { // chance[j+1] / chance[j]
		return float64(t-j) * float64(drawn-j) / (float64(j+1) * float64(all-t-drawn+j+1))
	}
	mode := min(most, (t+1)*(drawn+1)/(all+2))
	chance[mode] = 1
	total := 1.0
	for j := mode; j < most; j++ {
		chance[j+1] = chance[j] * up(j)
		total += chance[j+1]
	}
	for j := mode; j > max(0, drawn-(all-t)); j-- {
		chance[j-1] = chance[j] / up(j-1)
		total += chance[j-1]
	}
	for j := range chance {
		chance[j] /= total
	}
	return chance
}
