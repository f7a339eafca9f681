package stats

import (
	"fmt"
	"math"
	"slices"
)

// randomPart is one random term ready for fitting.
type randomPart struct {
	name    string      // grouping factors joined by colons
	names   []string    // of the columns
	code    []int       // level of each observation
	levels  int         // number of levels
	size    int         // columns for each level
	columns smallMatrix // a row for each class of observations
	theta   int         // index of its first parameter
	global  bool        // handled beside the fixed effects, see chooseGlobals
	offset  int         // first column in T when global
}

// mixedDesign is everything the criterion of a mixed model needs.
type mixedDesign struct {
	n, p     int // observations, independent fixed columns
	ml       bool
	terms    []*randomPart
	fixed    []designColumn // all fixed columns, at the classes
	weights  []float64      // observations in each class
	basis    orthonormal    // of the fixed columns, rows weighted by √weights
	rowOf    []int          // representative observation of each class
	b0       []float64      // ordinary least squares in the basis
	ols      float64        // its residual sum of squares
	mean     float64        // ȳ
	total    float64        // Σ (y − ȳ)²
	scalar   *randomPart    // the only local term, when it has one column
	scalars  []*scalarGroup // and its blocks
	patterns []*pattern     // the blocks otherwise
	tt       smallMatrix    // Tᵗ T; T is the basis and the columns of global terms
	ty       []float64      // Tᵗ r, r the least-squares residuals
	params   []covarianceParameter
	blocks   []blockState // by pattern, of the last evaluation
	work     workspace
}

// covarianceParameter is one element of the lower triangle of a term's factor.
type covarianceParameter struct{ term, row, col int }

// newMixedDesign reduces the data of a model to the sums that its criterion
// needs: time linear in the number of ratings.
func newMixedDesign(m MixedModel, d ModelData) (*mixedDesign, error) {
	design := &mixedDesign{n: len(d.Response), ml: m.ML}
	kinds := newClasses(design.n)
	for _, t := range m.Fixed {
		kinds.refineBy(d, t...)
	}
	for _, r := range m.Random {
		kinds.refineBy(d, r.Slopes...)
	}
	if err := design.groups(m.Random, d); err != nil {
		return nil, err
	}
	component := design.chooseGlobals()
	for _, r := range design.terms {
		if r.global {
			kinds.byCode(r.code, r.levels+1)
		}
	}
	design.rowOf, design.weights = kinds.representatives()
	design.fixedPart(m.Fixed, d)
	design.randomColumns(m.Random, d)
	if design.saturated(kinds.code) {
		return nil, fmt.Errorf("random terms together leave nothing for the residuals of %d ratings: %w", design.n, ErrGrouping)
	}
	t := design.joint(kinds.code)
	residual := design.leastSquares(d.Response, kinds.code, t)
	if local := design.locals(); len(local) == 1 && local[0].size == 1 {
		design.scalar = local[0]
		design.scalars = buildScalarGroups(local[0], kinds.code, t, residual)
		return design, nil
	}
	design.patterns = buildPatterns(design.locals(), component, kinds.code, t, residual)
	for _, p := range design.patterns {
		design.blocks = append(design.blocks, newBlockState(p))
	}
	return design, nil
}

// groups numbers the levels of each random term.
func (m *mixedDesign) groups(random []RandomTerm, d ModelData) error {
	for _, r := range random {
		part := &randomPart{name: r.Group.String()}
		for _, column := range designColumns(d, r.terms(), !r.NoIntercept, []int{0}) {
			part.names = append(part.names, column.name)
		}
		part.size = len(part.names)
		var err error
		if part.code, part.levels, err = d.grouping(r.Group, part.size); err != nil {
			return err
		}
		m.terms = append(m.terms, part)
	}
	m.number()
	return nil
}

// terms are the slopes as terms of main effects.
func (r RandomTerm) terms() []Term {
	var t []Term
	for _, s := range r.Slopes {
		t = append(t, Term{s})
	}
	return t
}

// number lays the covariance parameters out.
func (m *mixedDesign) number() {
	for t, r := range m.terms {
		r.theta = len(m.params)
		for col := range r.size {
			for row := col; row < r.size; row++ {
				m.params = append(m.params, covarianceParameter{t, row, col})
			}
		}
	}
}

// chooseGlobals decides which random terms stay local to blocks. Terms that
// are crossed (assessors and sittings) would join all ratings in one block, at
// cubic cost; the smallest terms are then handled beside the fixed effects, at
// a cost cubic in their own number of levels only.
func (m *mixedDesign) chooseGlobals() (component []int) {
	local := slices.Clone(m.terms)
	slices.SortStableFunc(local, func(a, b *randomPart) int { return b.levels*b.size - a.levels*a.size })
	best, bestKept := math.Inf(1), 0
	columns := 0
	for kept := len(local); kept >= 0; kept-- {
		cost := math.Pow(float64(columns), 3)
		if kept > 0 {
			_, sizes := components(m.n, local[:kept])
			for _, q := range sizes {
				cost += math.Pow(float64(q), 3) + float64(columns*columns)
			}
			columns += local[kept-1].levels * local[kept-1].size
		}
		if cost < best {
			best, bestKept = cost, kept
		}
	}
	for i, r := range local {
		r.global = i >= bestKept
	}
	if bestKept > 0 {
		component, _ = components(m.n, m.locals())
	}
	return component
}

func (m *mixedDesign) locals() (local []*randomPart) {
	for _, r := range m.terms {
		if !r.global {
			local = append(local, r)
		}
	}
	return local
}

// fixedPart codes the fixed effects at the classes and orthonormalises them.
func (m *mixedDesign) fixedPart(fixed []Term, d ModelData) {
	m.fixed = designColumns(d, fixed, true, m.rowOf)
	m.basis = orthonormalise(weightedColumns(m.fixed, m.weights))
	m.p = len(m.basis.kept)
}

// randomColumns codes the columns of each random term at the classes.
func (m *mixedDesign) randomColumns(random []RandomTerm, d ModelData) {
	for t, r := range random {
		columns := designColumns(d, r.terms(), !r.NoIntercept, m.rowOf)
		part := m.terms[t]
		part.columns = newSmallMatrix(len(m.rowOf), part.size)
		for c, column := range columns {
			for i, v := range column.values {
				part.columns.set(i, c, v)
			}
		}
	}
}

// joint returns the rows of T, one for each class: the orthonormal basis of
// the fixed effects and the columns of the global terms.
func (m *mixedDesign) joint(kind []int) smallMatrix {
	width := m.p
	for _, r := range m.terms {
		if r.global {
			r.offset = width
			width += r.levels * r.size
		}
	}
	t := newSmallMatrix(len(m.rowOf), width)
	for i, row := range m.rowOf {
		for c, q := range m.basis.q {
			t.set(i, c, q[i]/math.Sqrt(m.weights[i]))
		}
		for _, r := range m.terms {
			if r.global {
				copy(t.row(i)[r.offset+r.code[row]*r.size:], r.columns.row(i))
			}
		}
	}
	return t
}

// leastSquares fits the fixed effects alone and returns the residuals, on
// which the criterion is computed: large means then cost no precision.
func (m *mixedDesign) leastSquares(y []float64, kind []int, t smallMatrix) []float64 {
	m.mean = Mean(y)
	mean := m.mean
	m.b0 = make([]float64, m.p)
	for i, v := range y {
		axpy(v-mean, t.row(kind[i])[:m.p], m.b0)
		m.total += (v - mean) * (v - mean)
	}
	m.tt, m.ty = newSmallMatrix(t.cols, t.cols), make([]float64, t.cols)
	for i, w := range m.weights {
		for c, v := range t.row(i) {
			axpy(w*v, t.row(i), m.tt.row(c))
		}
	}
	residual := make([]float64, len(y))
	for i, v := range y {
		residual[i] = v - mean - dot(t.row(kind[i])[:m.p], m.b0)
		m.ols += residual[i] * residual[i]
		axpy(residual[i], t.row(kind[i]), m.ty)
	}
	// The intercept is always in the basis: add the mean back there.
	for i, w := range m.weights {
		axpy(mean*w, t.row(i)[:m.p], m.b0)
	}
	return residual
}
