package design

import "cloche/internal/study"

// drawThreshold serves a tray for each amount, from the least to the most: two servings of
// the dish without it, which is the first sample of the study, and one with it, at each of
// the three places equally often (ASTM E679).
var drawThreshold = drawing{question: study.FromHowMuch, choose: (*scheme).chooseAscending, orders: ordersAscending}

// placesOfOne are the places in a tray at which the serving with the amount may stand.
const placesOfOne = 3

func ordersAscending(s *study.Study) (orders []string) {
	for x := range int32(len(s.Samples) - 1) {
		for at := range placesOfOne {
			row := make([]int32, placesOfOne)
			row[at] = x + 1
			orders = append(orders, lettersOf(row))
		}
	}
	return orders
}

func (c *scheme) chooseAscending() error {
	c.unit = placesOfOne
	c.orders = &ascending{steps: len(c.samples) - 1, largest: c.largest()}
	return nil
}

// ascending draws at which place of each tray the serving with the amount stands, in
// permuted blocks over assessors, of each amount by itself: at every prefix of assessors each
// amount has stood at every place equally often, give or take one, or largestBlock where
// blocks are of random size.
type ascending struct {
	steps   int
	largest int // times that a block holds each place, at most

	blocks [][]int32 // of each amount
	used   []int
}

func (l *ascending) width() int { return l.steps * placesOfOne }

func (l *ascending) draw(r *stream, g grid) {
	if l.blocks == nil {
		l.blocks, l.used = make([][]int32, l.steps), make([]int, l.steps)
		for k := range l.blocks {
			l.blocks[k] = make([]int32, 0, l.largest*placesOfOne)
		}
	}
	for k := range l.blocks {
		l.blocks[k], l.used[k] = l.blocks[k][:0], 0
	}
	for i := range g.len() {
		row := g.row(i)
		clear(row)
		for k := range l.blocks {
			if l.used[k] == len(l.blocks[k]) {
				l.blocks[k], l.used[k] = refill(r, l.blocks[k], placesOfOne, l.largest), 0
			}
			row[k*placesOfOne+int(l.blocks[k][l.used[k]])] = int32(k + 1)
			l.used[k]++
		}
	}
}
