package design

import "cloche/internal/study"

// chooseComplete picks the lottery of a design that serves every sample to each
// assessor: Williams designs, in one phase or, blind first, in two; with dishes
// kept apart, products of Williams designs.
func (c *scheme) chooseComplete(all []int32) {
	var l phases
	at := 0
	for _, samples := range c.phaseSamples(all) {
		var phase lottery = newWilliams(samples, c.passes())
		if c.study.Serving.KeepDishesApart {
			if at > 0 {
				c.breaks = append(c.breaks, at)
			}
			if a := newApart(c.study, samples, c.passes()); a != nil {
				for i := 1; i < a.sittings(); i++ {
					c.breaks = append(c.breaks, at+i*a.each())
				}
				phase = a
				if a.hasGaps() {
					phase = newCircle(a)
					c.gaps = c.gaps || c.passes() > 1
				}
			}
		}
		l = append(l, c.mix(phase))
		at += phase.width()
	}
	c.orders = l
}

// phaseSamples parts the samples into those served first and those served
// after them.
func (c *scheme) phaseSamples(all []int32) [][]int32 {
	if !c.study.Serving.BlindFirst {
		return [][]int32{all}
	}
	var blind, named []int32
	for _, i := range all {
		if c.isBlind(i) {
			blind = append(blind, i)
		} else {
			named = append(named, i)
		}
	}
	var parts [][]int32
	for _, part := range [][]int32{blind, named} {
		if len(part) > 0 {
			parts = append(parts, part)
		}
	}
	return parts
}

func (c *scheme) isBlind(sample int32) bool { return c.study.Samples[sample].Name == "" }

// arranged reorders the incomplete blocks of another lottery: blind samples
// first, or samples of one dish at different sittings, or both. Otherwise the
// order within a block stays.
type arranged struct {
	inner  lottery
	dish   []int32 // of each sample
	blind  []bool  // of each sample; nil when blind samples need not come first
	widths []int   // columns of each sitting; one entry when dishes may meet

	scratch grid
	placed  []int
}

// chooseArranged wraps the lottery of incomplete blocks if the study asks for
// more than order.
func (c *scheme) chooseArranged(inner lottery) {
	s := c.study
	a := &arranged{inner: inner, dish: make([]int32, len(c.samples)), widths: []int{inner.width()}}
	dishes := map[study.DishID]int32{}
	var count []int
	for i, x := range s.Samples {
		d, ok := dishes[x.Dish]
		if !ok {
			d = int32(len(count))
			dishes[x.Dish] = d
			count = append(count, 0)
		}
		a.dish[i] = d
		count[d]++
		a.blind = append(a.blind, x.Name == "")
	}
	if !s.Serving.BlindFirst {
		a.blind = nil
	}
	if s.Serving.KeepDishesApart {
		a.widths = sittingWidths(count, s.Serving.PerAssessor, c.passes())
		at := 0
		for _, w := range a.widths[:len(a.widths)-1] {
			at += w
			c.breaks = append(c.breaks, at)
		}
	}
	if a.blind == nil && len(a.widths) == 1 {
		c.orders = c.mix(inner)
		return
	}
	c.gaps = true
	a.placed = make([]int, len(a.widths))
	c.orders = c.mix(a)
}

// sittingWidths returns how many columns each sitting needs when every block of
// k samples serves the first sample of a dish at the first sitting, the second
// at the second, and so on. count is the number of samples of each dish.
func sittingWidths(count []int, k, passes int) []int {
	var widths []int
	for round := 1; ; round++ {
		dishes := 0
		for _, n := range count {
			if n >= round {
				dishes++
			}
		}
		w := min(dishes, k/round)
		if w == 0 {
			return widths
		}
		widths = append(widths, w*passes)
	}
}

func (a *arranged) width() int {
	sum := 0
	for _, w := range a.widths {
		sum += w
	}
	return sum
}

func (a *arranged) draw(r *stream, g grid) {
	if a.scratch.cells == nil {
		a.scratch = newGrid(g.len(), a.inner.width())
	}
	a.inner.draw(r, a.scratch)
	for i := range g.len() {
		a.arrange(g.row(i), a.scratch.row(i))
	}
}

// arrange writes the samples of row to dst: by sitting, and within one in the
// order of the row, blind ones before named ones if asked.
func (a *arranged) arrange(dst, row []int32) {
	fillRow(dst, none)
	clear(a.placed)
	if a.blind != nil {
		a.blindFirst(row)
	}
	for j, x := range row {
		round := 0
		if len(a.widths) > 1 {
			round = a.round(row[:j], x)
		}
		at := a.placed[round]
		for _, w := range a.widths[:round] {
			at += w
		}
		dst[at] = x
		a.placed[round]++
	}
}

// blindFirst moves the blind samples of row before the others; otherwise the
// order stays.
func (a *arranged) blindFirst(row []int32) {
	for j := 1; j < len(row); j++ {
		for i := j; i > 0 && a.blind[row[i]] && !a.blind[row[i-1]]; i-- {
			row[i], row[i-1] = row[i-1], row[i]
		}
	}
}

// round is the sitting of sample x, from 0: how many other samples of its dish
// come before its first serving.
func (a *arranged) round(before []int32, x int32) int {
	n := 0
	for j, y := range before {
		if y == x {
			return n
		}
		if a.dish[y] == a.dish[x] && !contains(before[:j], y) {
			n++
		}
	}
	return n
}

func contains(row []int32, x int32) bool {
	for _, y := range row {
		if y == x {
			return true
		}
	}
	return false
}
