package design

import (
	"slices"

	"cloche/internal/study"
)

// maxSeries is the most servings in a series of A–not-A. The orders of longer
// ones are too many to use equally often (there are 70 of eight), and palates
// tire before.
const maxSeries = 8

// drawANotA serves a series.
var drawANotA = drawing{question: study.ANotA, choose: (*scheme).chooseSeries, orders: ordersOfSeries, series: true}

// ordersOfSeries are the series that are used equally often.
func ordersOfSeries(s *study.Study) []string {
	var orders []string
	n := max(1, s.Serving.Replicates)
	for _, a := range slices.Compact([]int{n / 2, (n + 1) / 2}) {
		for _, row := range seriesOrders(n, a) {
			orders = append(orders, lettersOf(row))
		}
	}
	return orders
}

// chooseSeries picks the lottery of an A–not-A test: a series of single
// servings, as many A as not-A (one more or less when the series is odd), every
// such order equally often.
func (c *scheme) chooseSeries() error {
	n := c.passes()
	if n > maxSeries {
		return fieldConflict(study.Say("%d servings in a series are too many: it has at most %d", n, maxSeries),
			study.Say("write replicates: %d or fewer", maxSeries),
			FieldReplicates, study.Say("%d or fewer", maxSeries))
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
