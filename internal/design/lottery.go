package design

// grid is what a lottery fills: one row for each assessor, columns from to to
// of a wider table. A cell holds an index into Plan.Samples, or none.
type grid struct {
	cells    []int32
	width    int
	from, to int
}

// none marks a cell in which nothing is served.
const none int32 = -1

func newGrid(n, width int) grid {
	return grid{cells: make([]int32, n*width), width: width, to: width}
}

func (g grid) len() int {
	if g.width == 0 {
		return 0
	}
	return len(g.cells) / g.width
}

func (g grid) row(i int) []int32 {
	return g.cells[i*g.width+g.from : i*g.width+g.to]
}

// columns narrows g to its columns from to to.
func (g grid) columns(from, to int) grid {
	g.to = g.from + to
	g.from += from
	return g
}

// lottery draws what each assessor gets, column by column. It keeps its scratch
// memory between draws, so a draw allocates nothing.
type lottery interface {
	width() int
	draw(r *stream, g grid)
}

// phases is one lottery after another: each fills its own columns.
type phases []lottery

func (p phases) width() int {
	w := 0
	for _, l := range p {
		w += l.width()
	}
	return w
}

func (p phases) draw(r *stream, g grid) {
	at := 0
	for _, l := range p {
		l.draw(r, g.columns(at, at+l.width()))
		at += l.width()
	}
}
