package ttest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
)

// flipsPerStream is the number of random flips drawn from one stream, so that
// the result does not depend on how many streams run at a time.
const flipsPerStream = 4096

// simulate fills the p-values from random flips. Each flip takes the bits of
// random words, eight differences at a time from a table of their 256 signed
// sums.
func (r *SignFlipResult) simulate(d []float64, o SignFlipOptions) {
	draws := o.Draws
	if draws <= 0 {
		draws = defaultDraws
	}
	tables := signedSums(d)
	sum, reach := 0.0, 0.0
	for _, v := range d {
		sum += v
		reach += math.Abs(v)
	}
	slack := 1e-12 * reach // equal sums must count as equal
	streams := (draws + flipsPerStream - 1) / flipsPerStream
	counts := make([][3]int, streams)
	numeric.InParallel(streams, func(stream int) {
		count := min(flipsPerStream, draws-stream*flipsPerStream)
		counts[stream] = countFlips(tables, sum, slack, count, rand.NewPCG(o.Seed, uint64(stream)))
	})
	var far, above, below int
	for _, c := range counts {
		far, above, below = far+c[0], above+c[1], below+c[2]
	}
	share := func(k int) float64 { return float64(1+k) / float64(1+draws) }
	r.TwoSided, r.Greater, r.Less, r.Draws = share(far), share(above), share(below), draws
	p := [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater, stats.Less: r.Less}[o.Alternative]
	r.Error = math.Sqrt(p * (1 - p) / float64(draws))
	r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnSimulated,
		Text: fmt.Sprintf("the p-value comes from %d random sign flips; its standard error is %.2g", draws, r.Error)})
}

// countFlips returns how many of count flipped sums are as far from 0 as sum,
// as large, and as small.
func countFlips(tables [][256]float64, sum, slack float64, count int, bits *rand.PCG) (c [3]int) {
	for range count {
		s := 0.0
		var word uint64
		for i := range tables {
			if i%8 == 0 {
				word = bits.Uint64()
			}
			s += tables[i][word&0xff]
			word >>= 8
		}
		if math.Abs(s) >= math.Abs(sum)-slack {
			c[0]++
		}
		if s >= sum-slack {
			c[1]++
		}
		if s <= sum+slack {
			c[2]++
		}
	}
	return c
}

// signedSums tabulates, for every eight differences, their sums under all 256
// sign patterns.
func signedSums(d []float64) [][256]float64 {
	tables := make([][256]float64, (len(d)+7)/8)
	for t := range tables {
		for pattern := range 256 {
			for bit, v := range d[8*t : min(len(d), 8*t+8)] {
				if pattern>>bit&1 == 1 {
					v = -v
				}
				tables[t][pattern] += v
			}
		}
	}
	return tables
}
