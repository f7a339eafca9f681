package design

// Arrange puts the rows of a block design in serving order. It orders the
// samples of each row so that every sample stands at every position equally
// often, give or take one (for r a multiple of k exactly: a Youden-type
// arrangement, which always exists, Hartley & Smith 1948, J. R. Stat. Soc. B 10,
// 262–263); then, as far as a bounded search finds, so that ordered pairs of
// neighbours are equally frequent; and it orders the rows so that any prefix is
// as balanced as a step by step choice can make it. The result depends on the
// rows alone.
func (b *Blocks) Arrange() {
	rows := positionRows(b)
	evenCarryOver(b.T, rows, newStream(0, "carry-over"))
	b.Rows = orderRows(b.T, rows)
}

// colouring gives every edge of the bipartite graph of blocks and parts of
// samples a position, so that no block and no part meets one twice (König 1916,
// Math. Ann. 77, 453–465). A part is up to k servings of one sample.
type colouring struct {
	block [][]int32 // block × position → part, or none
	part  [][]int32 // part × position → block, or none
}

// positionRows orders the samples of each row. A sample of more than k servings
// is split into parts of k, the last with the rest, so that its counts at two
// positions differ by at most one.
func positionRows(b *Blocks) [][]int32 {
	c := colouring{}
	served := make([]int, b.T)
	parts := make([]int32, b.T) // the part of each sample that is being filled
	var sampleOf []int32
	for u, row := range b.Rows {
		c.block = append(c.block, emptyRow(b.K))
		for _, x := range row {
			if served[x]%b.K == 0 {
				parts[x] = int32(len(c.part))
				c.part = append(c.part, emptyRow(b.K))
				sampleOf = append(sampleOf, x)
			}
			served[x]++
			c.colour(int32(u), parts[x])
		}
	}
	rows := make([][]int32, len(b.Rows))
	for u := range rows {
		rows[u] = make([]int32, b.K)
		for j, part := range c.block[u] {
			rows[u][j] = sampleOf[part]
		}
	}
	return rows
}

func emptyRow(k int) []int32 {
	row := make([]int32, k)
	fillRow(row, none)
	return row
}

func free(row []int32) int {
	for j, x := range row {
		if x == none {
			return j
		}
	}
	return 0
}

// colour adds the edge between block u and part v. When the position that is
// free at u is taken at v, the path of edges from v that alternate between it
// and the position free at v is recoloured first; the graph is bipartite, so the
// path never reaches u.
func (c *colouring) colour(u, v int32) {
	i, j := free(c.block[u]), free(c.part[v])
	type edge struct {
		block, part int32
		position    int
	}
	var path []edge
	for part, block := v, c.part[v][i]; block != none; {
		path = append(path, edge{block, part, j})
		if part = c.block[block][j]; part == none {
			break
		}
		path = append(path, edge{block, part, i})
		block = c.part[part][i]
	}
	for _, e := range path {
		c.block[e.block][i+j-e.position], c.part[e.part][i+j-e.position] = none, none
	}
	for _, e := range path {
		c.block[e.block][e.position], c.part[e.part][e.position] = e.part, e.block
	}
	c.block[u][i], c.part[v][i] = v, u
}

// Bounds of the search for even carry-over: rows swapped in one move, and moves
// in all.
const (
	longestMove = 40
	carryMoves  = 6000
)

// carryOver evens out ordered pairs of neighbours by moves that keep the counts
// of samples at positions.
type carryOver struct {
	rows    [][]int32
	k       int
	follows [][]int
	cost    int // sum of squares of follows
	places  []carryPlace
}

// carryPlace is a row in which two positions were swapped.
type carryPlace struct{ row, i, j int }

// evenCarryOver makes random moves and keeps those that do not make the ordered
// pairs less even.
func evenCarryOver(t int, rows [][]int32, r *stream) {
	k := len(rows[0])
	c := &carryOver{rows: rows, k: k, follows: newCounts(t, t)}
	for _, row := range rows {
		for j := 1; j < k; j++ {
			c.follows[row[j-1]][row[j]]++
		}
	}
	for _, counts := range c.follows {
		for _, n := range counts {
			c.cost += n * n
		}
	}
	for range carryMoves {
		if s := offDiagonal(c.follows); s.Max-s.Min <= 1 {
			return
		}
		before := c.cost
		if !c.move(r) || c.cost > before {
			c.undo()
		}
	}
}

func newCounts(rows, columns int) [][]int {
	x := make([][]int, rows)
	for i := range x {
		x[i] = make([]int, columns)
	}
	return x
}

// move swaps two positions in a random row, then mends the counts of the samples
// that moved by the same swap in another row, and so on until they are as they
// were. Not ok when that takes too long.
func (c *carryOver) move(r *stream) bool {
	c.places = c.places[:0]
	i := r.below(c.k)
	j := (i + 1 + r.below(c.k-1)) % c.k
	first := r.below(len(c.rows))
	missing := c.rows[first][i] // stands once too seldom at i
	surplus := c.rows[first][j] // stands once too often at i
	c.swap(carryPlace{first, i, j})
	for missing != surplus && len(c.places) < longestMove {
		row := c.find(r, missing, j, first)
		if row < 0 {
			return false
		}
		x := c.rows[row][i]
		c.swap(carryPlace{row, i, j})
		missing = x
	}
	return missing == surplus
}

// find returns a random row with sample x at position j, other than the row that
// the move began with and than those already swapped; −1 if there is none.
func (c *carryOver) find(r *stream, x int32, j, not int) int {
	start := r.below(len(c.rows))
	for n := range c.rows {
		row := (start + n) % len(c.rows)
		if c.rows[row][j] == x && row != not && !c.swapped(row) {
			return row
		}
	}
	return -1
}

func (c *carryOver) swapped(row int) bool {
	for _, p := range c.places {
		if p.row == row {
			return true
		}
	}
	return false
}

func (c *carryOver) undo() {
	for n := len(c.places) - 1; n >= 0; n-- {
		c.swapOnly(c.places[n])
	}
	c.places = c.places[:0]
}

func (c *carryOver) swap(p carryPlace) {
	c.swapOnly(p)
	c.places = append(c.places, p)
}

func (c *carryOver) swapOnly(p carryPlace) {
	row := c.rows[p.row]
	c.count(row, -1)
	row[p.i], row[p.j] = row[p.j], row[p.i]
	c.count(row, 1)
}

func (c *carryOver) count(row []int32, sign int) {
	for j := 1; j < len(row); j++ {
		n := &c.follows[row[j-1]][row[j]]
		c.cost -= *n * *n
		*n += sign
		c.cost += *n * *n
	}
}

// Weights of what makes a prefix uneven, in orderRows: how often samples were
// served, stood at a position, went together, followed each other.
const (
	weightServed   = 1000
	weightPosition = 100
	weightTogether = 10
	weightFollows  = 1
)

// orderRows takes, again and again, the row that leaves the prefix most even:
// the one that adds least to the weighted sums of squares of the counts.
func orderRows(t int, rows [][]int32) [][]int32 {
	k := len(rows[0])
	o := rowOrder{newCounts(1, t)[0], newCounts(t, k), newCounts(t, t), newCounts(t, t)}
	left := append([][]int32(nil), rows...)
	ordered := make([][]int32, 0, len(rows))
	for len(left) > 0 {
		best, least := 0, o.adds(left[0])
		for i, row := range left[1:] {
			if n := o.adds(row); n < least {
				best, least = i+1, n
			}
		}
		o.take(left[best])
		ordered = append(ordered, left[best])
		left = append(left[:best], left[best+1:]...)
	}
	return ordered
}

// rowOrder counts what the rows taken so far hold.
type rowOrder struct {
	served   []int
	position [][]int
	together [][]int
	follows  [][]int
}

func (o *rowOrder) adds(row []int32) int {
	sum := 0
	for j, x := range row {
		sum += weightServed*o.served[x] + weightPosition*o.position[x][j]
		for _, y := range row[:j] {
			sum += weightTogether * o.together[x][y]
		}
		if j > 0 {
			sum += weightFollows * o.follows[row[j-1]][x]
		}
	}
	return sum
}

func (o *rowOrder) take(row []int32) {
	for j, x := range row {
		o.served[x]++
		o.position[x][j]++
		for _, y := range row[:j] {
			o.together[x][y]++
			o.together[y][x]++
		}
		if j > 0 {
			o.follows[row[j-1]][x]++
		}
	}
}
