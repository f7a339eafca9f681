package design

import (
	"fmt"
	"iter"

	"cloche/internal/study"
)

// Redraws draws the lottery of one plan again and again, under the same
// constraints, for the randomisation distribution of a statistic: the very
// procedure that made the plan, not a convenient other one. Everything else
// stays: assessors, sittings, positions, codes, strata, warm-ups, references.
type Redraws struct {
	c      *scheme
	plan   *Plan
	r      *stream
	orders grid
	read   grid
	names  []int32
	sample []int32
	each   iter.Seq[[]int32]
	whole  bool // every serving is drawn, so that the orders are the samples
}

// Redraw prepares to redraw the lottery of p, which was drawn from s. The seed
// is that of the redraws. Redraws of one seed are always the same. Errors are
// those of [Draw], or say that plan and study do not belong together.
func Redraw(s *study.Study, p *Plan, seed uint64) (*Redraws, error) {
	if _, ok := engines[p.Engine]; !ok {
		return nil, unknownEngine(p.Engine)
	}
	c, err := newScheme(s, Options{Assessors: p.Assessors, stratum: p.Stratum})
	if err == nil {
		err = c.splitPanel()
	}
	if err != nil {
		return nil, fmt.Errorf("redraw the plan: %w", err)
	}
	d := &Redraws{
		c: c, plan: p,
		r:      newStream(seed, "redraw"),
		orders: newGrid(c.n, c.orders.width()),
		sample: make([]int32, len(p.Servings)),
	}
	if c.names != nil {
		d.read = newGrid(c.n, c.names.width())
		d.names = make([]int32, 0, c.names.width())
	}
	d.each = func(yield func([]int32) bool) {
		for yield(d.Next()) {
		}
	}
	return d, d.check()
}

// check compares one redraw with the plan: equally many rated servings each.
func (d *Redraws) check() error {
	bad := fmt.Errorf("redraw the plan: it does not fit the study; use the study that the plan was drawn from")
	if fmt.Sprint(d.c.samples) != fmt.Sprint(d.plan.Samples) {
		return bad
	}
	d.c.orders.draw(d.r, d.orders)
	count := make([]int, d.c.n)
	for i := range count {
		for _, x := range d.orders.row(i) {
			if x != none {
				count[i]++
			}
		}
	}
	d.whole = d.c.names == nil && len(d.plan.Servings) == len(d.orders.cells)
	for _, v := range d.plan.Servings {
		d.whole = d.whole && d.drawn(v)
		if v.Assessor < 0 || int(v.Assessor) >= d.c.n {
			return bad
		}
		if d.drawn(v) {
			count[v.Assessor]--
		}
	}
	for _, n := range count {
		if n != 0 {
			return bad
		}
	}
	return nil
}

// drawn reports whether the sample of a serving comes from the lottery of
// orders.
func (d *Redraws) drawn(v Serving) bool {
	return v.Role == Rated || v.Role == Reference && d.c.lead
}

// Next draws once. The result is in parallel with Plan.Servings: the sample that
// each serving would have had, as an index into Plan.Samples; -1 for a name that
// would not have been read. The slice is overwritten by the next draw. Next
// allocates nothing.
func (d *Redraws) Next() []int32 {
	d.c.orders.draw(d.r, d.orders)
	if d.whole {
		return d.orders.cells
	}
	if d.c.names != nil {
		d.c.names.draw(d.r, d.read)
	}
	at := 0
	servings := d.plan.Servings
	for i := range d.c.n {
		row := d.orders.row(i)
		if d.c.names != nil {
			d.names = d.c.names.read(d.names[:0], d.read.row(i), row)
		}
		cell, name := 0, 0
		for ; at < len(servings) && int(servings[at].Assessor) == i; at++ {
			v := servings[at]
			switch {
			case d.drawn(v):
				for row[cell] == none {
					cell++
				}
				d.sample[at] = row[cell]
				cell++
			case v.Role == Expected:
				d.sample[at] = none
				if name < len(d.names) {
					d.sample[at] = d.names[name]
				}
				name++
			default:
				d.sample[at] = v.Sample
			}
		}
	}
	return d.sample
}

// All returns draws without end, as [Redraws.Next] gives them; stop by breaking
// out of the loop.
func (d *Redraws) All() iter.Seq[[]int32] { return d.each }
