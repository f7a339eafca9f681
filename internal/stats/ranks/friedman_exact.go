package ranks

import (
	"slices"
	"sync"
)

// exactFriedmanLimit is the largest panel, by number of samples, for which
// [Friedman] also gives the permutation p: some milliseconds at most.
// Printed tables stop earlier (Hollander & Wolfe 1973, Table A.15: 3 samples
// and 15 assessors, 4 and 8, 5 and 5; from memory).
var exactFriedmanLimit = map[int]int{2: 1000, 3: 30, 4: 11, 5: 6, 6: 4}

func exactFriedmanAssessors(k int) int { return exactFriedmanLimit[k] }

// exactFriedman returns the probability, over all permutations of the ranks
// within each assessor, that the sum of squared column sums reaches observed.
// Ties are kept: the permutations are of the mid-ranks as they are.
//
// The column sums are built up assessor by assessor. Samples are exchangeable
// under the hypothesis, so sums that differ only in order are one state. The order of
// assessors is without effect: those without ties come first, whose sums are always the same.
func exactFriedman(ranks [][]int, observed float64) float64 {
	var tied [][]int
	for _, row := range ranks {
		if hasTies(row) {
			tied = append(tied, row)
		}
	}
	rest := append(tied, untiedRow(len(ranks[0])))[:max(1, len(tied))] // a row to end with
	last := len(rest) - 1
	states := untiedSums(len(ranks)-len(rest), len(ranks[0]))
	for _, row := range rest[:last] {
		states = addPermutations(states, distinctPermutations(row))
	}
	permutations := distinctPermutations(rest[last])
	tail := 0.0
	sums := make([]int, len(ranks[0]))
	for _, s := range states {
		s.sums.unpack(sums)
		reached := 0
		for _, permutation := range permutations {
			total := 0.0
			for j, v := range permutation {
				total += float64(sums[j]+v) * float64(sums[j]+v)
			}
			if total >= observed {
				reached++
			}
		}
		tail += s.p * float64(reached) / float64(len(permutations))
	}
	return min(1, tail)
}

// untiedRow are doubled ranks without ties.
func untiedRow(k int) []int {
	row := make([]int, k)
	for j := range row {
		row[j] = 2 * (j + 1)
	}
	return row
}

func hasTies(row []int) bool {
	return len(slices.Compact(slices.Sorted(slices.Values(row)))) < len(row)
}

// untied remembers what [untiedSums] worked out: a profile asks for the same sums on every
// attribute. There are as many as [exactFriedmanLimit] allows, none larger than some thousand.
var untied sync.Map

// untiedSums are the column sums of k samples ranked by n assessors without ties.
func untiedSums(n, k int) []sumState {
	type size struct{ n, k int }
	if known, ok := untied.Load(size{n, k}); ok {
		return known.([]sumState)
	}
	states, permutations := []sumState{{p: 1}}, distinctPermutations(untiedRow(k))
	for range n {
		states = addPermutations(states, permutations)
	}
	untied.Store(size{n, k}, states)
	return states
}

// packedSums is a sorted vector of column sums, each in an equal part of the bits: within
// [exactFriedmanLimit] a sum is at most 4,000 with 2 samples and 180 with more.
type packedSums uint64

func pack(sums []int) (packed packedSums) {
	for _, v := range sums {
		packed = packed<<(64/len(sums)) | packedSums(v)
	}
	return packed
}

// sumState is column sums and their probability.
type sumState struct {
	sums packedSums
	p    float64
}

func (p packedSums) unpack(sums []int) {
	bits := 64 / len(sums)
	for j := len(sums) - 1; j >= 0; j-- {
		sums[j] = int(p & (1<<bits - 1))
		p >>= bits
	}
}

func addPermutations(states []sumState, permutations [][]int) []sumState {
	index := make(map[packedSums]int, 2*len(states))
	next := make([]sumState, 0, 2*len(states))
	share := 1 / float64(len(permutations))
	from, sums := make([]int, len(permutations[0])), make([]int, len(permutations[0]))
	for _, s := range states {
		s.sums.unpack(from)
		for _, permutation := range permutations {
			for j, v := range permutation {
				sums[j] = from[j] + v
			}
			sortFew(sums)
			key := pack(sums)
			i, known := index[key]
			if !known {
				i = len(next)
				index[key] = i
				next = append(next, sumState{sums: key})
			}
			next[i].p += s.p * share
		}
	}
	return next
}

// sortFew sorts by insertion.
func sortFew(v []int) {
	for i := 1; i < len(v); i++ {
		for j := i; j > 0 && v[j] < v[j-1]; j-- {
			v[j], v[j-1] = v[j-1], v[j]
		}
	}
}

// distinctPermutations lists the different orders of v, in lexical order.
func distinctPermutations(v []int) [][]int {
	v = slices.Sorted(slices.Values(v))
	all := [][]int{slices.Clone(v)}
	for {
		i := len(v) - 2
		for i >= 0 && v[i] >= v[i+1] {
			i--
		}
		if i < 0 {
			return all
		}
		j := len(v) - 1
		for v[j] <= v[i] {
			j--
		}
		v[i], v[j] = v[j], v[i]
		slices.Reverse(v[i+1:])
		all = append(all, slices.Clone(v))
	}
}
