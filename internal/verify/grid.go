package verify

import (
	"errors"
	"math"
)

// A grid is a list of expected rows, each with the arguments of a function and
// its values. The arguments are read from the expected rows.

// gridRow reads the arguments of one row.
type gridRow struct {
	o   *object
	err error
}

// number returns an argument; its absence is a mistake of the entry.
func (g *gridRow) number(name string) float64 {
	v, has := g.o.get(name)
	f, ok := number(v)
	if !has || !ok || math.IsNaN(f) {
		g.err = errors.Join(g.err, bad("grid: argument %q is missing or not a number", name))
		return math.NaN()
	}
	return f
}

func (g *gridRow) whole(name string) int {
	f := g.number(name)
	if math.IsNaN(f) {
		return 0
	}
	n, err := whole(f, name)
	g.err = errors.Join(g.err, err)
	return n
}

// size returns a sample size that an exact distribution can be counted for.
func (g *gridRow) size(name string) int {
	n := g.whole(name)
	if n < 0 || n > maxExactSize {
		g.err = errors.Join(g.err, bad("grid: %s = %d lies outside 0 to %d", name, n, maxExactSize))
		return 0
	}
	return n
}

// maxExactSize bounds the exact rank distributions: their work grows with the
// cube of the size.
const maxExactSize = 1000

func (g *gridRow) text(name, fallback string) string {
	v, has := g.o.get(name)
	if !has {
		return fallback
	}
	s, ok := v.(string)
	if !ok {
		g.err = errors.Join(g.err, bad("grid: argument %q must be a text", name))
	}
	return s
}

// gridMethod is a method whose expected values are a grid: args are the
// arguments, run computes the values of a row.
func gridMethod(args string, run func(*gridRow) fields) method {
	return method{fields: words("grid"), key: words("grid"), run: func(c *call) answer {
		list, ok := c.e.expected.values["grid"].([]any)
		if !ok {
			return answer{err: bad("expected.grid must be a list of rows")}
		}
		out := make([]any, len(list))
		for i, item := range list {
			o, ok := item.(*object)
			if !ok {
				return answer{err: bad("expected.grid[%d] must be an object", i)}
			}
			row := &gridRow{o: o}
			computed := run(row)
			if row.err != nil {
				return answer{err: row.err}
			}
			for _, name := range words(args) {
				if v, has := o.get(name); has {
					computed[name] = echo(v)
				}
			}
			out[i] = computed
		}
		return answer{fields: fields{"grid": out}}
	}}
}

// echo gives an argument back, so that it is not taken for an unknown field.
func echo(v any) any {
	if f, ok := number(v); ok {
		return f
	}
	return v
}
