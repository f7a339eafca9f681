package design

import "cloche/internal/study"

// apart draws complete orders in which nobody meets one dish twice under
// different names at one sitting. It is the product of two Williams designs:
// over sittings for the names, within a sitting for the dishes. With v names for
// each of d dishes a block of d·v assessors is a Latin square of its d·v samples,
// so at every prefix positions differ by at most one.
//
// Which names of different dishes go together changes from block to block: to the
// names of dish a the number x·u modulo v is added, where the vector x is a in
// digits of the smallest prime factor of v and u runs over all vectors. Two x
// differ somewhere by a unit modulo v, so x·u − x'·u takes every value equally
// often: over one round of u every name of a dish meets every name of another, and
// every ordered pair of samples of different dishes is equally frequent. (These
// are difference matrices, Bose & Bush 1952, Ann. Math. Stat. 23, 508–524; volume
// and pages from memory.) For odd d each u serves two blocks, a square and its
// mirror. Every dish has as many names as any other; see [circle] for the rest.
type apart struct {
	cells  [][]int32 // dish × name, the sample or none
	passes int       // times each sample is served, at the same sitting
	dishes [][]int32 // Williams rows over dishes
	names  [][]int32 // Williams rows over names

	digits [][]int // x of each dish
	turns  [][]int // every u
	at     []int32 // into turns, in the order of the round at hand

	order []int32   // symbol of the square over dishes → dish
	first [][]int32 // of each dish, for a round: symbol of the square over names → name
	match [][]int32 // of each dish, for a block: symbol of the square over names → name
	rows  []int32   // rows of the product, shuffled
	turn  []int     // of each sitting: how far the rows over dishes are turned
	begin []int     // of each pass: where its steps begin
	step  []int     // of each pass after the first: how far its rows are turned further
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
		a.first = append(a.first, make([]int32, most))
		a.match = append(a.match, make([]int32, most))
	}
	a.digits, a.turns = differences(len(order), most)
	a.at = make([]int32, len(a.turns))
	a.order = make([]int32, len(order))
	a.rows = make([]int32, len(order)*most)
	a.turn = make([]int, most)
	a.begin, a.step = make([]int, passes), make([]int, passes)
	return a
}

// differences returns a vector for each of d dishes and all the vectors that they
// are multiplied with, modulo v: see [apart].
func differences(d, v int) (digits, turns [][]int) {
	base := 2
	for v%base != 0 {
		base++
	}
	length, reach := 0, 1
	for reach < d {
		length, reach = length+1, reach*base
	}
	for a := range d {
		digits = append(digits, inDigits(a, base, length))
	}
	all := 1
	for range length {
		all *= v
	}
	for u := range all {
		turns = append(turns, inDigits(u, v, length))
	}
	return digits, turns
}

// inDigits writes n with so many digits of a base, the lowest first.
func inDigits(n, base, length int) []int {
	x := make([]int, length)
	for i := range x {
		x[i], n = n%base, n/base
	}
	return x
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
	halves := a.halves()
	flips := [2]int{r.below(halves), r.below(len(a.names) / v)}
	for block, at := 0, 0; at < g.len(); block, at = block+1, at+d*v {
		pair := block / halves
		if block%halves == 0 {
			a.rematch(r, pair)
		} else {
			a.mirror()
		}
		a.reshuffle(r)
		dishes := half(a.dishes, d, block+flips[0])
		names := half(a.names, v, pair+flips[1])
		for i := at; i < min(at+d*v, g.len()); i++ {
			x, y := int(a.rows[i-at])/v, int(a.rows[i-at])%v
			a.fill(g.row(i), dishes, x, names[y])
		}
	}
}

// halves is 2 when a square over dishes needs its mirror, else 1.
func (a *apart) halves() int { return len(a.dishes) / len(a.cells) }

// round is the assessors after which every ordered pair of samples of different
// dishes is equally frequent.
func (a *apart) round() int { return len(a.dishes) * a.sittings() * len(a.turns) }

// half returns the k-th half of a Williams design of order t, or its only one.
func half(square [][]int32, t, k int) [][]int32 {
	k %= len(square) / t
	return square[k*t : (k+1)*t]
}

// rematch draws the dishes of the next square and its mirror, and says which names
// go together in them.
func (a *apart) rematch(r *stream, pair int) {
	ordinals(a.order)
	shuffle(r, a.order)
	at := pair % len(a.turns)
	if at == 0 {
		ordinals(a.at)
		shuffle(r, a.at)
		for _, names := range a.first {
			ordinals(names)
			shuffle(r, names)
		}
	}
	v := a.sittings()
	for dish, names := range a.match {
		plus := 0
		for i, x := range a.digits[dish] {
			plus += x * a.turns[a.at[at]][i]
		}
		for symbol := range names {
			names[symbol] = a.first[dish][(symbol+plus)%v]
		}
	}
	a.restep(r, pair)
}

// restep says how passes follow each other: so that the dish that ends one does
// not begin the next (of two, it may), each other dish in turn.
func (a *apart) restep(r *stream, pair int) {
	d := len(a.cells)
	for p := range a.step {
		if pair == 0 {
			a.begin[p] = r.below(max(2, d-1))
		}
		switch {
		case d > 2:
			a.step[p] = 1 + (a.begin[p]+pair)%(d-1)
		case d == 2:
			a.step[p] = r.below(2)
		default:
			a.step[p] = 1
		}
	}
}

// mirror turns the steps round, for the mirror of a square.
func (a *apart) mirror() {
	for p := range a.step {
		a.step[p] = len(a.cells) - a.step[p]
	}
}

func (a *apart) reshuffle(r *stream) {
	ordinals(a.rows)
	shuffle(r, a.rows)
	for s := range a.turn {
		a.turn[s] = r.below(len(a.cells))
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
