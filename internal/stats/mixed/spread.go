package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
)

// spread is V = Σ σᵢ²ZᵢZᵢᵗ, the residuals being its last term, and its inverse: that of
// blocks of ratings that share no level, less what the terms that run across the blocks
// take off, V⁻¹ = B⁻¹ − UUᵗ (Woodbury 1950; Golub & Van Loan 2013, Matrix Computations,
// equation 2.1.4). Ratings of people who come to a few evenings are such blocks by person,
// so that this takes hardly longer than there are ratings.
type spread struct {
	terms  []spreadTerm
	within []bool // of the terms: its levels are within blocks
	blocks []spreadBlock
	// ratings of the largest block
	largest int
	across  *mat.Dense // U, nil where no term runs across
	sums    []*mat.Dense
}

// spreadTerm is a term with a level for each rating.
type spreadTerm struct {
	code     []int
	levels   int
	variance float64
}

// spreadBlock are ratings by their numbers, and their part of B⁻¹.
type spreadBlock struct {
	of      []int
	local   [][]int // of each term within blocks: of each rating the first with its level
	inverse mat.SymDense
}

// newSpread is a spread of n ratings without terms; invert adds the residuals.
func newSpread(n int, residual float64) *spread {
	own := make([]int, n)
	for i := range own {
		own[i] = i
	}
	return &spread{terms: []spreadTerm{{own, n, residual}}}
}

// invert fills the inverse; false where V is singular.
func (s *spread) invert() bool {
	s.terms = append(s.terms[1:], s.terms[0])
	s.split()
	for b := range s.blocks {
		if !s.invertBlock(&s.blocks[b]) {
			return false
		}
	}
	return s.takeAcross()
}

// split gathers the ratings that share levels of terms within blocks, and says which those
// are: all, or all but those of the fewest levels, until no block holds more than half.
func (s *spread) split() {
	s.within = make([]bool, len(s.terms))
	for i := range s.within {
		s.within[i] = true
	}
	for {
		s.gather()
		fewest := -1
		for i, term := range s.terms[:len(s.terms)-1] {
			if s.within[i] && (fewest < 0 || term.levels < s.terms[fewest].levels) {
				fewest = i
			}
		}
		if fewest < 0 || 2*s.largest <= len(s.terms[0].code) {
			return
		}
		s.within[fewest] = false
	}
}

// gather makes the blocks.
func (s *spread) gather() {
	n := len(s.terms[0].code)
	head := make([]int, n)
	for i := range head {
		head[i] = i
	}
	find := func(i int) int {
		for head[i] != i {
			head[i] = head[head[i]]
			i = head[i]
		}
		return i
	}
	for t, term := range s.terms {
		if !s.within[t] {
			continue
		}
		first := make([]int, term.levels)
		for i, level := range term.code {
			if first[level] == 0 {
				first[level] = i + 1
			}
			head[find(i)] = find(first[level] - 1)
		}
	}
	s.blocks, s.largest = s.blocks[:0], 0
	at := make([]int, n)
	for i := range n {
		h := find(i)
		if at[h] == 0 {
			s.blocks = append(s.blocks, spreadBlock{})
			at[h] = len(s.blocks)
		}
		b := &s.blocks[at[h]-1]
		b.of = append(b.of, i)
		s.largest = max(s.largest, len(b.of))
	}
}

func (s *spread) invertBlock(b *spreadBlock) bool {
	v := mat.NewSymDense(len(b.of), nil)
	b.local = make([][]int, len(s.terms))
	for t, term := range s.terms {
		if !s.within[t] {
			continue
		}
		b.local[t] = make([]int, len(b.of))
		for i, x := range b.of {
			first := slices.IndexFunc(b.of, func(y int) bool { return term.code[y] == term.code[x] })
			b.local[t][i] = first
			for j := i; j < len(b.of); j++ {
				if term.code[x] == term.code[b.of[j]] {
					v.SetSym(i, j, v.At(i, j)+term.variance)
				}
			}
		}
	}
	var factor mat.Cholesky
	return factor.Factorize(v) && factor.InverseTo(&b.inverse) == nil
}

// takeAcross finds U of the terms across: with their columns C, each times its standard
// deviation, U = B⁻¹C·L⁻ᵗ where LLᵗ = I + CᵗB⁻¹C.
func (s *spread) takeAcross() bool {
	n, width := len(s.terms[0].code), 0
	for t, term := range s.terms {
		if !s.within[t] {
			width += term.levels
		}
	}
	if width == 0 {
		return true
	}
	c, from := mat.NewDense(n, width, nil), 0
	for t, term := range s.terms {
		if s.within[t] {
			continue
		}
		for i, level := range term.code {
			c.Set(i, from+level, math.Sqrt(term.variance))
		}
		from += term.levels
	}
	solved := s.times(c, len(s.terms)-1, len(s.terms)-1) // B⁻¹C
	var core, u mat.Dense
	core.Mul(c.T(), solved)
	whole := mat.NewSymDense(width, nil)
	for i := range width {
		for j := i; j < width; j++ {
			whole.SetSym(i, j, core.At(i, j))
		}
		whole.SetSym(i, i, whole.At(i, i)+1)
	}
	var factor mat.Cholesky
	if !factor.Factorize(whole) {
		return false
	}
	var lower mat.TriDense
	factor.LTo(&lower)
	if u.Solve(&lower, solved.T()) != nil {
		return false
	}
	s.across = mat.DenseCopyOf(u.T())
	for _, term := range s.terms {
		s.sums = append(s.sums, term.summed(s.across))
	}
	return true
}

// times is ZⱼᵗV⁻¹Zᵢ times rows, one for each level of term i.
func (s *spread) times(rows *mat.Dense, i, j int) *mat.Dense {
	from, to := s.terms[i], s.terms[j]
	_, columns := rows.Dims()
	out := mat.NewDense(to.levels, columns, nil)
	for k := range s.blocks {
		b := &s.blocks[k]
		for y, at := range b.of {
			into := out.RawRowView(to.code[at])
			for x, of := range b.of {
				numeric.Axpy(b.inverse.At(x, y), rows.RawRowView(from.code[of]), into)
			}
		}
	}
	if s.across != nil {
		var core, less mat.Dense
		core.Mul(s.sums[i].T(), rows)
		less.Mul(s.sums[j], &core)
		out.Sub(out, &less)
	}
	return out
}

// squares is the sum of all squares of M = ZᵢᵗV⁻¹Zⱼ = S − LRᵗ, S being what the blocks give:
// ‖S‖² − 2·tr LᵗSR + tr LᵗL·RᵗR. Blocks share no entry of S, unless a term runs across them.
func (s *spread) squares(i, j int) float64 {
	one, other := s.terms[i], s.terms[j]
	rows, columns := one.levels, other.levels
	apart := s.within[i] && s.within[j]
	if apart {
		rows, columns = s.largest, s.largest
	}
	m := numeric.NewMatrix(rows, columns)
	sum, both := 0.0, 0.0
	for k := range s.blocks {
		b := &s.blocks[k]
		from, to := one.code, other.code
		if apart {
			from, to = b.local[i], b.local[j]
		}
		for x, of := range b.of {
			for y, at := range b.of {
				v, row, column := b.inverse.At(x, y), of, at
				if apart {
					row, column = x, y
				}
				m.Add(from[row], to[column], v)
				if s.across != nil {
					both += v * numeric.Dot(s.sums[i].RawRowView(one.code[of]), s.sums[j].RawRowView(other.code[at]))
				}
			}
		}
		if apart {
			sum += stats.SumOfSquares(m.V)
			clear(m.V)
		}
	}
	if !apart {
		sum = stats.SumOfSquares(m.V)
	}
	if s.across == nil {
		return sum
	}
	var l, r mat.Dense
	l.Mul(s.sums[i].T(), s.sums[i])
	r.Mul(s.sums[j].T(), s.sums[j])
	return sum - 2*both + trace(&l, &r)
}

// summed adds up the rows that belong to each level.
func (t spreadTerm) summed(of *mat.Dense) *mat.Dense {
	_, columns := of.Dims()
	out := mat.NewDense(t.levels, columns, nil)
	for i, level := range t.code {
		numeric.Axpy(1, of.RawRowView(i), out.RawRowView(level))
	}
	return out
}
