package design

import "cloche/internal/study"

// sampleGroups says which counts can be compared. With blind samples first, a
// blind sample never stands where a named one does; with dishes kept apart, two
// samples of a dish are never neighbours.
type sampleGroups struct {
	group []int // of each sample
	dish  []int // of each sample; nil when dishes may meet
	count int   // groups
}

func newSampleGroups(s *study.Study, p *Plan) sampleGroups {
	g := sampleGroups{group: make([]int, len(p.Samples)), count: 1}
	number := map[study.DishID]int{}
	for i, id := range p.Samples {
		x, _ := s.Sample(id)
		if s.Serving.BlindFirst {
			g.count = 2
			if x.Name != "" {
				g.group[i] = 1
			}
		}
		if s.Serving.KeepDishesApart {
			if _, ok := number[x.Dish]; !ok {
				number[x.Dish] = len(number)
			}
			g.dish = append(g.dish, number[x.Dish])
		}
	}
	return g
}

// spreadCount finds the largest difference between counts of one class.
type spreadCount struct {
	seen   bool
	lo, hi int
}

func (c *spreadCount) add(n int) {
	if !c.seen {
		*c = spreadCount{true, n, n}
	}
	c.lo, c.hi = min(c.lo, n), max(c.hi, n)
}

func (c *spreadCount) spread() int { return c.hi - c.lo }

func (g sampleGroups) servedSpread(served []int) int {
	var by [2]spreadCount
	for x, n := range served {
		by[g.group[x]].add(n)
	}
	return max(by[0].spread(), by[1].spread())
}

// positionSpread compares, at each position, the samples of a group of which any
// ever stands there: all holds the counts of the whole plan.
func (g sampleGroups) positionSpread(counts, all [][]int) int {
	worst := 0
	for j := range counts[0] {
		var by [2]spreadCount
		var any [2]bool
		for x := range counts {
			by[g.group[x]].add(counts[x][j])
			any[g.group[x]] = any[g.group[x]] || all[x][j] > 0
		}
		for i := range by {
			if any[i] {
				worst = max(worst, by[i].spread())
			}
		}
	}
	return worst
}

// pairSpread compares ordered pairs of different samples from the same two
// groups, if any such pair ever occurs.
func (g sampleGroups) pairSpread(counts, all [][]int) int {
	var by [2][2]spreadCount
	var any [2][2]bool
	for x := range counts {
		for y, n := range counts[x] {
			if x == y || g.dish != nil && g.dish[x] == g.dish[y] {
				continue
			}
			a, b := g.group[x], g.group[y]
			by[a][b].add(n)
			any[a][b] = any[a][b] || all[x][y] > 0
		}
	}
	worst := 0
	for a := range by {
		for b := range by[a] {
			if any[a][b] {
				worst = max(worst, by[a][b].spread())
			}
		}
	}
	return worst
}
