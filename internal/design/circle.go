package design

// circle draws complete orders with dishes kept apart when dishes have unequal
// numbers of names, so that the products of [apart] would have gaps. The samples
// stand on a circle of as many arcs as the richest dish has names; each arc
// holds a dish at most once, and all arcs go through the dishes in the same
// order. The rows of a block are the circle begun at each of its samples in turn:
// a Latin square, so at every prefix of assessors positions differ by at most
// one. Read from any sample on, the circle falls into runs that go once through
// the dishes, one for each arc: these are the sittings. Neighbours are as even as
// the best of a few draws of the circle makes them.
type circle struct {
	dishes [][]int32 // samples of each dish
	arcs   int
	passes int
	t      int

	order   []int32 // dishes in the order in which arcs go through them
	names   [][]int32
	drawn   ring
	best    ring
	rows    []int32 // where the row of each assessor of a block begins
	follows [][]int
}

// ring is the samples around a circle, with the rank of their dishes in an arc.
type ring struct{ sample, rank []int32 }

// newCircle takes the cells of an arrangement with gaps.
func newCircle(a *apart) *circle {
	c := &circle{arcs: a.sittings(), passes: a.passes, order: make([]int32, len(a.cells))}
	top := int32(0)
	for _, row := range a.cells {
		var samples []int32
		for _, x := range row {
			if x != none {
				samples = append(samples, x)
				top = max(top, x)
			}
		}
		c.dishes = append(c.dishes, samples)
		c.names = append(c.names, make([]int32, len(samples)))
		c.t += len(samples)
	}
	for _, r := range [...]*ring{&c.drawn, &c.best} {
		*r = ring{make([]int32, c.t), make([]int32, c.t)}
	}
	c.rows = make([]int32, c.t)
	c.follows = newCounts(int(top)+1, int(top)+1)
	return c
}

// each is the columns of one sitting.
func (c *circle) each() int { return len(c.dishes) * c.passes }

func (c *circle) width() int { return c.arcs * c.each() }

func (c *circle) draw(r *stream, g grid) {
	for _, row := range c.follows {
		clear(row)
	}
	for at := 0; at < g.len(); at += c.t {
		ordinals(c.rows)
		shuffle(r, c.rows)
		rows := c.rows[:min(c.t, g.len()-at)]
		c.choose(r, rows)
		for i, start := range rows {
			c.fill(g.row(at+i), int(start))
		}
	}
}

// choose draws circles and keeps the one that leaves neighbours most even.
func (c *circle) choose(r *stream, rows []int32) {
	least := 0
	for try := range triesARepeat {
		c.place(r)
		cost := c.count(rows, 1)
		c.count(rows, -1)
		if try == 0 || cost < least {
			least = cost
			c.drawn, c.best = c.best, c.drawn
		}
	}
	c.drawn, c.best = c.best, c.drawn
	c.count(rows, 1)
}

// place draws a circle: the order of the dishes, the names of each dish, and the
// arc in which its first name stands; the others follow at even distances.
func (c *circle) place(r *stream) {
	ordinals(c.order)
	shuffle(r, c.order)
	for d, samples := range c.dishes {
		copy(c.names[d], samples)
		shuffle(r, c.names[d])
	}
	first := r.below(c.arcs)
	at := 0
	for arc := range c.arcs {
		for rank, d := range c.order {
			// Dishes with fewer names than arcs begin in different arcs, so that
			// arcs are about equally long.
			if x := c.nameIn(int(d), (arc+first+rank)%c.arcs); x != none {
				c.drawn.sample[at], c.drawn.rank[at] = x, int32(rank)
				at++
			}
		}
	}
}

// nameIn returns the sample of a dish in an arc, or none.
func (c *circle) nameIn(d, arc int) int32 {
	v := len(c.names[d])
	i := (arc*v + c.arcs - 1) / c.arcs
	if i < v && i*c.arcs/v == arc {
		return c.names[d][i]
	}
	return none
}

// nextRun reports whether a new run begins between two places of the circle read
// from the place start on.
func (c *circle) nextRun(start, before, at int) bool {
	d := int32(len(c.dishes))
	q := c.drawn.rank[start]
	return (c.drawn.rank[at]-q+d)%d <= (c.drawn.rank[before]-q+d)%d
}

// count adds sign times the neighbours within sittings of the given rows, and
// returns by how much the sum of squares grew.
func (c *circle) count(rows []int32, sign int) int {
	grown := 0
	for _, start := range rows {
		for i := 1; i < c.t; i++ {
			before, at := (int(start)+i-1)%c.t, (int(start)+i)%c.t
			if c.nextRun(int(start), before, at) {
				continue
			}
			n := &c.follows[c.drawn.sample[before]][c.drawn.sample[at]]
			grown -= *n * *n
			*n += sign
			grown += *n * *n
		}
	}
	return grown
}

// fill writes the circle from the place start on, run by run; with replicates
// every run is served again at once, in the same order.
func (c *circle) fill(dst []int32, start int) {
	fillRow(dst, none)
	run, from := 0, 0
	for i := 1; i <= c.t; i++ {
		if i < c.t && !c.nextRun(start, (start+i-1)%c.t, (start+i)%c.t) {
			continue
		}
		for j := range (i - from) * c.passes {
			dst[run*c.each()+j] = c.drawn.sample[(start+from+j%(i-from))%c.t]
		}
		run, from = run+1, i
	}
}
