package design

import "fmt"

// Bounds of the search for nearly balanced designs.
const (
	nearlyStarts = 20
	nearlyMoves  = 4000
)

// Nearly returns a design of t samples in b blocks of k, 2 ≤ k < t, whose
// samples are served as equally often, and together as equally often, as a
// bounded search finds. It is made of cyclic designs, starting rows to which 1,
// 2, …, t−1 are added modulo t (John & Williams 1995, Cyclic and Computer
// Generated Designs, ch. 3), so every t rows hold every sample once at every
// position; when b is not a multiple of t, the last rows are left off. The search
// is the same every time: it depends on t, k and b alone.
func Nearly(t, k, b int) *Blocks {
	starts := (b + t - 1) / t
	r := newStream(0, fmt.Sprintf("nearly/%d/%d/%d", t, k, starts))
	var best *cyclic
	for range nearlyStarts {
		c := newCyclic(t, k, starts, r)
		c.even(r)
		if best == nil || c.cost < best.cost {
			best = c
		}
	}
	best.evenNeighbours(r)
	rows := best.develop()
	return &Blocks{
		T: t, K: k, Rows: orderRows(t, rows)[:b],
		Method: fmt.Sprintf("cyclic, %d starting rows", starts),
	}
}

// cyclic is the starting rows of a cyclic design.
type cyclic struct {
	t     int
	rows  [][]int32
	has   [][]bool
	diffs []int // how often each difference 1 … t−1 occurs within starting rows
	cost  int   // sum of squares of diffs
}

func newCyclic(t, k, starts int, r *stream) *cyclic {
	c := &cyclic{t: t, diffs: make([]int, t)}
	points := make([]int32, t)
	for range starts {
		ordinals(points)
		shuffle(r, points)
		row, has := append([]int32(nil), points[:k]...), make([]bool, t)
		for _, x := range row {
			has[x] = true
		}
		c.rows, c.has = append(c.rows, row), append(c.has, has)
		for j := range row {
			c.count(row, j, row[:j], 1)
		}
	}
	return c
}

// count adds sign times the differences between the j-th entry of row and others.
func (c *cyclic) count(row []int32, j int, others []int32, sign int) {
	for _, y := range others {
		if y == row[j] {
			continue
		}
		d := (int(row[j]) - int(y) + c.t) % c.t
		for _, e := range [...]int{d, c.t - d} {
			n := &c.diffs[e]
			c.cost -= *n * *n
			*n += sign
			c.cost += *n * *n
		}
	}
}

// even changes one entry of one starting row at a time and keeps what does not
// make the differences less even.
func (c *cyclic) even(r *stream) {
	k := len(c.rows[0])
	for range nearlyMoves {
		if s := spreadOf(c.diffs[1:]); s.Max-s.Min <= 1 {
			return
		}
		i, j := r.below(len(c.rows)), r.below(k)
		row := c.rows[i]
		old, x := row[j], int32(r.below(c.t))
		if c.has[i][x] {
			continue
		}
		before := c.cost
		c.count(row, j, row, -1)
		row[j] = x
		c.count(row, j, row, 1)
		if c.cost > before {
			c.count(row, j, row, -1)
			row[j] = old
			c.count(row, j, row, 1)
			continue
		}
		c.has[i][old], c.has[i][x] = false, true
	}
}

// evenNeighbours orders the entries of the starting rows so that the differences
// from one to the next are as equally frequent as a bounded search finds.
func (c *cyclic) evenNeighbours(r *stream) {
	k := len(c.rows[0])
	next := func() int {
		steps := make([]int, c.t)
		for _, row := range c.rows {
			for j := 1; j < k; j++ {
				steps[(int(row[j])-int(row[j-1])+c.t)%c.t]++
			}
		}
		sum := 0
		for _, n := range steps {
			sum += n * n
		}
		return sum
	}
	cost := next()
	for range nearlyMoves {
		row := c.rows[r.below(len(c.rows))]
		i, j := r.below(k), r.below(k)
		row[i], row[j] = row[j], row[i]
		if n := next(); n <= cost {
			cost = n
			continue
		}
		row[i], row[j] = row[j], row[i]
	}
}

func (c *cyclic) develop() [][]int32 {
	rows := make([][]int32, 0, len(c.rows)*c.t)
	for _, start := range c.rows {
		for a := range c.t {
			row := make([]int32, len(start))
			for j, x := range start {
				row[j] = int32((int(x) + a) % c.t)
			}
			rows = append(rows, row)
		}
	}
	return rows
}
