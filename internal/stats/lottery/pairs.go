package lottery

import (
	"math"
	"slices"
)

// pairs reads draws in which each person rated each sample once at most, as a reader does
// and to the same bit, without asking at every rating which sample it is of: what is drawn
// cannot be foretold, and a processor that guesses wrong stops.
type pairs struct {
	at             []int32 // the servings that were rated, among all
	value, shifted []float64
	people         []int32 // the end of each person's servings in at
	first, second  int     // in where
	where          []int32 // by sample + 1: its last serving in at, counted from 1
}

func newPairs(r *reader) *pairs {
	if r.Groups || !slices.IsSorted(r.Assessor) || r.First < 0 || r.Second < 0 {
		return nil
	}
	p := &pairs{first: int(r.First) + 1, second: int(r.Second) + 1}
	most := max(p.first, p.second)
	for i, v := range r.Value {
		most = max(most, int(r.Sample[i])+1)
		if math.IsNaN(v) {
			continue
		}
		if n := len(p.at); n > 0 && r.Assessor[i] != r.Assessor[p.at[n-1]] {
			p.people = append(p.people, int32(n))
		}
		p.at, p.value, p.shifted = append(p.at, int32(i)), append(p.value, v-r.centre), append(p.shifted, r.shifted[i])
	}
	p.people = append(p.people, int32(len(p.at)))
	p.where = make([]int32, most+1)
	return p
}

// read is what a draw gives; not ok where somebody gets a sample twice, or one that the
// plan did not have.
func (p *pairs) read(sample []int32) (s sums, ok bool) {
	where := p.where
	clear(where)
	from := int32(0)
	for _, to := range p.people {
		for i, at := range p.at[from:to] {
			x := uint(sample[at] + 1)
			if x >= uint(len(where)) || where[x] > from {
				return s, false
			}
			where[x] = from + int32(i) + 1
		}
		if a, b := where[p.first], where[p.second]; a > from && b > from {
			s.add(p.value[a-1]-p.value[b-1], p.shifted[a-1]-p.shifted[b-1])
		}
		from = to
	}
	return s, true
}
