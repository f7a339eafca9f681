package design

import "slices"

// choices takes the place of chance: draw by draw it goes through everything that a
// lottery can draw, as the hand of a clock does.
type choices struct {
	taken  []choice
	depth  int     // choices of the draw at hand
	weight float64 // probability of the draw at hand
}

// choice is one of so many.
type choice struct{ at, of int }

func (c *choices) below(n int) int {
	if n == 1 {
		return 0
	}
	if c.depth == len(c.taken) {
		c.taken = append(c.taken, choice{0, n})
	}
	c.weight /= float64(n)
	c.depth++
	return c.taken[c.depth-1].at
}

// next begins another draw; false when all were drawn.
func (c *choices) next() bool {
	last := len(c.taken) - 1
	for last >= 0 && c.taken[last].at == c.taken[last].of-1 {
		last--
	}
	c.taken = c.taken[:last+1]
	if last >= 0 {
		c.taken[last].at++
	}
	c.depth, c.weight = 0, 1
	return last >= 0
}

// Every calls use with everything that the lottery can draw and its probability, in the
// form of [Redraws.Next]; the same samples may come more than once. It stops, and reports
// false, where there are more than most draws.
func (d *Redraws) Every(most int, use func(sample []int32, probability float64)) bool {
	random := d.r
	defer func() { d.r = random }()
	c := &choices{weight: 1}
	d.r = &stream{every: c}
	for n := 1; ; n++ {
		sample := d.Next()
		if n == 1 && c.weight*float64(most) < 1-1e-9 || n > most {
			return false
		}
		use(sample, c.weight)
		if !c.next() {
			return true
		}
	}
}

// Swaps are the assessors, from 0, who swap their two orders together, where that is all
// that the lottery draws: of two samples, each served once to everybody in blocks of
// fixed size. Each set swaps or not, either as likely. ok is false for other lotteries.
func (d *Redraws) Swaps() (sets [][]int, ok bool) {
	parts, ok := d.c.orders.(phases)
	if !ok || len(parts) != 1 {
		return nil, false
	}
	w, ok := parts[0].(*williams)
	if !ok || len(w.samples) != 2 || w.passes != 1 {
		return nil, false
	}
	everybody := make([]int, d.c.n)
	for i := range everybody {
		everybody[i] = i
	}
	return slices.Collect(slices.Chunk(everybody, len(w.square))), true
}
