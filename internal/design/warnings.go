package design

import (
	"fmt"

	"cloche/internal/study"
)

// warnings are what a careful experimenter would say of the plan aloud. Codes:
// codes-shared, sittings-unused, positions-uneven, blocks-unbalanced,
// panel-uneven; see also [fewPlans].
func (c *scheme) warnings(p *Plan) []Warning {
	var w []Warning
	if c.study.Serving.Codes == study.CodePerSample {
		w = append(w, Warning{"codes-shared", "Everybody at a sitting gets the same code for the same sample, " +
			"so neighbours can compare; serving.codes: serving avoids that."})
	}
	if told := max(1, c.study.Panel.Sittings); p.Sittings < told {
		w = append(w, Warning{"sittings-unused", fmt.Sprintf(
			"The panel needs %d of the %d sittings; the others stay empty.", p.Sittings, told)})
	}
	if c.gaps {
		w = append(w, Warning{"positions-uneven", "Blocks are incomplete while blind samples come first or dishes " +
			"are kept apart, " +
			"or dishes with unequal numbers of names are kept apart and served more than once: positions are only " +
			"nearly even; " +
			"see the balance report."})
	}
	if c.blocks != nil && !c.blocks.IsBalanced() {
		w = append(w, Warning{"blocks-unbalanced", fmt.Sprintf(
			"No balanced design of %d samples with %d to each of %d assessors was found; this one is nearly "+
				"balanced: see the balance report.",
			c.blocks.T, c.blocks.K, c.n)})
	}
	return append(w, c.uneven()...)
}

// uneven warns when the number of assessors leaves the last block unfinished.
func (c *scheme) uneven() []Warning {
	block := c.block()
	if block < 2 || c.n%block == 0 {
		return nil
	}
	fewer := c.n / block * block
	try := fmt.Sprintf("%d", fewer+block)
	if fewer > 0 {
		try = fmt.Sprintf("%d or %d", fewer, fewer+block)
	}
	return []Warning{{"panel-uneven", fmt.Sprintf(
		"%d assessors do not fill the last block of %d, so some counts in the balance report differ by more than "+
			"they need to; %s would be quite even.",
		c.n, block, try)}}
}

// block is the number of assessors after which the plan is quite even; 0 when
// there is no such number.
func (c *scheme) block() int { return blockOf(c.orders) }

func blockOf(l lottery) int {
	switch l := l.(type) {
	case phases:
		n := 1
		for _, part := range l {
			n = leastMultiple(n, blockOf(part))
		}
		return n
	case *mixed:
		return blockOf(l.lottery)
	case *williams:
		return len(l.square)
	case *apart:
		// With more dishes a whole round is longer than most panels.
		if len(l.cells) == 2 {
			return l.round()
		}
		return len(l.dishes) * l.sittings()
	case *circle:
		return l.t
	case *arranged:
		return blockOf(l.inner)
	case *incomplete:
		return len(l.blocks.Rows)
	case *trials:
		return leastMultiple(len(l.orders), l.passes) / l.passes
	case *ascending:
		return placesOfOne
	case *series:
		return len(l.heavy[0]) + len(l.heavy[1])
	}
	return 0
}

// leastMultiple is the least common multiple of a and b, both above 0.
func leastMultiple(a, b int) int {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}
