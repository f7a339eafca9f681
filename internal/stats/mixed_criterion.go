package stats

import "math"

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
	tau     []float64   // coefficients of T
	h       smallMatrix // H; its leading p × p part is (QᵗV⁻¹Q)⁻¹
	hTrace  smallMatrix // the H of the trace terms: H for REML, of U alone for ML
	w       smallMatrix // TᵗB⁻¹T
	wy      []float64   // TᵗB⁻¹r

	grad []float64     // of the profiled criterion
	hess smallMatrix   // of the profiled criterion
	raw  rawDerivative // their parts
}

// blockState is what a pattern contributes at the θ of the last evaluation.
type blockState struct {
	zz    smallMatrix // ZᵗB⁻¹Z
	zt    smallMatrix // ZᵗB⁻¹T
	zy    []float64   // Σ ZᵗB⁻¹r
	solve smallMatrix // X with B⁻¹ = I − Z XᵗX Zᵗ
	y     smallMatrix // X ZᵗZ
}

func newBlockState(p *pattern) blockState {
	q := len(p.sumZY)
	return blockState{newSmallMatrix(q, q), newSmallMatrix(q, p.zt.cols), make([]float64, q), newSmallMatrix(q, q), newSmallMatrix(q, q)}
}

// workspace is scratch storage for the matrices of one pattern: thousands of
// patterns share it in every evaluation.
type workspace struct {
	lambda, inner, product, xt smallMatrix
	half, cz, k, kz, szz       smallMatrix
	xy, shift, sumZ            []float64
	of                         []derivativeProducts
}

// derivativeProducts are a pattern's matrices multiplied from the left by the
// derivative of ΛΛᵗ by one parameter.
type derivativeProducts struct{ zz, cz, szz, zt smallMatrix }

// vector returns a slice of length n, not cleared.
func vector(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	return v[:n]
}

// factor returns Λ of a term at θ.
func (r *randomPart) factor(theta []float64) smallMatrix {
	l := newSmallMatrix(r.size, r.size)
	k := r.theta
	for col := range r.size {
		for row := col; row < r.size; row++ {
			l.set(row, col, theta[k])
			k++
		}
	}
	return l
}

// evaluate returns the criterion at θ, its derivatives if wanted; ok is false
// where it is not finite.
func (m *mixedDesign) evaluate(theta []float64, derivatives bool) (c *criterionPoint, ok bool) {
	c = &criterionPoint{theta: theta, w: m.tt.clone(), wy: append([]float64(nil), m.ty...), r2: m.ols}
	var factors, local []smallMatrix
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
	if m.scalar != nil {
		c.addScalar(m.scalars, theta[m.scalar.theta])
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
// TᵗB⁻¹r and rᵗB⁻¹r.
func (c *criterionPoint) addPattern(p *pattern, factors []smallMatrix, s *blockState, w *workspace) bool {
	q := len(p.sumZY)
	w.lambda, w.inner, w.product = w.lambda.reshape(q, q), w.inner.reshape(q, q), w.product.reshape(q, q)
	for _, l := range p.levels {
		for i := range l.size {
			copy(w.lambda.row(l.offset + i)[l.offset:l.offset+l.size], factors[l.term].row(i))
		}
	}
	w.product.addProduct(1, p.zz, w.lambda)
	w.inner.addTransposedProduct(1, w.lambda, w.product)
	for i := range q {
		w.inner.add(i, i, 1)
	}
	logDet, ok := w.inner.factorise()
	if !ok {
		return false
	}
	c.logDets += p.count * logDet
	for i := range q {
		for j := range q {
			s.solve.set(i, j, w.lambda.at(j, i))
		}
	}
	w.inner.forwardSolve(s.solve)
	clear(s.y.v)
	s.y.addProduct(1, s.solve, p.zz)
	copy(s.zz.v, p.zz.v)
	s.zz.addTransposedProduct(-1, s.y, s.y)
	w.xt = w.xt.reshape(q, p.zt.cols)
	w.xt.addProduct(1, s.solve, p.zt)
	copy(s.zt.v, p.zt.v)
	s.zt.addTransposedProduct(-1, s.y, w.xt)
	c.w.addTransposedProduct(-p.count, w.xt, w.xt)
	w.xy = vector(w.xy, q)
	s.solve.timesInto(p.sumZY, w.xy)
	w.xt.addTransposedTimes(-1, w.xy, c.wy)
	copy(s.zy, p.sumZY)
	s.y.addTransposedTimes(-1, w.xy, s.zy)
	for i := range q {
		c.r2 -= p.sumZYZY.quadratic(s.solve.row(i), s.solve.row(i))
	}
	return true
}

// solveEquations solves Henderson's equations for the fixed effects and the
// global random terms.
func (m *mixedDesign) solveEquations(c *criterionPoint, factors []smallMatrix) bool {
	if c.w.cols > m.p {
		return m.solveWithGlobals(c, factors)
	}
	equations := c.w.clone()
	logDet, ok := equations.factorise()
	if !ok {
		return false
	}
	c.h = equations.inverseOfFactorised()
	c.hTrace = newSmallMatrix(m.p, m.p)
	if !m.ml {
		c.logDets += logDet
		c.hTrace = c.h
	}
	c.finishSolve()
	return true
}

// finishSolve takes the coefficients and r² from H.
func (c *criterionPoint) finishSolve() {
	c.tau = c.h.timesVector(c.wy)
	c.r2 -= dot(c.wy, c.tau)
}

// solveWithGlobals scales the columns of the global terms by Λ, which turns
// their prior precision into the identity: that stays sound at Λ = 0.
func (m *mixedDesign) solveWithGlobals(c *criterionPoint, factors []smallMatrix) bool {
	width := c.w.cols
	d := m.globalScale(width, factors)
	half, scaled := newSmallMatrix(width, width), newSmallMatrix(width, width)
	half.addProduct(1, c.w, d)
	scaled.addTransposedProduct(1, d, half)
	for i := m.p; i < width; i++ {
		scaled.add(i, i, 1)
	}
	u := scaled.block(m.p, width)
	logDetU, okU := u.factorise()
	logDet, ok := scaled.factorise()
	if !ok || !okU {
		return false
	}
	c.h = sandwich(d, scaled.inverseOfFactorised())
	if m.ml {
		c.logDets += logDetU
		inverse := u.inverseOfFactorised()
		alone := newSmallMatrix(width, width)
		for i := range inverse.rows {
			copy(alone.row(m.p + i)[m.p:], inverse.row(i))
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
func (m *mixedDesign) globalScale(width int, factors []smallMatrix) smallMatrix {
	d := newSmallMatrix(width, width)
	for i := range m.p {
		d.set(i, i, 1)
	}
	for t, r := range m.terms {
		for level := 0; r.global && level < r.levels; level++ {
			at := r.offset + level*r.size
			for i := range r.size {
				copy(d.row(at + i)[at:at+r.size], factors[t].row(i))
			}
		}
	}
	return d
}

// sandwich returns d·a·dᵗ.
func sandwich(d, a smallMatrix) smallMatrix {
	half := newSmallMatrix(d.rows, a.cols)
	half.addProduct(1, d, a)
	out := newSmallMatrix(d.rows, d.rows)
	out.addProductTransposed(1, half, d)
	return out
}
