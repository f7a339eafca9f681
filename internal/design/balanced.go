package design

import (
	"fmt"
	"math/bits"
)

// maxBlocks is the most blocks of a balanced design that is looked for: a few
// hundred assessors.
const maxBlocks = 400

// Balanced returns a balanced incomplete block design of t samples in blocks of
// k with the smallest b found, at most limit; 2 ≤ k < t ≤ 26. The error wraps
// ErrNoDesign and says whether there is none or none was found. The search is
// the same every time: it depends on t and k alone. The rows are not arranged
// ([Blocks.Arrange] does that).
func Balanced(t, k, limit int) (*Blocks, error) {
	if k < 2 || k >= t || t > maxSamples {
		return nil, fmt.Errorf("%w for t=%d, k=%d: it needs 2 ≤ k < t ≤ %d", ErrNoDesign, t, k, maxSamples)
	}
	smallest := Smallest(t, k)
	why := fmt.Sprintf("the smallest that could be, %v, has more than %d blocks", smallest, limit)
	budget := workInAll
	for m := 1; budget > 0 && m*smallest.B <= limit; m++ {
		p := smallest.Times(m)
		if reason := p.Impossible(); reason != "" {
			why = fmt.Sprintf("%v: %s", p, reason)
			continue
		}
		if b := build(p, &budget); b != nil {
			return b, nil
		}
		why = fmt.Sprintf("%v: none was found", p)
	}
	return nil, fmt.Errorf("%w for t=%d, k=%d: %s", ErrNoDesign, t, k, why)
}

// build finds a design with the given parameters, nil if it fails.
func build(p Parameters, budget *int) *Blocks {
	if choose(p.T, p.K) == p.B {
		return &Blocks{T: p.T, K: p.K, Rows: rowsOf(allSubsets(p.T, p.K)), Method: "all subsets"}
	}
	if 2*p.K > p.T {
		rest := Parameters{p.T, p.T - p.K, p.B - p.R, p.B, p.B - 2*p.R + p.Lambda}
		b := build(rest, budget)
		if b == nil {
			return nil
		}
		return complement(b)
	}
	r := newStream(0, fmt.Sprintf("balanced/%d/%d/%d", p.T, p.K, p.B))
	for _, g := range groupsOn(p.T) {
		if *budget <= 0 {
			return nil
		}
		o := &orbitSearch{t: p.T, k: p.K, lambda: p.Lambda, g: g}
		if blocks := o.search(r, budget); blocks != nil {
			return &Blocks{T: p.T, K: p.K, Rows: rowsOf(blocks), Method: "orbits of " + g.name}
		}
	}
	return nil
}

// complement serves to each assessor what the other design does not.
func complement(b *Blocks) *Blocks {
	c := &Blocks{T: b.T, K: b.T - b.K, Method: "complement of a design with k = " + fmt.Sprint(b.K) + " (" + b.Method +
		")"}
	for _, row := range b.Rows {
		all := uint32(1)<<b.T - 1
		for _, x := range row {
			all &^= 1 << x
		}
		c.Rows = append(c.Rows, rowOf(all))
	}
	return c
}

func choose(n, k int) int {
	c := 1
	for i := range k {
		c = c * (n - i) / (i + 1)
	}
	return c
}

func allSubsets(t, k int) []uint32 {
	subsets := make([]uint32, 0, choose(t, k))
	for s := uint32(1)<<k - 1; s < 1<<t; s = nextSubset(s) {
		subsets = append(subsets, s)
	}
	return subsets
}

func rowsOf(subsets []uint32) [][]int32 {
	rows := make([][]int32, len(subsets))
	for i, s := range subsets {
		rows[i] = rowOf(s)
	}
	return rows
}

func rowOf(s uint32) []int32 {
	row := make([]int32, 0, bits.OnesCount32(s))
	for ; s != 0; s &= s - 1 {
		row = append(row, int32(bits.TrailingZeros32(s)))
	}
	return row
}
