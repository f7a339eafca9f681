package design

import (
	"fmt"
	"sync"
)

// chooseIncomplete picks the lottery of a design that serves some of the samples
// to each assessor.
func (c *scheme) chooseIncomplete() error {
	t, k := len(c.samples), c.study.Serving.PerAssessor
	if k < 2 || k >= t {
		return conflict(fmt.Sprintf("serving.per assessor is %d of %d samples", k, t),
			fmt.Sprintf("write per assessor: 2 to %d, or another serving.design", t-1))
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

// triesARepeat is how many shuffles of the samples are drawn for each repeat of
// an incomplete design after the first; the one that leaves ordered pairs of
// neighbours most even is taken. More tries gain little.
const triesARepeat = 16

// incomplete draws incomplete blocks: a fixed arranged design, repeated, with the
// samples shuffled for every repeat and all its rows turned round or not at
// random. Both keep its balance, at every prefix too.
type incomplete struct {
	blocks *Blocks
	passes int

	labels  relabelling // of the repeat at hand
	best    relabelling
	follows [][]int // ordered pairs of neighbours so far
}

// relabelling is one way to repeat a design.
type relabelling struct {
	symbol []int32 // number in the design → sample
	turn   bool    // rows turned round
}

func newIncomplete(b *Blocks, passes int) *incomplete {
	return &incomplete{
		blocks: b, passes: passes, follows: newCounts(b.T, b.T),
		labels: relabelling{symbol: make([]int32, b.T)},
		best:   relabelling{symbol: make([]int32, b.T)},
	}
}

func (l *incomplete) width() int { return l.blocks.K * l.passes }

func (l *incomplete) draw(r *stream, g grid) {
	ordinals(l.labels.symbol)
	for _, row := range l.follows {
		clear(row)
	}
	for at := 0; at < g.len(); at += len(l.blocks.Rows) {
		l.relabel(r, at, g.len()-at)
		shift := 0
		for p := range l.passes {
			if p > 0 {
				shift = (shift + l.step(r)) % l.blocks.K
			}
			l.pass(g, incompletePass{at, p, shift, l.labels.turn})
		}
	}
}

// relabel draws the labels of one repeat, of which at most n rows are used.
func (l *incomplete) relabel(r *stream, at, n int) {
	rows := l.blocks.Rows[:min(n, len(l.blocks.Rows))]
	tries := triesARepeat
	if at == 0 {
		tries = 1
	}
	least := 0
	for i := range tries {
		shuffle(r, l.labels.symbol)
		l.labels.turn = r.below(2) == 1
		cost := l.count(rows, 1)
		l.count(rows, -1)
		if i == 0 || cost < least {
			least = cost
			copy(l.best.symbol, l.labels.symbol)
			l.best.turn = l.labels.turn
		}
	}
	l.labels, l.best = l.best, l.labels
	l.count(rows, 1)
}

// count adds sign times the ordered pairs of rows under the labels at hand, and
// returns by how much the sum of squares grew.
func (l *incomplete) count(rows [][]int32, sign int) int {
	grown := 0
	for _, row := range rows {
		for j := 1; j < len(row); j++ {
			x, y := l.labels.symbol[row[j-1]], l.labels.symbol[row[j]]
			if l.labels.turn {
				x, y = y, x
			}
			n := &l.follows[x][y]
			grown -= *n * *n
			*n += sign
			grown += *n * *n
		}
	}
	return grown
}

// step is how much further the rows of the next pass are rotated: at random, but
// never so that the sample that ends one pass begins the next (of two, it may).
func (l *incomplete) step(r *stream) int {
	if l.blocks.K == 2 {
		return r.below(2)
	}
	return r.below(l.blocks.K - 1)
}

// incompletePass is one pass of one repeat, from assessor at on: the rows rotated
// by shift and turned round if turn.
type incompletePass struct {
	at, pass, shift int
	turn            bool
}

func (l *incomplete) pass(g grid, p incompletePass) {
	rows, k := l.blocks.Rows, l.blocks.K
	for i := p.at; i < min(p.at+len(rows), g.len()); i++ {
		dst := g.row(i)[p.pass*k : (p.pass+1)*k]
		for j := range dst {
			from := (j + p.shift) % k
			if p.turn {
				from = k - 1 - from
			}
			dst[j] = l.labels.symbol[rows[i-p.at][from]]
		}
	}
}
