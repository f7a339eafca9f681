package design

import "cloche/internal/study"

// apart draws complete orders in which nobody meets one dish twice under
// different names at one sitting. It is the product of two Williams designs:
// over sittings for the names, within a sitting for the dishes; which names of
// different dishes go together is shuffled for every block. With v names for
// each of d dishes a block of d·v assessors is a Latin square of its d·v
// samples, so at every prefix positions differ by at most one. Every dish has as
// many names as any other; see [circle] for the rest.
type apart struct {
	cells  [][]int32 // dish × name, the sample or none
	passes int       // times each sample is served, at the same sitting
	dishes [][]int32 // Williams rows over dishes
	names  [][]int32 // Williams rows over names

	order []int32   // symbol of the square over dishes → dish
	match [][]int32 // of each dish: symbol of the square over names → name
	rows  []int32   // rows of the product, shuffled
	turn  []int     // of each sitting: how far the rows over dishes are turned
	step  []int     // of each pass after the first: how far they are turned further
}

// newApart arranges samples by dish. It returns nil when no dish has two.
func newApart(s *study.Study, samples []int32, passes int) *apart {
	var order []study.DishID
	byDish := map[study.DishID][]int32{}
	most := 0
	for _, x := range samples {
		d := s.Samples[x].Dish
		if len(byDish[d]) == 0 {
			order = append(order, d)
		}
		byDish[d] = append(byDish[d], x)
		most = max(most, len(byDish[d]))
	}
	if most < 2 {
		return nil
	}
	a := &apart{passes: passes, dishes: williamsSquare(len(order)), names: williamsSquare(most)}
	for _, d := range order {
		row := byDish[d]
		for len(row) < most {
			row = append(row, none)
		}
		a.cells = append(a.cells, row)
		a.match = append(a.match, make([]int32, most))
	}
	a.order = make([]int32, len(order))
	a.rows = make([]int32, len(order)*most)
	a.turn = make([]int, most)
	a.step = make([]int, passes)
	return a
}

// sittings is how many sittings the names take.
func (a *apart) sittings() int { return len(a.cells[0]) }

// each is the columns of one sitting.
func (a *apart) each() int { return len(a.cells) * a.passes }

func (a *apart) width() int { return a.sittings() * a.each() }

// hasGaps reports whether some dish has fewer names than another.
func (a *apart) hasGaps() bool {
	for _, row := range a.cells {
		if row[len(row)-1] == none {
			return true
		}
	}
	return false
}

func (a *apart) draw(r *stream, g grid) {
	d, v := len(a.cells), a.sittings()
	flips := [2]int{r.below(len(a.dishes) / d), r.below(len(a.names) / v)}
	for block, at := 0, 0; at < g.len(); block, at = block+1, at+d*v {
		a.reshuffle(r)
		dishes := half(a.dishes, d, block+flips[0])
		names := half(a.names, v, block/2+flips[1])
		for i := at; i < min(at+d*v, g.len()); i++ {
			x, y := int(a.rows[i-at])/v, int(a.rows[i-at])%v
			a.fill(g.row(i), dishes, x, names[y])
		}
	}
}

// half returns the k-th half of a Williams design of order t, or its only one.
func half(square [][]int32, t, k int) [][]int32 {
	k %= len(square) / t
	return square[k*t : (k+1)*t]
}

func (a *apart) reshuffle(r *stream) {
	ordinals(a.order)
	shuffle(r, a.order)
	for _, m := range a.match {
		ordinals(m)
		shuffle(r, m)
	}
	ordinals(a.rows)
	shuffle(r, a.rows)
	for s := range a.turn {
		a.turn[s] = r.below(len(a.cells))
	}
	for p := range a.step {
		a.step[p] = 1
		if d := len(a.cells); d > 2 {
			a.step[p] = 1 + r.below(d-1)
		} else if d == 2 {
			a.step[p] = r.below(2)
		}
	}
}

// fill writes the row of one assessor: row x of the square over dishes, and a
// row over names. Later passes turn the square so that the dish that ends one
// pass does not begin the next (of two dishes, it may).
func (a *apart) fill(dst []int32, dishes [][]int32, x int, names []int32) {
	d := len(a.cells)
	for s, name := range names {
		row := (x + a.turn[s]) % d
		for p := range a.passes {
			if p > 0 {
				row = turned(dishes, row, a.step[p])
			}
			for j, symbol := range dishes[row] {
				dish := a.order[symbol]
				dst[s*a.each()+p*d+j] = a.cells[dish][a.match[dish][name]]
			}
		}
	}
}

// turned returns the row of a cyclic square that begins with the symbol step
// after the one that ends the given row.
func turned(square [][]int32, row, step int) int {
	d := len(square)
	last, first := int(square[row][d-1]), int(square[0][0])
	return ((last+step-first)%d + d) % d
}
