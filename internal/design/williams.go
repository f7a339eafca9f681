package design

// williamsSquare returns the rows of Williams' design for t samples: row i is
// the zig-zag 0, 1, t−1, 2, t−2, … with i added to every entry modulo t
// (Williams 1949, Aust. J. Sci. Res. A 2, 149–168). For even t it has t rows
// and every ordered pair of neighbours occurs once. For odd t the second half,
// rows t to 2t−1, is the first half with every row reversed, and every ordered
// pair occurs twice in the 2t rows. Each half is a Latin square.
func williamsSquare(t int) [][]int32 {
	zigzag := make([]int, t)
	for j := range zigzag {
		zigzag[j] = (j + 1) / 2
		if j%2 == 0 && j > 0 {
			zigzag[j] = t - j/2
		}
	}
	rows := make([][]int32, 0, 2*t)
	for i := range t {
		row := make([]int32, t)
		for j, z := range zigzag {
			row[j] = int32((z + i) % t)
		}
		rows = append(rows, row)
	}
	if t%2 == 0 {
		return rows
	}
	for i := range t {
		row := make([]int32, t)
		for j := range row {
			row[j] = rows[i][t-1-j]
		}
		rows = append(rows, row)
	}
	return rows
}

// williams draws complete orders: every sample to each assessor, passes times.
// Each half of a block, t assessors, is a Latin square with its own shuffle of
// samples and rows, so at every prefix of assessors any two samples have stood
// at each position equally often, give or take one.
type williams struct {
	samples []int32 // what is ordered
	passes  int     // times each sample is served
	square  [][]int32

	symbol  []int32 // per pass: symbol of the square → sample
	rows    []int32 // rows of the half at hand, shuffled
	follow  []int32 // per symbol: symbol that opens the next pass
	byFirst []int32 // per symbol: row of the half that begins with it

	cut     []bool  // columns before which a new sitting begins; nil when each pass is at one
	follows [][]int // ordered pairs of neighbours so far, by place in samples; only with cut
	best    []int32
}

func newWilliams(samples []int32, passes int) *williams {
	t := len(samples)
	w := &williams{
		samples: samples,
		passes:  passes,
		square:  squareFor(t),
		symbol:  make([]int32, passes*t),
		rows:    make([]int32, t),
		follow:  make([]int32, t),
		byFirst: make([]int32, t),
	}
	return w
}

func (w *williams) width() int { return len(w.samples) * w.passes }

// cutAt tells at which columns a new sitting begins. A cut within a pass parts
// neighbours, so that a square no longer holds every ordered pair equally often.
func (w *williams) cutAt(cut []bool) {
	t := len(w.samples)
	for j, c := range cut {
		if c && j%t != 0 {
			w.cut, w.follows, w.best = cut, newCounts(t, t), make([]int32, t)
		}
	}
}

// draw fills every row of g.
func (w *williams) draw(r *stream, g grid) {
	n := g.len()
	for _, row := range w.follows {
		clear(row)
	}
	for at := 0; at < n; at += len(w.square) {
		w.block(r, g, at, min(at+len(w.square), n))
	}
}

// block draws one block, assessors from to to. The passes share the shuffle of
// the samples; the order of the halves is drawn for each pass.
func (w *williams) block(r *stream, g grid, from, to int) {
	t := len(w.samples)
	halves := len(w.square) / t
	for p := range w.passes {
		symbol := w.symbol[p*t : (p+1)*t]
		copy(symbol, w.samples)
		shuffle(r, symbol)
		if w.cut != nil {
			w.relabel(r, symbol, w.cut[p*t:(p+1)*t])
		}
		flip := 0
		if halves == 2 {
			flip = r.below(2)
		}
		for h := range halves {
			start := from + h*t
			if start >= to {
				break
			}
			w.half(r, g, halfOf{p, (h + flip) % halves, start, min(start+t, to)})
		}
	}
}

// relabel takes the one of a few shuffles that leaves the ordered pairs of
// neighbours most even, where sittings part some of them.
func (w *williams) relabel(r *stream, symbol []int32, cut []bool) {
	least := 0
	for try := range triesARepeat {
		if try > 0 {
			shuffle(r, symbol)
		}
		cost := w.count(symbol, cut, 1)
		w.count(symbol, cut, -1)
		if try == 0 || cost < least {
			least = cost
			copy(w.best, symbol)
		}
	}
	copy(symbol, w.best)
	w.count(symbol, cut, 1)
}

// count adds sign times the neighbours of a block within sittings, and returns by
// how much the sum of squares grew.
func (w *williams) count(symbol []int32, cut []bool, sign int) int {
	grown := 0
	for _, row := range w.square {
		for j := 1; j < len(row); j++ {
			if cut[j] {
				continue
			}
			n := &w.follows[w.place(symbol[row[j-1]])][w.place(symbol[row[j]])]
			grown -= *n * *n
			*n += sign
			grown += *n * *n
		}
	}
	return grown
}

// halfOf is one half of a block in one pass: assessors from to to.
type halfOf struct{ pass, half, from, to int }

// half writes one Latin square. In the first pass its rows come in random
// order. In a later pass the row of each assessor is chosen by its first sample,
// which is a random one other than the sample that ended the pass before (with
// two samples either may follow, or the series could be foretold).
func (w *williams) half(r *stream, g grid, h halfOf) {
	t := len(w.samples)
	symbol := w.symbol[h.pass*t : (h.pass+1)*t]
	square := w.square[h.half*t : (h.half+1)*t]
	for i := range w.rows {
		w.rows[i] = int32(i)
	}
	if h.pass == 0 || t == 2 {
		shuffle(r, w.rows)
	} else {
		w.align(r, g, h)
	}
	cells := g.cells[h.from*g.width+g.from+h.pass*t:]
	for _, row := range w.rows[:h.to-h.from] {
		dst := cells[:t]
		for j, s := range square[row][:t] {
			dst[j] = symbol[s]
		}
		cells = cells[min(g.width, len(cells)):]
	}
}

// align sets w.rows so that nobody meets a sample twice in a row where two
// passes join: what follows is a random cyclic permutation of the samples
// applied to what ended the pass before.
func (w *williams) align(r *stream, g grid, h halfOf) {
	t := len(w.samples)
	symbol := w.symbol[h.pass*t : (h.pass+1)*t]
	square := w.square[h.half*t : (h.half+1)*t]
	copy(w.follow, w.samples)
	cycle(r, w.follow)
	for i := range square {
		w.byFirst[w.place(symbol[square[i][0]])] = int32(i)
	}
	for i := h.from; i < h.to; i++ {
		last := g.row(i)[h.pass*t-1]
		w.rows[i-h.from] = w.byFirst[w.place(w.follow[w.place(last)])]
	}
}

// place returns where a sample stands in w.samples.
func (w *williams) place(sample int32) int {
	for i, s := range w.samples {
		if s == sample {
			return i
		}
	}
	return 0
}
