package dist

import (
	"cmp"
	"math"
	"slices"
)

// SubsetSumTails returns P(S ≤ s) and P(S ≥ s) for the sum S of a random
// subset of the positive whole numbers parts, each in or out with probability
// ½: the null distribution of a doubled signed-rank sum (Wilcoxon 1945, with
// mid-ranks: Streitberg & Röhmel 1986, Stat. Software Newsl. 12:10) or of a
// sum under sign flips. s must be the sum of some subset.
//
// Exact up to rounding; the smaller tail keeps its relative accuracy. Ratings
// tie heavily, so a few values make up most parts: the sums of some of
// them are listed (a product of binomials), and the distribution of the rest
// is convolved as an array, of which symmetry asks for one half only. Where few
// tie, two arrays of every other value each meet instead: convolving costs the
// cube of the number of parts, so that two halves cost half as much as one whole.
// From some 130 parts that hardly tie the characteristic function is inverted.
func SubsetSumTails(parts []int, s int) (atMost, atLeast float64) {
	runs := runsOf(parts)
	step, total := 0, 0
	for _, r := range runs {
		step = GreatestCommonDivisor(r.value, step)
		total += r.value * r.count
	}
	if step == 0 {
		return 1, 1
	}
	for i := range runs {
		runs[i].value /= step
	}
	s, total = s/step, total/step
	mirrored := 2*s > total
	if mirrored {
		s = total - s
	}
	tail, point := lowerTail(runs, s)
	rest := min(1, 1-tail+point)
	if mirrored {
		return rest, tail
	}
	return tail, rest
}

// run is a value and how often it occurs.
type run struct{ value, count int }

// runsOf returns the different values in rising order.
func runsOf(parts []int) []run {
	var runs []run
	for _, v := range slices.Sorted(slices.Values(parts)) {
		if last := len(runs) - 1; last >= 0 && runs[last].value == v {
			runs[last].count++
			continue
		}
		runs = append(runs, run{v, 1})
	}
	return runs
}

// lowerTail returns P(S ≤ s) and P(S = s), the latter to rounding of the
// former.
func lowerTail(runs []run, s int) (tail, point float64) {
	listed, rest, cost := splitRuns(runs, s, invertCost)
	one, other, meeting := everyOther(runs, s)
	if min(cost, meeting) > invertCost {
		if tail, point, ok := tiltedTail(runs, s); ok {
			return tail, point
		}
		listed, rest, cost = splitRuns(runs, s, math.Inf(1))
	}
	if meeting < cost {
		return meet(one, other, s)
	}
	array := newSumArray(rest, s)
	defer array.release()
	cdf := array.p
	accumulate(cdf)
	if len(listed) == 0 {
		return cdf[s], pointAt(cdf, s)
	}
	inner := listed[len(listed)-1]
	chance := make([]float64, inner.count+1)
	for k := range chance {
		chance[k] = BinomialPMF(k, inner.count, 0.5)
	}
	sums, weights := listSums(listed[:len(listed)-1], s)
	for i, a := range sums {
		var t, p float64
		left := s - a
		for _, c := range chance {
			if left < 0 {
				break
			}
			if left < len(cdf) {
				t += c * cdf[left]
				p += c * pointAt(cdf, left)
			} else {
				t += c
			}
			left -= inner.value
		}
		tail += weights[i] * t
		point += weights[i] * p
	}
	return min(1, tail), point
}

// meet is [lowerTail] from the distributions of two parts of the runs:
// P(A + B ≤ s) = Σ P(A = a)·P(B ≤ s − a).
func meet(one, other []run, s int) (tail, point float64) {
	a, b := newSumArray(one, s), newSumArray(other, s)
	defer a.release()
	defer b.release()
	accumulate(b.p)
	whole := max(0, min(len(a.p), s-len(b.p)+1)) // sums that leave room for all of B
	for _, v := range a.p[:whole] {
		tail += v
	}
	below := tail // P(A + B < s)
	for i := whole; i < len(a.p); i++ {
		tail += a.p[i] * b.p[s-i]
		if s > i {
			below += a.p[i] * b.p[s-i-1]
		}
	}
	return min(1, tail), tail - below
}

// everyOther deals the runs out into two parts and says what [meet] takes.
func everyOther(runs []run, s int) (one, other []run, cost float64) {
	inOther := make([]bool, len(runs))
	for i, r := range runs {
		if inOther[i] = i%2 == 1; inOther[i] {
			other = append(other, r)
		} else {
			one = append(one, r)
		}
	}
	cost = convolutionCost(runs, inOther, s)
	for i := range inOther {
		inOther[i] = !inOther[i]
	}
	return one, other, cost + convolutionCost(runs, inOther, s)
}

// accumulate replaces x by its running sums, four at a time: within a block
// the additions do not wait for the sum of all before.
func accumulate(x []float64) {
	sum := 0.0
	i := 0
	for ; i+4 <= len(x); i += 4 {
		v := x[i : i+4 : i+4]
		a := v[0]
		b := a + v[1]
		c := v[2] + v[3]
		v[0], v[1], v[2], v[3] = sum+a, sum+b, sum+(b+v[2]), sum+(b+c)
		sum += b + c
	}
	for ; i < len(x); i++ {
		sum += x[i]
		x[i] = sum
	}
}

func pointAt(cdf []float64, s int) float64 {
	if s == 0 {
		return cdf[0]
	}
	return cdf[s] - cdf[s-1]
}

const (
	mostListed = 8   // runs that may be listed
	listCost   = 5.0 // time to look up one listed sum, in units of one addition
	invertCost = 2e5 // of [tiltedTail], whatever the runs, in the same units
)

// splitRuns chooses the runs whose sums are listed so that listing and
// convolving take the least time together: one by one, as long as another makes
// it less; cost is what they take. Both parts keep rising values. Where they take more
// than most in any case, it does not look which and says so much.
func splitRuns(runs []run, s int, most float64) (listed, rest []run, cost float64) {
	candidates := make([]int, 0, len(runs))
	for i, r := range runs {
		if r.count >= 3 { // listing pays for ties only
			candidates = append(candidates, i)
		}
	}
	slices.SortStableFunc(candidates, func(a, b int) int { return cmp.Compare(runs[b].count, runs[a].count) })
	candidates = candidates[:min(len(candidates), mostListed)]
	inList := make([]bool, len(runs))
	for _, i := range candidates {
		inList[i] = true
	}
	if least := convolutionCost(runs, inList, s); least > most {
		return nil, nil, least
	}
	clear(inList)
	size := 1.0
	cost = listCost + convolutionCost(runs, inList, s)
	for {
		best := -1
		for _, i := range candidates {
			if inList[i] {
				continue
			}
			inList[i] = true
			more := size*float64(runs[i].count+1)*listCost + convolutionCost(runs, inList, s)
			inList[i] = false
			if more < cost {
				best, cost = i, more
			}
		}
		if best < 0 {
			break
		}
		inList[best] = true
		size *= float64(runs[best].count + 1)
	}
	for i, r := range runs {
		if inList[i] {
			listed = append(listed, r)
			continue
		}
		rest = append(rest, r)
	}
	return listed, rest, cost
}

// convolutionCost estimates the additions of [newSumArray] for the runs that
// are not listed: each part costs half the sum so far, at most s.
func convolutionCost(runs []run, inList []bool, s int) float64 {
	cost, total := 0.0, 0.0
	for i, r := range runs {
		if inList[i] {
			continue
		}
		more := float64(r.count * r.value)
		cost += float64(r.count) * min(float64(s), total/2+more/4)
		total += more
	}
	return cost + 4*min(float64(s), total)
}

// listSums returns every sum of at most s of the runs' values with its
// probability.
func listSums(runs []run, s int) (sums []int, weights []float64) {
	sums, weights = []int{0}, []float64{1}
	for _, r := range runs {
		before := len(sums)
		moreSums := make([]int, 0, before*(r.count+1))
		moreWeights := make([]float64, 0, before*(r.count+1))
		for k := 0; k <= r.count; k++ {
			p := BinomialPMF(k, r.count, 0.5)
			for i, a := range sums {
				if a+k*r.value <= s {
					moreSums = append(moreSums, a+k*r.value)
					moreWeights = append(moreWeights, weights[i]*p)
				}
			}
		}
		sums, weights = moreSums, moreWeights
	}
	return sums, weights
}
