package design

import (
	"sync"

	"cloche/internal/study"
)

// chooseIncomplete picks the lottery of a design that serves some of the samples
// to each assessor.
func (c *scheme) chooseIncomplete() error {
	t, k := len(c.samples), c.study.Serving.PerAssessor
	if k < 2 || k >= t {
		return &Conflict{Kind: ErrConflict, What: study.Say("each assessor gets %d of %d samples", k, t),
			Instead: study.Say("write per assessor: 2 to %d, or another serving.design", t-1),
			Field:   FieldPerAssessor, Value: study.Say("2 to %d", t-1), Or: FieldDesign}
	}
	c.blocks = blocksFor(t, k, c.n)
	c.chooseArranged(newIncomplete(c.blocks, c.passes()))
	return nil
}

// blockKey is what an arranged block design depends on.
type blockKey struct{ t, k, n int }

// arrangedBlocks remembers designs: a search may take a second, and always ends
// the same.
var arrangedBlocks sync.Map // blockKey → *Blocks

// blocksFor returns an arranged design for n assessors: a balanced one if there
// is one with no more than n blocks (it is repeated as often as needed), else the
// more even for n of two, the beginning of a balanced one and a nearly balanced
// one made for n. Callers must not change it.
func blocksFor(t, k, n int) *Blocks {
	key := blockKey{t, k, min(n, maxBlocks/t*t)}
	if known, ok := arrangedBlocks.Load(key); ok {
		return known.(*Blocks)
	}
	b := searchBlocks(t, k, key.n)
	arrangedBlocks.Store(key, b)
	return b
}

func searchBlocks(t, k, n int) *Blocks {
	balanced, err := Balanced(t, k, maxBlocks)
	if err == nil {
		balanced.Arrange()
		if len(balanced.Rows) <= n {
			return balanced
		}
	}
	nearly := Nearly(t, k, n)
	if err == nil {
		start := &Blocks{T: t, K: k, Rows: balanced.Rows[:n], Method: "beginning of: " + balanced.Method}
		if moreEven(start, nearly) {
			return start
		}
	}
	return nearly
}

// moreEven reports whether the samples of a are served more equally often than
// those of b or, failing that, together more equally often (the (M,S) criterion,
// Eccleston & Hedayat 1974, Ann. Stat. 2, 1238–1255). It is reckoned in whole
// numbers: a plan may not hang on the rounding of a processor.
func moreEven(a, b *Blocks) bool {
	if x, y := squares(a.Replication()), squares(b.Replication()); x != y {
		return x < y
	}
	x, y := 0, 0
	for _, row := range a.Concurrence() {
		x += squares(row)
	}
	for _, row := range b.Concurrence() {
		y += squares(row)
	}
	return x < y
}

func squares(counts []int) int {
	sum := 0
	for _, n := range counts {
		sum += n * n
	}
	return sum
}

// triesARepeat is how many shuffles of the samples are drawn where one of them can
// leave ordered pairs of neighbours more even than another; the best is taken. More
// tries gain little.
const triesARepeat = 16

// incomplete draws incomplete blocks: a fixed arranged design, repeated. Each
// repeat serves the positions of the design in the order of another row of a
// Williams design of order k, the same for all its blocks, so that positions stay as
// even as they are. After a cycle of k repeats (2k for odd k) the samples of every
// block have followed each other equally often in both directions, so that in a
// balanced design all ordered pairs are equally frequent. Within a cycle the next
// row is the one that leaves them most even. Samples are shuffled for every cycle.
type incomplete struct {
	blocks *Blocks
	passes int
	square [][]int32 // rows: the order in which positions of the design are served
	ends   int       // last symbol of the cyclic Williams row that begins with 0
	cut    []bool    // columns before which a new sitting begins

	symbol  []int32 // number in the design → sample
	best    []int32
	used    []bool  // rows of the square, in the cycle at hand
	shift   []int   // of each pass
	follows [][]int // ordered pairs of neighbours so far
	even    bool    // every labelling of a cycle is as good as any other
}

func newIncomplete(b *Blocks, passes int) *incomplete {
	square := williamsSquare(b.K)
	return &incomplete{
		blocks: b, passes: passes, square: fromIdentity(square), ends: int(square[0][b.K-1]),
		follows: newCounts(b.T, b.T), symbol: make([]int32, b.T), best: make([]int32, b.T),
		used: make([]bool, len(square)), shift: make([]int, passes), even: b.IsBalanced(),
	}
}

// fromIdentity renames the symbols of a square so that its first row is 0, 1, 2, …:
// it serves the design as it was arranged.
func fromIdentity(square [][]int32) [][]int32 {
	name := make([]int32, len(square[0]))
	for j, x := range square[0] {
		name[x] = int32(j)
	}
	rows := make([][]int32, len(square))
	for i, row := range square {
		rows[i] = make([]int32, len(row))
		for j, x := range row {
			rows[i][j] = name[x]
		}
	}
	return rows
}

func (l *incomplete) width() int { return l.blocks.K * l.passes }

// cutAt tells at which columns a new sitting begins. Only neighbours of the first
// pass are evened out, so only its columns count.
func (l *incomplete) cutAt(cut []bool) {
	l.cut = cut
	for _, c := range cut[:l.blocks.K] {
		l.even = l.even && !c
	}
}

func (l *incomplete) draw(r *stream, g grid) {
	ordinals(l.symbol)
	for _, row := range l.follows {
		clear(row)
	}
	b := len(l.blocks.Rows)
	for at, repeat := 0, 0; at < g.len(); at, repeat = at+b, repeat+1 {
		if repeat%len(l.square) == 0 {
			l.restart(r, at == 0, (g.len()-at+b-1)/b)
		}
		order := l.pick(r, l.blocks.Rows[:min(b, g.len()-at)])
		for p := range l.passes {
			l.pass(g, incompletePass{at, p, l.turned(order, p)})
		}
	}
}

// restart begins a cycle, of which so many repeats are used.
func (l *incomplete) restart(r *stream, first bool, repeats int) {
	clear(l.used)
	for p := 1; p < l.passes; p++ {
		l.shift[p] = l.shift[p-1] + l.step(r)
	}
	shuffle(r, l.symbol)
	if first || l.even {
		return
	}
	least := 0
	for try := range triesARepeat {
		if try > 0 {
			shuffle(r, l.symbol)
		}
		if cost := l.countCycle(min(repeats, len(l.square))); try == 0 || cost < least {
			least = cost
			copy(l.best, l.symbol)
		}
	}
	copy(l.symbol, l.best)
}

// countCycle is what so many repeats would add under the labels at hand.
func (l *incomplete) countCycle(repeats int) int {
	cost := 0
	for _, order := range l.square[:repeats] {
		cost += l.count(l.blocks.Rows, order, 1)
	}
	for _, order := range l.square[:repeats] {
		l.count(l.blocks.Rows, order, -1)
	}
	return cost
}

// pick takes the row of the square, of those that the cycle has left, that leaves
// ordered pairs most even; of several, one at random.
func (l *incomplete) pick(r *stream, rows [][]int32) int {
	best, least, equal := -1, 0, 0
	for i, order := range l.square {
		if l.used[i] {
			continue
		}
		cost := l.count(rows, order, 1)
		l.count(rows, order, -1)
		switch {
		case best < 0 || cost < least:
			best, least, equal = i, cost, 1
		case cost == least:
			if equal++; r.below(equal) == 0 {
				best = i
			}
		}
	}
	l.used[best] = true
	l.count(rows, l.square[best], 1)
	return best
}

// count adds sign times the ordered pairs of rows served in an order under the
// labels at hand, and returns by how much the sum of squares grew.
func (l *incomplete) count(rows [][]int32, order []int32, sign int) int {
	grown := 0
	for _, row := range rows {
		for j := 1; j < len(row); j++ {
			if l.cut != nil && l.cut[j] {
				continue
			}
			n := &l.follows[l.symbol[row[order[j-1]]]][l.symbol[row[order[j]]]]
			grown -= *n * *n
			*n += sign
			grown += *n * *n
		}
	}
	return grown
}

// step is how much further the rows of the next pass are turned: at random, but
// never so that the sample that ends one pass begins the next (of two, it may).
func (l *incomplete) step(r *stream) int {
	k := l.blocks.K
	if k == 2 {
		return r.below(2)
	}
	s := r.below(k - 1)
	if s >= l.ends {
		s++
	}
	return s
}

// turned is the row that serves pass p of a repeat whose first is served by the
// given one; in the mirrored half of the square it turns the other way.
func (l *incomplete) turned(row, p int) int {
	k := l.blocks.K
	if row < k {
		return (row + l.shift[p]) % k
	}
	return k + (row+l.passes*k*k-l.shift[p])%k
}

// incompletePass is one pass of one repeat, from assessor at on, served in the
// order of a row of the square.
type incompletePass struct{ at, pass, order int }

func (l *incomplete) pass(g grid, p incompletePass) {
	rows, k := l.blocks.Rows, l.blocks.K
	order := l.square[p.order]
	for i := p.at; i < min(p.at+len(rows), g.len()); i++ {
		dst := g.row(i)[p.pass*k : (p.pass+1)*k]
		for j := range dst {
			dst[j] = l.symbol[rows[i-p.at][order[j]]]
		}
	}
}
