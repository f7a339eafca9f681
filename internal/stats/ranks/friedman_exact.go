package ranks

import (
	"encoding/binary"
	"slices"
)

// exactFriedmanLimit is the largest panel, by number of samples, for which
// [Friedman] also gives the permutation p: some tens of milliseconds at most.
// Printed tables stop earlier (Hollander & Wolfe 1973, Table A.15: 3 samples
// and 15 assessors, 4 and 8, 5 and 5; from memory).
var exactFriedmanLimit = map[int]int{2: 1000, 3: 30, 4: 11, 5: 6, 6: 4}

func exactFriedmanAssessors(k int) int { return exactFriedmanLimit[k] }

// exactFriedman returns the probability, over all permutations of the ranks
// within each assessor, that the sum of squared column sums reaches observed.
// Ties are kept: the permutations are of the mid-ranks as they are.
//
// The column sums are built up assessor by assessor. Samples are exchangeable
// under the hypothesis, so sums that differ only in order are one state.
func exactFriedman(ranks [][]int, observed float64) float64 {
	last := len(ranks) - 1
	states := []sumState{{sums: make([]int, len(ranks[0])), p: 1}}
	for _, row := range ranks[:last] {
		states = addPermutations(states, distinctPermutations(row))
	}
	permutations := distinctPermutations(ranks[last])
	tail := 0.0
	for _, s := range states {
		reached := 0
		for _, permutation := range permutations {
			total := 0.0
			for j, v := range permutation {
				total += float64(s.sums[j]+v) * float64(s.sums[j]+v)
			}
			if total >= observed {
				reached++
			}
		}
		tail += s.p * float64(reached) / float64(len(permutations))
	}
	return min(1, tail)
}

// sumState is a sorted vector of column sums and its probability.
type sumState struct {
	sums []int
	p    float64
}

func addPermutations(states []sumState, permutations [][]int) []sumState {
	index := make(map[string]int)
	var next []sumState
	share := 1 / float64(len(permutations))
	sums := make([]int, len(states[0].sums))
	key := make([]byte, 4*len(sums))
	for _, s := range states {
		for _, permutation := range permutations {
			for j, v := range permutation {
				sums[j] = s.sums[j] + v
			}
			slices.Sort(sums)
			for j, v := range sums {
				binary.LittleEndian.PutUint32(key[4*j:], uint32(v))
			}
			i, known := index[string(key)]
			if !known {
				i = len(next)
				index[string(key)] = i
				next = append(next, sumState{sums: slices.Clone(sums)})
			}
			next[i].p += s.p * share
		}
	}
	return next
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
