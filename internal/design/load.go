package design

import "cloche/internal/study"

// Load is what a study asks of each assessor and of the kitchen, known before
// any plan is drawn and whatever the size of the panel.
type Load struct {
	Sittings int // that each assessor attends
	Rated    int // servings that are answered
	Turns    int // that are answered: servings, or several at once; warm-ups and names aside
	Before   int // warm-up and reference plates
	Names    int // names read and rated before any tasting, at most
	Block    int // a plan for a multiple of so many assessors is quite even; 0 when every number is as good

	Efficiency float64 // of incomplete blocks, see [Efficiency]; 1 where everybody gets every sample

	times []int // plates of each sample …
	of    int   // … per so many assessors
	study *study.Study
}

// likelyPanel stands for the panel where its size is not known yet: balanced
// incomplete blocks of more assessors than this are no help to anybody.
const likelyPanel = 200

// Weight reckons the load of a study. The sittings and seats of the study and
// the size of its panel are without effect. Errors are of type [*Conflict].
func Weight(s *study.Study) (Load, error) {
	c, err := newScheme(s, Options{Assessors: likelyPanel})
	if err != nil {
		return Load{}, err
	}
	l := Load{study: s, Sittings: len(c.rounds), Before: c.extra() * len(c.rounds), Block: c.block(), Efficiency: 1}
	if len(c.samples) == 1 {
		l.Block = 0
	}
	if c.blocks != nil {
		l.Efficiency = c.blocks.Efficiency()
		if !c.blocks.IsBalanced() {
			l.Block = 0
		}
	}
	l.times, l.of = c.times()
	plates := 0
	for _, n := range l.times {
		plates += n
	}
	l.Rated = plates / l.of
	if c.names != nil {
		l.Names = min(c.names.width(), l.Rated)
	}
	l.Turns = l.Rated / c.unit
	if c.lead {
		l.Before += l.Turns
		l.Rated -= l.Turns
	}
	for _, x := range []int32{c.warmUp, c.reference} {
		if x != none {
			l.times[x] += l.of * l.Sittings
		}
	}
	return l, nil
}

// times counts the plates of each sample that a whole block of assessors gets,
// without those that a sitting begins with, and the assessors of such a block.
func (c *scheme) times() (times []int, of int) {
	times = make([]int, len(c.samples))
	each, of := len(times), len(times)
	switch l := c.orders.(type) {
	case *trials:
		for _, row := range l.orders {
			for _, x := range row {
				times[x] += l.passes
			}
		}
		return times, len(l.orders)
	case *ascending:
		for i := range times {
			times[i] = 1
		}
		times[0] = 2 * l.steps
		return times, 1
	case *series, *permutedBlocks, *minimised:
		each = 1
	}
	if c.blocks != nil {
		each = c.blocks.K
	}
	for i := range times {
		times[i] = each * c.passes()
	}
	return times, of
}

// Plates is how many plates each assessor gets.
func (l Load) Plates() int { return l.Rated + l.Before }

// Portions counts the portions of each dish, in the order of the study, that a
// panel of n takes: exact for whole blocks, else rounded up.
func (l Load) Portions(n int) []DishCount {
	var dishes []DishCount
	for _, d := range l.study.Dishes {
		plates := 0
		for i, x := range l.study.Samples {
			if x.Dish == d.ID {
				plates += l.times[i]
			}
		}
		dishes = append(dishes, DishCount{d.ID, roundUp(n*plates, l.of)})
	}
	return dishes
}

// SittingsFor is how many sittings a panel of n needs with so many seats; 0
// seats are no limit.
func (l Load) SittingsFor(n, seats int) int {
	if seats <= 0 {
		return l.Sittings
	}
	return roundUp(n, seats) * l.Sittings
}

// Places is how many assessors the sittings and seats of the study hold; 0 is no
// limit.
func (l Load) Places() int {
	return max(1, l.study.Panel.Sittings) / l.Sittings * l.study.Panel.Seats
}

// NextEven is the smallest panel of at least n with which the plan is quite even.
func (l Load) NextEven(n int) int { return roundUp(n, max(1, l.Block)) * max(1, l.Block) }

// Chance is the share of the panel that tastes both of two given samples, as a
// fraction: all of it unless blocks are incomplete, nobody when each gets one.
func (l Load) Chance() (part, of int) {
	t, k := len(l.study.Samples), l.study.Serving.PerAssessor
	switch l.study.Serving.Design {
	case study.One:
		return 0, 1
	case study.Some:
		return k * (k - 1), t * (t - 1)
	}
	return 1, 1
}

func roundUp(n, by int) int { return (n + by - 1) / by }
