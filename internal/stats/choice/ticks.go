package choice

import (
	"math"
	"math/rand/v2"

	"cloche/internal/stats"
)

// TicksResult is the outcome of [Ticks].
type TicksResult struct {
	N     int // assessors
	Sum   float64
	P     float64
	Draws int
}

// ticksSeed makes the draws of [Ticks] the same for the same answers.
const ticksSeed = 37

// Ticks asks of all words of a list at once whether assessors tick alike for all samples:
// ticks[i][j][w] is whether assessor i ticked word w for sample j.
//
// The statistic is the sum of Cochran's Q over the words that tell at all. The answers to
// the words of one serving hang together, so that the sum follows no χ²: it is referred to
// shuffles of each assessor's samples, every one with all its words, of which so many are
// drawn (Meyners, Castura & Carr 2013, Food Qual. Prefer. 30:309). P is (1 + shuffles with a
// sum as large)/(1 + draws), which errs no more often than stated (Phipson & Smyth 2010,
// Stat. Appl. Genet. Mol. Biol. 9:39). The order of the words is without effect.
//
// When no word tells, Sum is 0 and P is NaN. Errors: [stats.ErrEmpty], [stats.ErrShape].
func Ticks(ticks [][][]bool, draws int) (TicksResult, error) {
	t, err := newTickTable(ticks)
	if err != nil {
		return TicksResult{}, err
	}
	r := TicksResult{N: len(ticks), P: math.NaN(), Draws: draws}
	if len(t.weight) == 0 {
		return r, nil
	}
	base := t.squares()
	r.Sum = base - t.constant
	random := rand.New(rand.NewPCG(ticksSeed, uint64(len(ticks))))
	reached := 0
	for range draws {
		if t.shuffled(random) >= base*(1-1e-12) {
			reached++
		}
	}
	r.P = float64(1+reached) / float64(1+draws)
	return r, nil
}

// tickTable holds what shuffling needs: of each assessor and sample the words ticked, by
// number, of those that tell.
type tickTable struct {
	k        int
	ticked   [][][]int32 // by assessor and sample
	weight   []float64   // of the sum of squares of each word's columns in its Q
	constant float64     // taken from the weighted squares

	counts []int32 // by sample and word
	order  []int
}

func newTickTable(ticks [][][]bool) (*tickTable, error) {
	if len(ticks) == 0 || len(ticks[0]) == 0 {
		return nil, stats.ErrEmpty
	}
	t := &tickTable{k: len(ticks[0])}
	words := len(ticks[0][0])
	number := make([]int32, words)
	for w := range words {
		var total, squares float64
		for _, samples := range ticks {
			row := 0
			for _, list := range samples {
				if len(samples) != t.k || len(list) != words {
					return nil, stats.ErrShape
				}
				if list[w] {
					row++
				}
			}
			total, squares = total+float64(row), squares+float64(row*row)
		}
		k := float64(t.k)
		number[w] = -1
		if within := k*total - squares; within > 0 {
			number[w] = int32(len(t.weight))
			t.weight = append(t.weight, k*(k-1)/within)
			t.constant += (k - 1) * total * total / within
		}
	}
	t.fill(ticks, number)
	return t, nil
}

func (t *tickTable) fill(ticks [][][]bool, number []int32) {
	for _, samples := range ticks {
		of := make([][]int32, t.k)
		for j, list := range samples {
			for w, yes := range list {
				if yes && number[w] >= 0 {
					of[j] = append(of[j], number[w])
				}
			}
		}
		t.ticked = append(t.ticked, of)
	}
	t.counts = make([]int32, t.k*len(t.weight))
	t.order = make([]int, t.k)
}

// squares are the weighted sums of squares as the samples stand.
func (t *tickTable) squares() float64 {
	clear(t.counts)
	for j := range t.order {
		t.order[j] = j
	}
	for _, of := range t.ticked {
		t.add(of)
	}
	return t.weighted()
}

// shuffled are the same with each assessor's samples in a random order.
func (t *tickTable) shuffled(random *rand.Rand) float64 {
	clear(t.counts)
	for _, of := range t.ticked {
		for j := t.k - 1; j > 0; j-- {
			i := int(random.Uint32N(uint32(j + 1)))
			t.order[i], t.order[j] = t.order[j], t.order[i]
		}
		t.add(of)
	}
	return t.weighted()
}

func (t *tickTable) add(of [][]int32) {
	words := len(t.weight)
	for j, list := range of {
		at := t.counts[t.order[j]*words:][:words]
		for _, w := range list {
			at[w]++
		}
	}
}

func (t *tickTable) weighted() float64 {
	sum, words := 0., len(t.weight)
	for w, weight := range t.weight {
		squares := 0
		for j := range t.k {
			g := int(t.counts[j*words+w])
			squares += g * g
		}
		sum += weight * float64(squares)
	}
	return sum
}
