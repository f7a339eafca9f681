package mixed

import (
	"math"

	"cloche/internal/stats/numeric"
)

// The profiled criterion of a linear mixed model: Bates, Mächler, Bolker &
// Walker (2015), J. Stat. Softw. 67(1), equations 30–42. The ratings have
// covariance σ²V, V = I + Σ Z ΛΛᵗ Zᵗ with the lower triangles Λ(θ) of the
// random terms; σ² and the fixed effects are profiled out:
//
//	ML:   log|V| + n·log r²          REML: log|V| + log|XᵗV⁻¹X| + (n−p)·log r²
//
// with r² = yᵗPy, P = V⁻¹ − V⁻¹X(XᵗV⁻¹X)⁻¹XᵗV⁻¹. With V_i = ∂V/∂θ_i,
//
//	∂ log|V| + ∂ log|XᵗV⁻¹X| = tr(P V_i),     ∂ r² = −yᵗP V_i P y,
//	∂² r² = 2 yᵗP V_i P V_j P y − yᵗP V_ij P y,
//
// (V⁻¹ in place of P in the trace for ML), so that the criterion can be
// minimised by Newton's method with exact derivatives.
//
// Columns T = [X U] collect the fixed effects and the global random terms, and
// H is the inverse of Henderson's mixed model equations for them. Then
// P = B⁻¹ − B⁻¹T H TᵗB⁻¹ with B the covariance of the local terms alone, which
// is block diagonal; all sums run over the patterns of blocks.

// criterionPoint is the criterion at one θ.
type criterionPoint struct {
	theta   []float64
	value   float64 // profiled criterion without constants
	logDets float64 // log|V|, and for REML log|QᵗV⁻¹Q| in the orthonormal basis
	r2      float64
	tau     []float64      // coefficients of T
	h       numeric.Matrix // H; its leading p × p part is (QᵗV⁻¹Q)⁻¹
	hTrace  numeric.Matrix // the H of the trace terms: H for REML, of U alone for ML
	w       numeric.Matrix // TᵗB⁻¹T
	wy      []float64      // TᵗB⁻¹r

	grad []float64      // of the profiled criterion
	hess numeric.Matrix // of the profiled criterion
	raw  rawDerivative  // their parts
}

// blockState is what a pattern contributes at the θ of the last evaluation.
type blockState struct {
	zz    numeric.Matrix // ZᵗB⁻¹Z
	zt    numeric.Matrix // ZᵗB⁻¹T
	zy    []float64      // Σ ZᵗB⁻¹r
	solve numeric.Matrix // X with B⁻¹ = I − Z XᵗX Zᵗ, where there are several blocks
	y     numeric.Matrix // X ZᵗZ
}

func newBlockState(p *pattern) blockState {
	q := len(p.sumZY)
	return blockState{numeric.NewMatrix(q, q), numeric.NewMatrix(q, p.zt.Cols), make([]float64, q),
		numeric.NewMatrix(q, q), numeric.NewMatrix(q, q)}
}

// workspace is scratch storage for the matrices of one pattern: thousands of
// patterns share it in every evaluation.
type workspace struct {
	inner, xt, xy             numeric.Matrix
	half, cz, cz2, k, kz, szz numeric.Matrix
	shift, sumZ               []float64
	of                        []derivativeProducts
	hb                        []numeric.Matrix // H times what a parameter does to TᵗB⁻¹T
	equations                 numeric.Matrix
}

// derivativeProducts are a pattern's matrices multiplied from the left by the
// derivative of ΛΛᵗ by one parameter: the rows of its term, all others being zero.
type derivativeProducts struct{ zz, cz2, szz, zt numeric.Matrix }

// vector returns a slice of length n, not cleared.
func vector(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	return v[:n]
}

// factor returns Λ of a term at θ.
func (r *randomPart) factor(theta []float64) numeric.Matrix {
	l := numeric.NewMatrix(r.size, r.size)
	k := r.theta
	for col := range r.size {
		for row := col; row < r.size; row++ {
			l.Set(row, col, theta[k])
			k++
		}
	}
	return l
}

// evaluate returns the criterion at θ, its derivatives if wanted; ok is false
// where it is not finite.
func (m *mixedDesign) evaluate(theta []float64, derivatives bool) (c *criterionPoint, ok bool) {
	c = &criterionPoint{theta: theta, w: m.tt.Clone(), wy: append([]float64(nil), m.ty...), r2: m.ols}
	var factors, local []numeric.Matrix
	for _, r := range m.terms {
		f := r.factor(theta)
		factors = append(factors, f)
		if !r.global {
			local = append(local, f)
		}
	}
	for i, p := range m.patterns {
		if !c.addPattern(p, local, &m.blocks[i], &m.work) {
			return c, false
		}
	}
	terms := m.locals()
	for _, s := range m.strata {
		c.addStratum(s, s.variance(theta, terms))
	}
	if !m.solveEquations(c, factors) {
		return c, false
	}
	c.value = c.logDets + m.residualDF()*math.Log(c.r2)
	if math.IsNaN(c.value) || math.IsInf(c.value, 0) {
		return c, false
	}
	if derivatives {
		m.differentiate(c, factors)
	}
	return c, true
}

func (m *mixedDesign) residualDF() float64 {
	if m.ml {
		return float64(m.n)
	}
	return float64(m.n - m.p)
}

// addPattern adds what the blocks of a pattern contribute to log|B|, TᵗB⁻¹T,
// TᵗB⁻¹r and rᵗB⁻¹r: with I + ΛᵗZᵗZΛ = LLᵗ, B⁻¹ = I − Z XᵗX Zᵗ, X = L⁻¹Λᵗ.
func (c *criterionPoint) addPattern(p *pattern, factors []numeric.Matrix, s *blockState, w *workspace) bool {
	q := len(p.sumZY)
	w.inner, w.half = w.inner.Reshape(q, q), w.half.Reshape(q, q)
	p.timesFactors(s.y, factors, p.zz)
	for i := range q {
		for j := range q {
			w.half.Set(i, j, s.y.At(j, i))
		}
	}
	p.timesFactors(w.inner, factors, w.half)
	for i := range q {
		w.inner.Add(i, i, 1)
	}
	logDet, ok := w.inner.Factorise()
	if !ok {
		return false
	}
	c.logDets += p.count * logDet
	w.inner.ForwardSolve(s.y)
	copy(s.zz.V, p.zz.V)
	s.zz.AddGram(-1, s.y)
	w.xt = w.xt.Reshape(q, p.zt.Cols)
	p.timesFactors(w.xt, factors, p.zt)
	w.inner.ForwardSolve(w.xt)
	copy(s.zt.V, p.zt.V)
	s.zt.AddTransposedProduct(-1, s.y, w.xt)
	c.w.AddGram(-p.count, w.xt)
	w.xy = w.xy.Reshape(q, 1)
	p.timesFactors(w.xy, factors, numeric.Matrix{Rows: q, Cols: 1, V: p.sumZY})
	w.inner.ForwardSolve(w.xy)
	w.xt.AddTransposedTimes(-1, w.xy.V, c.wy)
	copy(s.zy, p.sumZY)
	s.y.AddTransposedTimes(-1, w.xy.V, s.zy)
	if p.count == 1 {
		c.r2 -= numeric.Dot(w.xy.V, w.xy.V)
		return true
	}
	w.half = w.half.Reshape(q, q)
	for i := range q {
		w.half.Set(i, i, 1)
	}
	p.timesFactors(s.solve, factors, w.half)
	w.inner.ForwardSolve(s.solve)
	for i := range q {
		c.r2 -= p.sumZYZY.Quadratic(s.solve.Row(i), s.solve.Row(i))
	}
	return true
}

// timesFactors sets out to Λᵗ·a, with the factor of each level on the diagonal of Λ.
func (p *pattern) timesFactors(out numeric.Matrix, factors []numeric.Matrix, a numeric.Matrix) {
	clear(out.V)
	for _, l := range p.levels {
		f := factors[l.term]
		for i := range l.size {
			for j := i; j < l.size; j++ { // below the diagonal of the factor alone
				numeric.Axpy(f.At(j, i), a.Row(l.offset+j), out.Row(l.offset+i))
			}
		}
	}
}

// solveEquations solves Henderson's equations for the fixed effects and the
// global random terms.
func (m *mixedDesign) solveEquations(c *criterionPoint, factors []numeric.Matrix) bool {
	if c.w.Cols > m.p {
		return m.solveWithGlobals(c, factors)
	}
	equations := m.work.equations.Reshape(m.p, m.p)
	m.work.equations = equations
	copy(equations.V, c.w.V)
	logDet, ok := equations.Factorise()
	if !ok {
		return false
	}
	c.h = equations.InverseOfFactorised()
	if m.ml {
		c.hTrace = numeric.NewMatrix(m.p, m.p)
	} else {
		c.logDets += logDet
		c.hTrace = c.h
	}
	c.finishSolve()
	return true
}

// finishSolve takes the coefficients and r² from H.
func (c *criterionPoint) finishSolve() {
	c.tau = c.h.TimesVector(c.wy)
	c.r2 -= numeric.Dot(c.wy, c.tau)
}

// solveWithGlobals scales the columns of the global terms by Λ, which turns
// their prior precision into the identity: that stays sound at Λ = 0.
func (m *mixedDesign) solveWithGlobals(c *criterionPoint, factors []numeric.Matrix) bool {
	width := c.w.Cols
	d := m.globalScale(width, factors)
	half, scaled := numeric.NewMatrix(width, width), numeric.NewMatrix(width, width)
	half.AddProduct(1, c.w, d)
	scaled.AddTransposedProduct(1, d, half)
	for i := m.p; i < width; i++ {
		scaled.Add(i, i, 1)
	}
	u := scaled.Block(m.p, width)
	logDetU, okU := u.Factorise()
	logDet, ok := scaled.Factorise()
	if !ok || !okU {
		return false
	}
	c.h = sandwich(d, scaled.InverseOfFactorised())
	if m.ml {
		c.logDets += logDetU
		inverse := u.InverseOfFactorised()
		alone := numeric.NewMatrix(width, width)
		for i := range inverse.Rows {
			copy(alone.Row(m.p + i)[m.p:], inverse.Row(i))
		}
		c.hTrace = sandwich(d, alone)
	} else {
		c.logDets += logDet
		c.hTrace = c.h
	}
	c.finishSolve()
	return true
}

// globalScale is the identity for the fixed effects and Λ for each level of
// each global term.
func (m *mixedDesign) globalScale(width int, factors []numeric.Matrix) numeric.Matrix {
	d := numeric.NewMatrix(width, width)
	for i := range m.p {
		d.Set(i, i, 1)
	}
	for t, r := range m.terms {
		for level := 0; r.global && level < r.levels; level++ {
			at := r.offset + level*r.size
			for i := range r.size {
				copy(d.Row(at + i)[at:at+r.size], factors[t].Row(i))
			}
		}
	}
	return d
}

// sandwich returns d·a·dᵗ.
func sandwich(d, a numeric.Matrix) numeric.Matrix {
	half := numeric.NewMatrix(d.Rows, a.Cols)
	half.AddProduct(1, d, a)
	out := numeric.NewMatrix(d.Rows, d.Rows)
	out.AddProductTransposed(1, half, d)
	return out
}

func (c *criterionPoint) At() []float64                      { return c.theta }
func (c *criterionPoint) Height() float64                    { return c.value }
func (c *criterionPoint) Slope() ([]float64, numeric.Matrix) { return c.grad, c.hess }
