package design

// chooseTurns picks the lottery of turns that are served in one of the given orders.
func (c *scheme) chooseTurns(orders []string) {
	c.unit = len(orders[0])
	c.orders = &trials{orders: spell(orders), passes: c.passes(), largest: c.largest()}
}

// spell turns orders of letters into orders of samples.
func spell(orders []string) [][]int32 {
	rows := make([][]int32, len(orders))
	for i, o := range orders {
		for _, x := range o {
			rows[i] = append(rows[i], x-'A')
		}
	}
	return rows
}

// trials draws the orders of a difference test in permuted blocks that run on
// from trial to trial and from assessor to assessor: at every prefix every order
// has been used equally often, give or take one, or largestBlock where blocks are of
// random size.
type trials struct {
	orders  [][]int32
	passes  int
	largest int // times that a block holds each order, at most

	block []int32
}

func (l *trials) width() int { return l.passes * len(l.orders[0]) }

func (l *trials) draw(r *stream, g grid) {
	if l.block == nil {
		l.block = make([]int32, 0, l.largest*len(l.orders))
	}
	l.block = l.block[:0]
	unit, at := len(l.orders[0]), 0
	for i := range g.len() {
		row := g.row(i)
		for p := range l.passes {
			if at == len(l.block) {
				l.block, at = refill(r, l.block, len(l.orders), l.largest), 0
			}
			copy(row[p*unit:], l.orders[l.block[at]])
			at++
		}
	}
}

// refill draws a block of orders: each once, or as often as any other, at most
// largest times.
func refill(r *stream, block []int32, orders, largest int) []int32 {
	block = block[:0]
	for range blockSize(r, largest) {
		for o := range orders {
			block = append(block, int32(o))
		}
	}
	shuffle(r, block)
	return block
}

// ordinals fills x with 0, 1, 2, …
func ordinals(x []int32) {
	for i := range x {
		x[i] = int32(i)
	}
}
