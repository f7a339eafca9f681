package choice

import "math"

// exactCochranCost bounds the exact distribution of [CochranQ], in additions: a millisecond
// or so. Three samples stay below it up to some 45 informative assessors, four up to 14, two
// always; beyond, the χ² of Cochran (1950) serves, which Tate & Brown (1970, J. Am. Stat.
// Assoc. 65:155) call close from 24 answers of informative assessors on (from memory).
const exactCochranCost = 400_000

// exactCochran is the probability that Q is as large as found or larger when each assessor's
// answers are shuffled among the samples (Cochran 1950, sect. 4: the randomisation
// distribution): what every assessor can contribute is added up, count by count. NaN where
// that would take too long.
//
// Row sums do not change, so that Q rises with the sum of squares of the columns alone. One
// column follows from the others and is left out.
func exactCochran(rows [][]bool, k int) float64 {
	b, states := 0, 1.
	patterns := make(map[int][][]int)
	cost := 0.
	var sums []int
	for _, row := range rows {
		if sum := yesIn(row); sum > 0 && sum < k {
			sums = append(sums, sum)
			b++
		}
	}
	for range k - 1 {
		states *= float64(b + 1)
	}
	for _, sum := range sums {
		if cost += states * binomialCount(k, sum); cost > exactCochranCost || states > exactCochranCost {
			return math.NaN()
		}
		if patterns[sum] == nil {
			patterns[sum] = patternsOf(k, sum)
		}
	}
	if b == 0 {
		return math.NaN()
	}
	now := make([]float64, int(states))
	next := make([]float64, int(states))
	now[0] = 1
	for _, sum := range sums {
		spread(now, next, patterns[sum], b+1)
		now, next = next, now
	}
	return atLeast(now, rows, sums, k)
}

// spread adds one assessor, whose answers are each of the patterns equally often.
func spread(now, next []float64, patterns [][]int, base int) {
	clear(next)
	steps := make([]int, len(patterns))
	for p, pattern := range patterns {
		at := 1
		for j := range len(pattern) - 1 {
			steps[p] += pattern[j] * at
			at *= base
		}
	}
	share := 1 / float64(len(patterns))
	for state, p := range now {
		if p == 0 {
			continue
		}
		for _, step := range steps {
			next[state+step] += p * share
		}
	}
}

// atLeast adds up the states whose columns have as large a sum of squares as those of rows.
func atLeast(states []float64, rows [][]bool, sums []int, k int) float64 {
	base, total, fixed, found := len(sums)+1, 0, 0, 0
	for _, sum := range sums {
		total += sum
	}
	for _, row := range rows {
		if yesIn(row) == k {
			fixed++
		}
	}
	columns := make([]int, k)
	for _, row := range rows {
		for j, yes := range row {
			if yes {
				columns[j]++
			}
		}
	}
	for _, g := range columns {
		found += g * g
	}
	p := 0.
	for state, share := range states {
		if share == 0 {
			continue
		}
		left, squares, rest := total, 0, state
		for range k - 1 {
			g := rest % base
			rest /= base
			left -= g
			squares += (g + fixed) * (g + fixed)
		}
		if squares+(left+fixed)*(left+fixed) >= found {
			p += share
		}
	}
	return min(1, p)
}

func yesIn(row []bool) int {
	n := 0
	for _, yes := range row {
		if yes {
			n++
		}
	}
	return n
}

// patternsOf are all rows of k answers with so many yes, as 0 and 1.
func patternsOf(k, yes int) [][]int {
	if yes < 0 || yes > k {
		return nil
	}
	if k == 0 {
		return [][]int{{}}
	}
	var all [][]int
	for _, last := range []int{0, 1} {
		for _, head := range patternsOf(k-1, yes-last) {
			all = append(all, append(append(make([]int, 0, k), head...), last))
		}
	}
	return all
}

// binomialCount is how many patterns there are.
func binomialCount(k, yes int) float64 {
	n := 1.
	for i := range yes {
		n = n * float64(k-i) / float64(i+1)
	}
	return n
}
