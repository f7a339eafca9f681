package lottery

import (
	"math"
	"math/bits"
	"math/rand/v2"

	"cloche/internal/stats"
)

// Swapped is the lottery of two samples in which sets of people swap their two orders
// together or do not, either as likely: a randomisation test of sums.
type Swapped struct {
	Differences []float64 // of everybody who rated both, first minus second
	Sets        [][]int   // of indices into Differences; each stands in one
	Draws       int
	Seed        uint64 // of the random draws
}

// Test compares as [Test] does, of [Swapped.Draws]. A draw adds a few numbers from tables
// of eight sets each, which is some hundred times as fast. Errors: [stats.ErrEmpty],
// [stats.ErrNotFinite], [ErrTrial].
func (s Swapped) Test() (*Result, error) {
	sets, seen, err := s.setSums()
	if err != nil {
		return nil, err
	}
	r := &Result{trial: Trial{Plain: true}, seen: seen, draws: []draw{}}
	tables := tabled(sets)
	count := s.Draws
	if r.Exact = len(sets) < 60 && 1<<len(sets) <= s.Draws; r.Exact {
		count = 1 << len(sets)
	}
	r.tally(tables, count, rand.NewPCG(s.Seed, uint64(len(sets))))
	r.statistic(seen.arm[0])
	return r, nil
}

// statistic fills the difference over its standard error, which orders the draws as the
// difference does: the squares are the same in all.
func (r *Result) statistic(a sums) {
	r.Difference, _ = a.meanVar(0)
	studentised := Trial{}
	_, r.Statistic = studentised.differenceAndStatistic(&r.seen, 0)
	r.N = int(a.n)
}

// setSum is what a set adds when it swaps: the sum of its differences, and people.
type setSum struct{ y, n float64 }

func (s Swapped) setSums() (sets []setSum, seen draw, err error) {
	if len(s.Differences) == 0 {
		return nil, seen, stats.ErrEmpty
	}
	if err := stats.CheckFinite(s.Differences); err != nil {
		return nil, seen, err
	}
	people := 0
	for _, members := range s.Sets {
		var sum setSum
		for _, i := range members {
			if i < 0 || i >= len(s.Differences) {
				return nil, seen, ErrTrial
			}
			sum.y += s.Differences[i]
			sum.n++
			people++
			seen.arm[0].add(s.Differences[i], 1)
		}
		if len(members) > 0 {
			sets = append(sets, sum)
		}
	}
	if people != len(s.Differences) {
		return nil, seen, ErrTrial
	}
	return sets, seen, nil
}

// tabled are the sums of all 256 choices among every eight sets.
func tabled(sets []setSum) [][256]setSum {
	tables := make([][256]setSum, (len(sets)+7)/8)
	for t := range tables {
		for chosen := 1; chosen < 256; chosen++ {
			last := bits.TrailingZeros(uint(chosen))
			rest := tables[t][chosen&(chosen-1)]
			if at := 8*t + last; at < len(sets) {
				rest.y += sets[at].y
				rest.n += sets[at].n
			}
			tables[t][chosen] = rest
		}
	}
	return tables
}

// tally counts the draws that reach the plan, and notes their edges: swapping sets of sum
// y and n people takes 2y off the sum of all differences, so that a draw reaches the plan
// on the upper side when y ≤ 0, and for any shift from y/n on.
func (r *Result) tally(tables [][256]setSum, count int, random *rand.PCG) {
	r.edges = make([]edge, 0, count)
	slack := tolerance * (1 + math.Sqrt(r.seen.arm[0].yy*r.seen.arm[0].n))
	up, down, same := 0, 0, true
	for k := range count {
		word := uint64(k)
		if !r.Exact {
			word = random.Uint64()
		}
		var swapped setSum
		for i := range tables {
			if i%8 == 0 && i > 0 {
				word = random.Uint64()
			}
			at := &tables[i][word&0xff]
			swapped.y += at.y
			swapped.n += at.n
			word >>= 8
		}
		if swapped.y <= slack {
			up++
		}
		if swapped.y >= -slack {
			down++
		}
		same = same && math.Abs(swapped.y) <= slack
		r.edges = append(r.edges, edge{swapped.y / swapped.n, 1}) // NaN when nothing is swapped
	}
	r.Draws, r.Fixed, r.weight = count, same, float64(count)
	r.Greater, r.Less = r.share(float64(up), r.weight), r.share(float64(down), r.weight)
	r.TwoSided = min(1, 2*min(r.Greater, r.Less))
	r.Floor = min(1, 2*r.share(1, r.weight))
	if !r.Exact {
		r.Floor = 2 * r.share(0, r.weight)
	}
}
