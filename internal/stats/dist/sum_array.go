package dist

import (
	"sync"
)

// buffers keeps arrays for reuse: an analysis convolves hundreds of
// distributions of a hundred kilobytes each.
var buffers = sync.Pool{New: func() any { return new([]float64) }}

// zeroedBuffer returns n zeros, to be given back when done with.
func zeroedBuffer(n int) *[]float64 {
	b := buffers.Get().(*[]float64)
	if cap(*b) < n {
		*b = make([]float64, n)
		return b
	}
	*b = (*b)[:n]
	clear(*b)
	return b
}

// sumArray is the distribution of the sum of a random subset, convolved part
// by part. Only sums up to a cap are kept, and of a symmetric distribution
// only the lower half is computed at each step.
type sumArray struct {
	buffer *[]float64 // pad zeros, then P(sum = 0, 1, …)
	p      []float64  // the buffer after the pad
	pad    int
	total  int // sum of the parts so far
}

// newSumArray returns P(sum = 0 … min(s, total of runs)). Parts go in four
// equal ones at a time, then two by two. Release it when done.
func newSumArray(runs []run, s int) sumArray {
	total, largest := 0, 1
	for _, r := range runs {
		total += r.value * r.count
		largest = max(largest, r.value)
	}
	pad := 4 * largest
	buffer := zeroedBuffer(pad + min(s, total) + 1)
	a := sumArray{buffer: buffer, p: (*buffer)[pad:], pad: pad}
	a.p[0] = 1
	var single []int
	for _, r := range runs {
		for k := r.count; k > 0; {
			if k >= 4 {
				a.addFour(r.value)
				k -= 4
				continue
			}
			single = append(single, r.value)
			k--
			if len(single) == 2 {
				a.addTwo(single[0], single[1])
				single = single[:0]
			}
		}
	}
	if len(single) == 1 {
		a.addOne(single[0])
	}
	a.mirror(a.total)
	return a
}

// release gives the buffer back; p must not be used any more.
func (a *sumArray) release() {
	buffers.Put(a.buffer)
	a.p = nil
}

// grow makes room for parts of sum added, and returns how many probabilities
// to recompute.
func (a *sumArray) grow(added int) int {
	half := (a.total + added) / 2
	a.mirror(half)
	a.total += added
	return min(half+1, len(a.p))
}

// mirror fills the upper half of the distribution up to a sum.
func (a *sumArray) mirror(upTo int) {
	from, to := a.total/2+1, min(upTo, a.total, len(a.p)-1)+1
	if from >= to {
		return
	}
	upper, lower := a.p[from:to], a.p[a.total+1-to:a.total+1-from]
	last := len(lower) - 1
	for i := range upper {
		upper[i] = lower[last-i]
	}
}

// back returns n probabilities displaced by r sums.
func (a *sumArray) back(r, n int) []float64 { return (*a.buffer)[a.pad-r : a.pad-r+n] }

// Each step runs from high sums to low, so that it reads old values only.

func (a *sumArray) addOne(r int) {
	n := a.grow(r)
	to, b := a.p[:n], a.back(r, n)
	for i := n - 1; i >= 0; i-- {
		to[i] = 0.5 * (to[i] + b[i])
	}
}

func (a *sumArray) addTwo(r, q int) {
	n := a.grow(r + q)
	to, b, c, d := a.p[:n], a.back(r, n), a.back(q, n), a.back(r+q, n)
	for i := n - 1; i >= 0; i-- {
		to[i] = 0.25 * (to[i] + b[i] + (c[i] + d[i]))
	}
}

func (a *sumArray) addFour(r int) {
	n := a.grow(4 * r)
	to, b, c, d, e := a.p[:n], a.back(r, n), a.back(2*r, n), a.back(3*r, n), a.back(4*r, n)
	for i := n - 1; i >= 0; i-- {
		to[i] = 0.0625*(to[i]+e[i]) + (0.25*(b[i]+d[i]) + 0.375*c[i])
	}
}
