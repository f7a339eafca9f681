package design

import "cloche/internal/study"

// permutedBlocks gives one sample to each assessor, in permuted blocks within each
// stratum: of random sizes, or every sample once. At every prefix of a stratum any
// two samples have been given equally often, give or take largestBlock, or 1.
type permutedBlocks struct {
	samples []int32
	passes  int
	strata  strata
	largest int // times that a block holds each sample, at most

	open  []block
	whole []int32 // the largest block before it is shuffled
}

// block is the one of a stratum: what of it is not given yet comes last.
type block struct {
	store      []int32
	size, left int
}

func newPermutedBlocks(samples []int32, passes int, x strata, largest int) *permutedBlocks {
	l := &permutedBlocks{samples: samples, passes: passes, strata: x, largest: largest}
	l.open = make([]block, x.cells)
	for i := range l.open {
		l.open[i].store = make([]int32, largest*len(samples))
	}
	for range largest {
		l.whole = append(l.whole, samples...)
	}
	return l
}

func (l *permutedBlocks) width() int { return l.passes }

func (l *permutedBlocks) draw(r *stream, g grid) {
	if l.strata.of == nil && g.width == 1 {
		l.drawAlong(r, g.cells)
		return
	}
	l.reset()
	if g.width == 1 { // as below, without a call each: redraws do little else
		for i, cell := range l.strata.of {
			b := &l.open[cell]
			if b.left == 0 {
				b.size = l.fill(r, b.store)
				b.left = b.size
			}
			b.left--
			g.cells[i] = b.store[b.size-1-b.left]
		}
		return
	}
	for i := range g.len() {
		cell := int32(0)
		if l.strata.of != nil {
			cell = l.strata.of[i]
		}
		fillRow(g.row(i), l.next(r, cell))
	}
}

// drawAlong is draw of one stratum and one serving each, block after block.
func (l *permutedBlocks) drawAlong(r *stream, cells []int32) {
	for len(cells) > 0 {
		to := l.open[0].store
		if len(cells) > len(to) { // any block fits
			to = cells
		}
		cells = cells[copy(cells, to[:l.fill(r, to)]):]
	}
}

func (l *permutedBlocks) reset() {
	for i := range l.open {
		l.open[i].left = 0
	}
}

// next gives a newcomer of a stratum what comes next in its block.
func (l *permutedBlocks) next(r *stream, cell int32) int32 {
	b := &l.open[cell]
	if b.left == 0 {
		b.size = l.fill(r, b.store)
		b.left = b.size
	}
	b.left--
	return b.store[b.size-1-b.left]
}

// fill draws a block and returns how many it holds.
func (l *permutedBlocks) fill(r *stream, store []int32) int {
	n := blockSize(r, l.largest) * len(l.samples)
	copy(store[:n], l.whole)
	shuffle(r, store[:n])
	return n
}

func fillRow(row []int32, sample int32) {
	for j := range row {
		row[j] = sample
	}
}

// chooseOne picks the lottery of a design that gives one sample to each.
func (c *scheme) chooseOne(all []int32) error {
	var err error
	if c.strata, err = newStrata(c.study, c.n, c.levels); err != nil {
		return err
	}
	if c.known != nil {
		c.strata.of = c.known
	}
	if !c.study.Serving.Minimise {
		c.orders = newPermutedBlocks(all, c.passes(), c.strata, c.largest())
		return nil
	}
	if len(c.strata.sizes) == 0 {
		return conflict(study.Say("serving.minimise balances the levels of serving.strata, and there are none"),
			study.Say("write serving.strata, or minimise: false"))
	}
	c.orders = &minimised{minimiser: newMinimiser(all, c.strata), passes: c.passes()}
	return nil
}

// minimiseProbability is the chance that a newcomer gets a sample that keeps the
// imbalance smallest; otherwise one of the others (Pocock & Simon 1975, Biometrics
// 31, 103–115, whose p this is; the value, often 0.7 to 0.9, is common practice).
const (
	minimiseNumerator   = 4
	minimiseDenominator = 5
)

// minimiser gives one sample to each assessor as they arrive, so that within
// every level of every stratum the samples are given about equally often, with a
// random element (Pocock & Simon 1975, the range as the measure of imbalance of
// a level, levels weighted equally).
type minimiser struct {
	samples []int32
	strata  strata
	counts  [][][]int // stratum, level, sample
	best    []int32
	rest    []int32
}

func newMinimiser(samples []int32, x strata) minimiser {
	m := minimiser{samples: samples, strata: x, best: make([]int32, 0, len(samples)),
		rest: make([]int32, 0, len(samples))}
	for _, size := range x.sizes {
		levels := make([][]int, size)
		for i := range levels {
			levels[i] = make([]int, len(samples))
		}
		m.counts = append(m.counts, levels)
	}
	return m
}

func (m *minimiser) reset() {
	for _, levels := range m.counts {
		for _, counts := range levels {
			clear(counts)
		}
	}
}

// next assigns a newcomer with the given combination of levels.
func (m *minimiser) next(r *stream, cell int32) int32 {
	m.best, m.rest = m.best[:0], m.rest[:0]
	least := 0
	for i := range m.samples {
		d := m.imbalance(i, cell)
		switch {
		case len(m.best) > 0 && d > least:
			m.rest = append(m.rest, int32(i))
			continue
		case len(m.best) > 0 && d < least:
			m.rest = append(m.rest, m.best...)
			m.best = m.best[:0]
		}
		least = d
		m.best = append(m.best, int32(i))
	}
	pick := m.best
	if len(m.rest) > 0 && r.below(minimiseDenominator) >= minimiseNumerator {
		pick = m.rest
	}
	i := pick[r.below(len(pick))]
	for f := range m.counts {
		m.counts[f][m.strata.level(cell, f)][i]++
	}
	return m.samples[i]
}

// imbalance is the sum over the newcomer's levels of the range of counts if
// sample i were given.
func (m *minimiser) imbalance(i int, cell int32) int {
	sum := 0
	for f := range m.counts {
		lo, hi := -1, -1
		for j, n := range m.counts[f][m.strata.level(cell, f)] {
			if j == i {
				n++
			}
			if lo < 0 || n < lo {
				lo = n
			}
			hi = max(hi, n)
		}
		sum += hi - lo
	}
	return sum
}

// minimised is minimisation as a lottery: assessors arrive in the order of the
// plan.
type minimised struct {
	minimiser
	passes int
}

func (l *minimised) width() int { return l.passes }

func (l *minimised) draw(r *stream, g grid) {
	l.reset()
	for i := range g.len() {
		fillRow(g.row(i), l.next(r, l.strata.of[i]))
	}
}
