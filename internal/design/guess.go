package design

// Guess says how well orders can be foretold.
type Guess struct {
	// Chance is how often, in the long run, the best guess at the next assessor's order
	// (in a difference test: at the next trial's; where each gets one sample: at that)
	// is right for whoever has seen all earlier ones of its block, at most: it
	// reckons as if the orders that make up the block were known from the start.
	Chance float64 `json:"chance"`
	Fixed  float64 `json:"-"`             // the same if blocks were of fixed size …
	Random float64 `json:"-"`             // … and of random size; both 0 with minimisation
	Block  int     `json:"-"`             // different orders in a block
	Mixed  bool    `json:"random_blocks"` // blocks are of random size
}

// minimiseChance is the best guess with minimisation, at most.
const minimiseChance = float64(minimiseNumerator) / minimiseDenominator

// guess reckons how well the orders of the scheme can be foretold.
func (c *scheme) guess() Guess {
	if c.study.Serving.Minimise {
		return Guess{Chance: minimiseChance}
	}
	g := Guess{Mixed: c.study.Serving.RandomBlocks(), Fixed: 1, Random: 1}
	parts, ok := c.orders.(phases)
	if !ok {
		parts = phases{c.orders}
	}
	// Parts are drawn independently: all of an order is guessed no more often than
	// its hardest part.
	for _, l := range parts {
		if fixed, random, n := c.guessPart(l); fixed < g.Fixed || g.Block == 0 {
			g.Fixed, g.Random, g.Block = fixed, random, n
		}
	}
	g.Chance = g.Fixed
	if g.Mixed {
		g.Chance = g.Random
	}
	return g
}

func (c *scheme) guessPart(l lottery) (fixed, random float64, n int) {
	switch l := l.(type) {
	case *mixed:
		return c.guessPart(l.lottery)
	case *trials:
		n = len(l.orders)
	case *ascending:
		n = placesOfOne
	case *series:
		n = len(l.heavy[0]) // of each kind; which kind comes next is at least as hard
	case *permutedBlocks:
		n = len(l.samples)
	default:
		n = evenRows(l)
	}
	if c.blocks != nil {
		return guessLabels(c.blocks, c.n), guessRandom(n), n
	}
	return guessFixed(n), guessRandom(n), n
}

// guessFixed is the chance in blocks of n different orders, each once: with k of
// them left it is 1/k.
func guessFixed(n int) float64 {
	sum := 0.0
	for k := 1; k <= n; k++ {
		sum += 1 / float64(k)
	}
	return sum / float64(n)
}

// guessSteps bounds the work of guessRandom.
const guessSteps = 400_000

// guessRandom is the chance in blocks of n different orders, each once, twice or
// three times (see largestBlock), for whoever knows where the block began but not
// where it ends. Block sizes and orders are drawn by a fixed stream, the chance of
// the best guess at each step is reckoned exactly.
func guessRandom(n int) float64 {
	r := newStream(0, "guess")
	seen := make([]int, n)
	block := make([]int32, 0, largestBlock*n)
	right, steps := 0.0, 0
	for range max(20, guessSteps/(2*n*n)) {
		block = block[:0]
		for range 1 + r.below(largestBlock) {
			for o := range n {
				block = append(block, int32(o))
			}
		}
		shuffle(r, block)
		right += guessBlock(block, seen)
		steps += len(block)
	}
	return right / float64(steps)
}

// guessBlock sums the chances of the best guess over one block.
func guessBlock(block []int32, seen []int) float64 {
	n, right := len(seen), 0.0
	clear(seen)
	weight := [largestBlock + 1]float64{} // how likely the block so far is, if it holds each order so often
	for times := 1; times <= largestBlock; times++ {
		weight[times] = 1
	}
	for j, next := range block {
		least := seen[0]
		for _, s := range seen[1:] {
			least = min(least, s)
		}
		hit, all := 0.0, 0.0
		for times := j/n + 1; times <= largestBlock; times++ {
			left := float64(times*n - j)
			hit += weight[times] * float64(times-least) / left
			all += weight[times]
			weight[times] *= max(0, float64(times-seen[next])) / left
		}
		right += hit / all
		seen[next]++
	}
	return right
}

// guessLabels is the chance in incomplete blocks, whose rows come in a fixed order:
// once it is seen which sample stands for which number of the design, everything
// that follows in its cycle is certain.
func guessLabels(b *Blocks, n int) float64 {
	right := 0.0
	known := make([]bool, b.T)
	hidden := b.T
	cycle := len(b.Rows) * len(williamsSquare(b.K))
	for i := range n {
		if i%cycle == 0 {
			clear(known)
			hidden = b.T
		}
		chance := 1.0
		for _, x := range b.Rows[i%len(b.Rows)] {
			if !known[x] {
				chance /= float64(hidden)
				known[x] = true
				hidden--
			}
		}
		right += chance
	}
	return right / float64(n)
}
