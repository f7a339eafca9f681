package mixed

import (
	"encoding/binary"
	"slices"

	"cloche/internal/stats/numeric"
)

// The covariance of a mixed model falls into independent blocks: sets of
// ratings linked through no common level of a random term, usually one
// assessor's. Blocks with the same design share every matrix, so only one
// pattern of each kind is kept, with the sums over its blocks of what depends
// on the ratings. A balanced panel of any size is a handful of patterns.

// pattern is the design of one or more identical blocks.
type pattern struct {
	count   float64
	levels  []levelBlock
	zz      numeric.Matrix // Zᵗ Z
	zt      numeric.Matrix // Zᵗ T, where T holds fixed and global columns
	sumZY   []float64      // Σ over blocks of Zᵗ y
	sumZYZY numeric.Matrix // Σ over blocks of Zᵗ y yᵗ Z
	start   []int          // first column in Z of each local term
}

// levelBlock is the columns of one level of one random term in Z.
type levelBlock struct{ term, offset, size int }

// blockBuilder gathers patterns.
type blockBuilder struct {
	local    []*randomPart
	kind     []int
	t        numeric.Matrix // a row for each class
	y        []float64
	known    map[string]*pattern
	patterns []*pattern

	seen  [][]int32 // by local term and level: block that met it last
	label [][]int32 // and its number there
	key   []byte
	zy    []float64
}

// buildPatterns sorts blocks, each given by its observations, into patterns.
func buildPatterns(local []*randomPart, blocks [][]int, kind []int, t numeric.Matrix, y []float64) []*pattern {
	b := &blockBuilder{local: local, kind: kind, t: t, y: y, known: map[string]*pattern{}}
	for _, term := range local {
		b.seen = append(b.seen, make([]int32, term.levels))
		b.label = append(b.label, make([]int32, term.levels))
	}
	for i, rows := range blocks {
		slices.SortFunc(rows, func(x, y int) int { return kind[x] - kind[y] })
		b.addBlock(int32(i+1), rows)
	}
	return b.patterns
}

// addBlock numbers the levels of the block in order of appearance, looks its
// pattern up and adds its ratings.
func (b *blockBuilder) addBlock(number int32, rows []int) {
	b.key = b.key[:0]
	next := make([]int32, len(b.local))
	for _, i := range rows {
		b.key = binary.LittleEndian.AppendUint32(b.key, uint32(b.kind[i]))
		for t, term := range b.local {
			level := term.code[i]
			if b.seen[t][level] != number {
				b.seen[t][level], b.label[t][level] = number, next[t]
				next[t]++
			}
			b.key = binary.LittleEndian.AppendUint32(b.key, uint32(b.label[t][level]))
		}
	}
	p, known := b.known[string(b.key)]
	if !known {
		p = b.newPattern(rows, next)
		b.known[string(b.key)] = p
		b.patterns = append(b.patterns, p)
	}
	b.addRatings(p, rows)
}

func (b *blockBuilder) newPattern(rows []int, levels []int32) *pattern {
	p := &pattern{start: make([]int, len(b.local))}
	q := 0
	for t, term := range b.local {
		p.start[t] = q
		for range levels[t] {
			p.levels = append(p.levels, levelBlock{t, q, term.size})
			q += term.size
		}
	}
	p.zz, p.zt = numeric.NewMatrix(q, q), numeric.NewMatrix(q, b.t.Cols)
	p.sumZY, p.sumZYZY = make([]float64, q), numeric.NewMatrix(q, q)
	z := make([]float64, q)
	for _, i := range rows {
		clear(z)
		for t, term := range b.local {
			at := p.start[t] + int(b.label[t][term.code[i]])*term.size
			copy(z[at:], term.columns.Row(b.kind[i]))
		}
		for c, w := range z {
			if w != 0 {
				numeric.Axpy(w, z, p.zz.Row(c))
				numeric.Axpy(w, b.t.Row(b.kind[i]), p.zt.Row(c))
			}
		}
	}
	return p
}

func (b *blockBuilder) addRatings(p *pattern, rows []int) {
	p.count++
	q := len(p.sumZY)
	b.zy = append(b.zy[:0], p.sumZY...)
	clear(b.zy)
	for t, term := range b.local {
		for _, i := range rows {
			at := p.start[t] + int(b.label[t][term.code[i]])*term.size
			numeric.Axpy(b.y[i], term.columns.Row(b.kind[i]), b.zy[at:at+term.size])
		}
	}
	numeric.Axpy(1, b.zy, p.sumZY)
	for i := range q {
		numeric.Axpy(b.zy[i], b.zy, p.sumZYZY.Row(i))
	}
}

// components numbers the sets of observations that are linked by a common
// level of some local term (union–find over the levels), and returns the
// number of random columns in each.
func components(n int, local []*randomPart) (component []int, columns []int) {
	offset := make([]int, len(local))
	nodes := 0
	for t, term := range local {
		offset[t] = nodes
		nodes += term.levels
	}
	parent := make([]int32, nodes)
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(x int32) int32 {
		for parent[x] != x {
			parent[x] = parent[parent[x]]
			x = parent[x]
		}
		return x
	}
	for i := range n {
		first := find(int32(offset[0] + local[0].code[i]))
		for t := 1; t < len(local); t++ {
			if other := find(int32(offset[t] + local[t].code[i])); other != first {
				parent[other] = first
			}
		}
	}
	number := make([]int, nodes)
	component = make([]int, n)
	for i := range n {
		root := find(int32(offset[0] + local[0].code[i]))
		if number[root] == 0 {
			columns = append(columns, 0)
			number[root] = len(columns)
		}
		component[i] = number[root] - 1
	}
	for t, term := range local {
		for level := range term.levels {
			columns[number[find(int32(offset[t]+level))]-1] += term.size
		}
	}
	return component, columns
}
