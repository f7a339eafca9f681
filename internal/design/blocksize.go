package design

// largestBlock is the most often that a block of random size holds what a block of
// fixed size holds once: once, twice or three times, each as likely, so that the end
// of a block cannot be foretold (ICH E9, 2.3.2; the sizes are our choice).
const largestBlock = 3

// largest is how many times a block holds each order, or each sample, at most.
func (c *scheme) largest() int {
	if c.study.Serving.RandomBlocks() {
		return largestBlock
	}
	return 1
}

// blockSize draws how many times a block holds each order. A fixed size draws
// nothing, so that it leaves the stream as it was.
func blockSize(r *stream, largest int) int {
	if largest == 1 {
		return 1
	}
	return 1 + r.below(largest)
}

// mixed shuffles the rows of another lottery within blocks of random size: one, two
// or three of its own blocks together. The same orders are served as before; counts
// that differed by at most 1 at every prefix of assessors now differ by at most
// largestBlock.
type mixed struct {
	lottery
	unit int // rows of a block of the other lottery
}

// mix wraps a lottery when the study asks for blocks of random size. A single sample
// has one order only.
func (c *scheme) mix(l lottery) lottery {
	if unit := evenRows(l); unit > 1 && c.study.Serving.RandomBlocks() {
		return &mixed{l, unit}
	}
	return l
}

// evenRows is the rows of a lottery after which positions are even.
func evenRows(l lottery) int {
	switch l := l.(type) {
	case *williams:
		return len(l.samples)
	case *apart:
		return len(l.cells) * l.sittings()
	case *circle:
		return l.t
	case *arranged:
		return evenRows(l.inner)
	case *incomplete:
		return len(l.blocks.Rows)
	}
	return 1
}

func (m *mixed) draw(r *stream, g grid) {
	m.lottery.draw(r, g)
	for at := 0; at < g.len(); {
		end := min(at+m.unit*(1+r.below(largestBlock)), g.len())
		for i := end - 1; i > at; i-- {
			swapRows(g.row(i), g.row(at+r.below(i-at+1)))
		}
		at = end
	}
}

func swapRows(a, b []int32) {
	for j := range a {
		a[j], b[j] = b[j], a[j]
	}
}

// tellCuts tells the lotteries at which columns a new sitting begins: what is tasted
// at two sittings is not tasted one after the other.
func (c *scheme) tellCuts() {
	cut := make([]bool, c.orders.width())
	for _, round := range c.rounds[1:] {
		cut[round[0]] = true
	}
	parts, ok := c.orders.(phases)
	if !ok {
		parts = phases{c.orders}
	}
	at := 0
	for _, l := range parts {
		width := l.width()
		if m, ok := l.(*mixed); ok {
			l = m.lottery
		}
		if l, ok := l.(interface{ cutAt(cut []bool) }); ok && width > 0 {
			l.cutAt(cut[at : at+width])
		}
		at += width
	}
}
