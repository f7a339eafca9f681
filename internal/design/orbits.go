package design

import (
	"math/bits"
	"slices"
)

// orbitSearch looks for a balanced design that is invariant under a group: a
// choice of orbits of k-subsets in which every orbit of pairs is covered λ times
// (Kramer & Mesner 1976, Discrete Math. 15, 263–296).
type orbitSearch struct {
	t, k, lambda int
	g            group
	pairOf       [][]int // orbit of each pair of points
	pairs        []int   // size of each orbit of pairs
	columns      []orbitColumn
	work         int // that may still be done
}

// orbitColumn is the orbits of k-subsets that cover the orbits of pairs alike.
type orbitColumn struct {
	covers []int    // how often each pair of each orbit of pairs is covered
	starts []uint32 // one subset of each orbit
}

// Bounds of the search, so that it ends within about a second. Beyond
// maxSubsets a sample of the subsets is looked at, not all. Work is counted in
// comparisons of an orbit with what remains to be covered.
const (
	maxSubsets  = 20000
	sampledSets = 3000
	workAGroup  = 2_000_000
	workInAll   = 30_000_000
)

// search returns the blocks, nil when there are none or the bounds were reached.
// It takes what it works from budget.
func (o *orbitSearch) search(r *stream, budget *int) []uint32 {
	o.sortPairs()
	o.sortSubsets(r)
	shuffle(r, o.columns)
	remaining := make([]int, len(o.pairs))
	for i := range remaining {
		remaining[i] = o.lambda
	}
	use := make([]int, len(o.columns))
	o.work = min(workAGroup, *budget)
	*budget -= o.work
	found := o.descend(remaining, use)
	*budget += max(0, o.work)
	if !found {
		return nil
	}
	var blocks []uint32
	for i, n := range use {
		for j := range max(0, n) {
			start := o.columns[i].starts[j%len(o.columns[i].starts)]
			blocks = append(blocks, o.orbit(start)...)
		}
	}
	return blocks
}

func (o *orbitSearch) sortPairs() {
	o.pairOf = make([][]int, o.t)
	for i := range o.pairOf {
		o.pairOf[i] = make([]int, o.t)
		for j := range o.pairOf[i] {
			o.pairOf[i][j] = -1
		}
	}
	for i := range o.t {
		for j := range i {
			if o.pairOf[i][j] >= 0 {
				continue
			}
			size := 0
			for _, p := range o.g.elements {
				x, y := p[i], p[j]
				if o.pairOf[x][y] < 0 {
					o.pairOf[x][y], o.pairOf[y][x] = len(o.pairs), len(o.pairs)
					size++
				}
			}
			o.pairs = append(o.pairs, size)
		}
	}
}

// sortSubsets sorts the k-subsets into orbits, all or a sample of them, and keeps
// those that cover no orbit of pairs too often.
func (o *orbitSearch) sortSubsets(r *stream) {
	seen := map[uint32]bool{}
	byCover := map[string]int{}
	if choose(o.t, o.k) <= maxSubsets {
		for s := uint32(1)<<o.k - 1; s < 1<<o.t; s = nextSubset(s) {
			o.sortSubset(s, seen, byCover)
		}
		return
	}
	for i := range sampledSets {
		symmetric := o.g.elements[0]
		if i%2 == 1 {
			symmetric = o.g.elements[r.below(len(o.g.elements))]
		}
		if s, ok := o.unionOfCycles(r, symmetric); ok {
			o.sortSubset(s, seen, byCover)
		}
	}
}

func (o *orbitSearch) sortSubset(s uint32, seen map[uint32]bool, byCover map[string]int) {
	if seen[s] {
		return
	}
	orbit := o.orbit(s)
	for _, x := range orbit {
		seen[x] = true
	}
	covers, ok := o.covers(s, len(orbit))
	if !ok {
		return
	}
	key := string(coverKey(covers))
	i, known := byCover[key]
	if !known {
		i = len(o.columns)
		byCover[key] = i
		o.columns = append(o.columns, orbitColumn{covers: covers})
	}
	o.columns[i].starts = append(o.columns[i].starts, s)
}

// unionOfCycles returns a random k-subset that the permutation p maps to itself,
// not ok when the random choice ends in none. For the identity it is any
// k-subset.
func (o *orbitSearch) unionOfCycles(r *stream, p []uint8) (uint32, bool) {
	points := make([]int32, o.t)
	ordinals(points)
	shuffle(r, points)
	set, size := uint32(0), 0
	for _, x := range points {
		cycle, length := uint32(0), 0
		for y := uint8(x); cycle>>y&1 == 0; y = p[y] {
			cycle |= 1 << y
			length++
		}
		if set&cycle == 0 && size+length <= o.k {
			set |= cycle
			size += length
		}
	}
	return set, size == o.k
}

func coverKey(covers []int) []byte {
	key := make([]byte, 0, 2*len(covers))
	for _, c := range covers {
		key = append(key, byte(c), byte(c>>8))
	}
	return key
}

// nextSubset returns the next larger number with as many one bits (Gosper; Beeler,
// Gosper & Schroeppel 1972, HAKMEM, item 175).
func nextSubset(s uint32) uint32 {
	low := s & -s
	up := s + low
	return up | (s^up)>>2/low
}

// orbit lists the images of a subset, in rising order.
func (o *orbitSearch) orbit(s uint32) []uint32 {
	images := make([]uint32, 0, len(o.g.elements))
	for _, p := range o.g.elements {
		image := uint32(0)
		for x := s; x != 0; x &= x - 1 {
			image |= 1 << p[bits.TrailingZeros32(x)]
		}
		images = append(images, image)
	}
	slices.Sort(images)
	return slices.Compact(images)
}

// covers counts how often the orbit of s covers each pair of each orbit of
// pairs; not ok when some pair is covered more than λ times.
func (o *orbitSearch) covers(s uint32, size int) ([]int, bool) {
	covers := make([]int, len(o.pairs))
	for x := s; x != 0; x &= x - 1 {
		i := bits.TrailingZeros32(x)
		for y := x & (x - 1); y != 0; y &= y - 1 {
			covers[o.pairOf[i][bits.TrailingZeros32(y)]]++
		}
	}
	for p := range covers {
		covers[p] = covers[p] * size / o.pairs[p]
		if covers[p] > o.lambda {
			return nil, false
		}
	}
	return covers, true
}

// descend covers what remains, orbit of pairs by orbit of pairs, the one with
// the fewest choices first. An orbit of subsets is used twice only when another
// cannot be had.
func (o *orbitSearch) descend(remaining, use []int) bool {
	if o.work < 0 {
		return false
	}
	row, fewest := -1, 0
	for p, n := range remaining {
		if n == 0 {
			continue
		}
		if c := o.choices(remaining, p); row < 0 || c < fewest {
			row, fewest = p, c
		}
	}
	if row < 0 {
		return true
	}
	var tried []int
	for i := range o.columns {
		if use[i] < 0 || o.columns[i].covers[row] == 0 || !fits(o.columns[i].covers, remaining) {
			continue
		}
		o.add(remaining, i, -1)
		use[i]++
		if o.descend(remaining, use) {
			return true
		}
		use[i]--
		o.add(remaining, i, 1)
		if use[i] == 0 {
			use[i] = -1
			tried = append(tried, i)
		}
	}
	for _, i := range tried {
		use[i] = 0
	}
	return false
}

func (o *orbitSearch) add(remaining []int, column, sign int) {
	for p, c := range o.columns[column].covers {
		remaining[p] += sign * c
	}
}

func (o *orbitSearch) choices(remaining []int, row int) int {
	n := 0
	o.work -= len(o.columns)
	for i := range o.columns {
		if o.columns[i].covers[row] > 0 && fits(o.columns[i].covers, remaining) {
			n++
		}
	}
	return n
}

func fits(covers, remaining []int) bool {
	for p, c := range covers {
		if c > remaining[p] {
			return false
		}
	}
	return true
}
