package design

import (
	"fmt"

	"cloche/internal/study"
)

// trialOrders are the orders in which one trial of a difference test may be
// served, A the first sample and B the second. All are used equally often.
// Sources: ISO 4120 (triangle, six orders), ISO 10399 (duo-trio, two with a
// constant reference, four with a balanced one; the reference comes first),
// ISO 5495 (2-AFC), ASTM E2139 (same–different). For the tetrad all six ways to
// set two pairs in a row; for the 3-AFC the three places of the one stronger
// sample, which is the first of the study.
var trialOrders = map[study.Question][]string{
	study.Triangle:      {"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"},
	study.DuoTrio:       {"AAB", "ABA", "BAB", "BBA"},
	study.TwoAFC:        {"AB", "BA"},
	study.ThreeAFC:      {"ABB", "BAB", "BBA"},
	study.Tetrad:        {"AABB", "ABAB", "ABBA", "BAAB", "BABA", "BBAA"},
	study.SameDifferent: {"AA", "BB", "AB", "BA"},
}

// constantReference are the orders of a duo-trio whose reference is always A.
var constantReference = []string{"AAB", "ABA"}

// chooseTrials picks the lottery of a difference test.
func (c *scheme) chooseTrials() error {
	q := c.study.Question
	if len(c.samples) != 2 {
		return conflict(fmt.Sprintf("%s compares exactly 2 samples; there are %d", q, len(c.samples)), "write 2 samples")
	}
	if q == study.ANotA {
		return c.chooseSeries()
	}
	orders, ok := trialOrders[q]
	if !ok {
		return conflict(fmt.Sprintf("there is no question %q", q), "write a question of the study format")
	}
	if q == study.DuoTrio {
		c.lead = true
		if c.study.Serving.Reference == study.ConstantReference {
			orders = constantReference
		}
	}
	c.unit = len(orders[0])
	c.orders = &trials{orders: spell(orders), passes: c.passes(), largest: c.largest()}
	return nil
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

// maxSeries is the most servings in a series of A–not-A. The orders of longer
// ones are too many to use equally often (there are 70 of eight), and palates
// tire before.
const maxSeries = 8

// chooseSeries picks the lottery of an A–not-A test: a series of single
// servings, as many A as not-A (one more or less when the series is odd), every
// such order equally often.
func (c *scheme) chooseSeries() error {
	n := c.passes()
	if n > maxSeries {
		return conflict(fmt.Sprintf("serving.replicates is %d, but a series of a-not-a has at most %d servings", n, maxSeries),
			fmt.Sprintf("write replicates: %d or fewer", maxSeries))
	}
	l := &series{n: n, largest: c.largest()}
	l.heavy[0] = seriesOrders(n, (n+1)/2)
	if n%2 == 1 {
		l.heavy[1] = seriesOrders(n, n/2)
	}
	c.orders = l
	return nil
}

// seriesOrders lists the orders of n servings of which a are sample 0.
func seriesOrders(n, a int) [][]int32 {
	var rows [][]int32
	for mask := range 1 << n {
		row := make([]int32, n)
		zeros := n
		for j := range row {
			if mask>>j&1 == 1 {
				row[j] = 1
				zeros--
			}
		}
		if zeros == a {
			rows = append(rows, row)
		}
	}
	return rows
}

// series draws the orders of an A–not-A test. An odd series has one more of A or
// one more of not-A: the two kinds come in pairs in random order, so that their
// totals stay within one.
type series struct {
	n       int
	heavy   [2][][]int32 // orders with more of A (or as many), and with more of not-A
	largest int          // times that a block holds each order, at most

	index [2][]int32
	used  [2]int
}

func (l *series) width() int { return l.n }

func (l *series) draw(r *stream, g grid) {
	kinds := 2
	if l.heavy[1] == nil {
		kinds = 1
	}
	for k := range l.index {
		if l.index[k] == nil {
			l.index[k] = make([]int32, 0, l.largest*len(l.heavy[k]))
		}
		l.index[k], l.used[k] = l.index[k][:0], 0
	}
	first := 0
	for i := range g.len() {
		if i%kinds == 0 {
			first = r.below(kinds)
		}
		l.next(r, (first+i%kinds)%kinds, g.row(i))
	}
}

// next copies the next order of a kind.
func (l *series) next(r *stream, kind int, dst []int32) {
	if l.used[kind] == len(l.index[kind]) {
		l.index[kind], l.used[kind] = refill(r, l.index[kind], len(l.heavy[kind]), l.largest), 0
	}
	copy(dst, l.heavy[kind][l.index[kind][l.used[kind]]])
	l.used[kind]++
}
