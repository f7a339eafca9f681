package mixed

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// randomPart is one random term ready for fitting.
type randomPart struct {
	name    string         // grouping factors joined by colons
	names   []string       // of the columns
	code    []int          // level of each observation
	levels  int            // number of levels
	size    int            // columns for each level
	columns numeric.Matrix // a row for each class of observations
	theta   int            // index of its first parameter
	global  bool           // handled beside the fixed effects, see chooseGlobals
	offset  int            // first column in T when global
}

// mixedDesign is everything the criterion of a mixed model needs.
type mixedDesign struct {
	n, p     int // observations, independent fixed columns
	ml       bool
	terms    []*randomPart
	fixed    []model.DesignColumn // all fixed columns, at the classes
	weights  []float64            // observations in each class
	basis    numeric.Orthonormal  // of the fixed columns, rows weighted by √weights
	rowOf    []int                // representative observation of each class
	kind     []int                // class of each observation
	joined   numeric.Matrix       // T, a row for each class
	b0       []float64            // ordinary least squares in the basis
	ols      float64              // its residual sum of squares
	mean     float64              // ȳ
	total    float64              // Σ (y − ȳ)²
	strata   []*stratum           // of the blocks whose terms commute
	patterns []*pattern           // of the others
	tt       numeric.Matrix       // Tᵗ T; T is the basis and the columns of global terms
	ty       []float64            // Tᵗ r, r the least-squares residuals
	params   []covarianceParameter
	blocks   []blockState // by pattern, of the last evaluation
	work     workspace
}

// covarianceParameter is one element of the lower triangle of a term's factor.
type covarianceParameter struct{ term, row, col int }

// newMixedDesign reduces the data of a model to the sums that its criterion
// needs: time linear in the number of ratings.
func newMixedDesign(m Model, d model.Data) (*mixedDesign, error) {
	design := &mixedDesign{n: len(d.Response), ml: m.ML}
	kinds := model.NewClasses(design.n)
	for _, t := range m.Fixed {
		kinds.RefineBy(d, t...)
	}
	for _, r := range m.Random {
		kinds.RefineBy(d, r.Slopes...)
	}
	if err := design.groups(m.Random, d); err != nil {
		return nil, err
	}
	component := design.chooseGlobals()
	for _, r := range design.terms {
		if r.global {
			kinds.ByCode(r.code, r.levels+1)
		}
	}
	design.rowOf, design.weights = kinds.Representatives()
	design.fixedPart(m.Fixed, d)
	design.randomColumns(m.Random, d)
	if design.saturated(kinds.Code) {
		return nil, fmt.Errorf("random terms together leave nothing for the residuals of %d ratings: %w", design.n,
			model.ErrGrouping)
	}
	t := design.joint(kinds.Code)
	design.kind, design.joined = kinds.Code, t
	residual := design.leastSquares(d.Response, kinds.Code, t)
	var others [][]int
	design.strata, others = buildStrata(design.locals(), component, kinds.Code, t, residual)
	design.patterns = buildPatterns(design.locals(), others, kinds.Code, t, residual)
	for _, p := range design.patterns {
		design.blocks = append(design.blocks, newBlockState(p))
	}
	return design, nil
}

// groups numbers the levels of each random term.
func (m *mixedDesign) groups(random []RandomTerm, d model.Data) error {
	for _, r := range random {
		part := &randomPart{name: r.Group.String()}
		for _, column := range model.DesignColumns(d, r.terms(), !r.NoIntercept, []int{0}) {
			part.names = append(part.names, column.Name)
		}
		part.size = len(part.names)
		var err error
		if part.code, part.levels, err = d.Grouping(r.Group, part.size); err != nil {
			return err
		}
		m.terms = append(m.terms, part)
	}
	m.number()
	return nil
}

// terms are the slopes as terms of main effects.
func (r RandomTerm) terms() []model.Term {
	var t []model.Term
	for _, s := range r.Slopes {
		t = append(t, model.Term{s})
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
func (m *mixedDesign) fixedPart(fixed []model.Term, d model.Data) {
	m.fixed = model.DesignColumns(d, fixed, true, m.rowOf)
	m.basis = numeric.Orthonormalise(model.WeightedColumns(m.fixed, m.weights))
	m.p = len(m.basis.Kept)
}

// randomColumns codes the columns of each random term at the classes.
func (m *mixedDesign) randomColumns(random []RandomTerm, d model.Data) {
	for t, r := range random {
		columns := model.DesignColumns(d, r.terms(), !r.NoIntercept, m.rowOf)
		part := m.terms[t]
		part.columns = numeric.NewMatrix(len(m.rowOf), part.size)
		for c, column := range columns {
			for i, v := range column.Values {
				part.columns.Set(i, c, v)
			}
		}
	}
}

// joint returns the rows of T, one for each class: the orthonormal basis of
// the fixed effects and the columns of the global terms.
func (m *mixedDesign) joint(kind []int) numeric.Matrix {
	width := m.p
	for _, r := range m.terms {
		if r.global {
			r.offset = width
			width += r.levels * r.size
		}
	}
	t := numeric.NewMatrix(len(m.rowOf), width)
	for i, row := range m.rowOf {
		for c, q := range m.basis.Q {
			t.Set(i, c, q[i]/math.Sqrt(m.weights[i]))
		}
		for _, r := range m.terms {
			if r.global {
				copy(t.Row(i)[r.offset+r.code[row]*r.size:], r.columns.Row(i))
			}
		}
	}
	return t
}

// leastSquares fits the fixed effects alone and returns the residuals, on
// which the criterion is computed: large means then cost no precision.
func (m *mixedDesign) leastSquares(y []float64, kind []int, t numeric.Matrix) []float64 {
	m.mean = stats.Mean(y)
	mean := m.mean
	m.b0 = make([]float64, m.p)
	for i, v := range y {
		numeric.Axpy(v-mean, t.Row(kind[i])[:m.p], m.b0)
		m.total += (v - mean) * (v - mean)
	}
	m.tt, m.ty = numeric.NewMatrix(t.Cols, t.Cols), make([]float64, t.Cols)
	for i, w := range m.weights {
		for c, v := range t.Row(i) {
			numeric.Axpy(w*v, t.Row(i), m.tt.Row(c))
		}
	}
	residual := make([]float64, len(y))
	for i, v := range y {
		residual[i] = v - mean - numeric.Dot(t.Row(kind[i])[:m.p], m.b0)
		m.ols += residual[i] * residual[i]
		numeric.Axpy(residual[i], t.Row(kind[i]), m.ty)
	}
	// The intercept is always in the basis: add the mean back there.
	for i, w := range m.weights {
		numeric.Axpy(mean*w, t.Row(i)[:m.p], m.b0)
	}
	return residual
}
