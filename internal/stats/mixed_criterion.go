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
	blocks  []blockState

	grad []float64     // of the profiled criterion
	hess smallMatrix   // of the profiled criterion
	raw  rawDerivative // their parts
}

// blockState is what a pattern contributes at one θ.
type blockState struct {
	zz    smallMatrix // ZᵗB⁻¹Z
	zt    smallMatrix // ZᵗB⁻¹T
	zy    []float64   // Σ ZᵗB⁻¹r
	solve smallMatrix // X with B⁻¹ = I − Z XᵗX Zᵗ
	y     smallMatrix // X ZᵗZ
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
	factors := make([]smallMatrix, len(m.terms))
	for t, r := range m.terms {
		factors[t] = r.factor(theta)
	}
	var localFactors []smallMatrix
	for t, r := range m.terms {
		if !r.global {
			localFactors = append(localFactors, factors[t])
		}
	}
	c.blocks = make([]blockState, len(m.patterns))
	for i, p := range m.patterns {
		if !c.addPattern(p, localFactors, &c.blocks[i]) {
			return c, false
		}
	}
	if !m.solveEquations(c, factors) {
		return c, false
	}
	nu := m.residualDF()
	c.value = c.logDets + nu*math.Log(c.r2)
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
func (c *criterionPoint) addPattern(p *pattern, factors []smallMatrix, s *blockState) bool {
	q := len(p.sumZY)
	lambda := newSmallMatrix(q, q)
	for _, l := range p.levels {
		for i := range l.size {
			copy(lambda.row(l.offset + i)[l.offset:l.offset+l.size], factors[l.term].row(i))
		}
	}
	inner, product := newSmallMatrix(q, q), newSmallMatrix(q, q)
	product.addProduct(1, p.zz, lambda)
	inner.addTransposedProduct(1, lambda, product)
	for i := range q {
		inner.add(i, i, 1)
	}
	logDet, ok := inner.factorise()
	if !ok {
		return false
	}
	c.logDets += p.count * logDet
	s.solve = newSmallMatrix(q, q)
	for i := range q {
		for j := range q {
			s.solve.set(i, j, lambda.at(j, i))
		}
	}
	inner.forwardSolve(s.solve)
	s.y = newSmallMatrix(q, q)
	s.y.addProduct(1, s.solve, p.zz)
	s.zz = p.zz.clone()
	s.zz.addTransposedProduct(-1, s.y, s.y)
	xt := newSmallMatrix(q, p.zt.cols)
	xt.addProduct(1, s.solve, p.zt)
	s.zt = p.zt.clone()
	s.zt.addTransposedProduct(-1, s.y, xt)
	c.w.addTransposedProduct(-p.count, xt, xt)
	xy := s.solve.timesVector(p.sumZY)
	axpy(-1, xt.transposedTimesVector(xy), c.wy)
	s.zy = append([]float64(nil), p.sumZY...)
	axpy(-1, s.y.transposedTimesVector(xy), s.zy)
	for i := range q {
		c.r2 -= p.sumZYZY.quadratic(s.solve.row(i), s.solve.row(i))
	}
	return true
}

// solveEquations solves Henderson's equations for the fixed effects and the
// global random terms.
func (m *mixedDesign) solveEquations(c *criterionPoint, factors []smallMatrix) bool {
	width := c.w.cols
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
	scaled := c.w.clone()
	if width > m.p {
		half := newSmallMatrix(width, width)
		half.addProduct(1, c.w, d)
		scaled = newSmallMatrix(width, width)
		scaled.addTransposedProduct(1, d, half)
		for i := m.p; i < width; i++ {
			scaled.add(i, i, 1)
		}
	}
	var logDetU float64
	c.hTrace = newSmallMatrix(width, width)
	if m.ml && width > m.p {
		u := scaled.block(m.p, width)
		var ok bool
		if logDetU, ok = u.factorise(); !ok {
			return false
		}
		inverse := u.inverseOfFactorised()
		for i := range inverse.rows {
			copy(c.hTrace.row(m.p + i)[m.p:], inverse.row(i))
		}
		c.hTrace = sandwich(d, c.hTrace)
	}
	logDet, ok := scaled.factorise()
	if !ok {
		return false
	}
	c.h = scaled.inverseOfFactorised()
	if width > m.p {
		c.h = sandwich(d, c.h)
	}
	if m.ml {
		c.logDets += logDetU
	} else {
		c.logDets += logDet
		c.hTrace = c.h
	}
	c.tau = c.h.timesVector(c.wy)
	c.r2 -= dot(c.wy, c.tau)
	return true
}

// sandwich returns d·a·dᵗ.
func sandwich(d, a smallMatrix) smallMatrix {
	half := newSmallMatrix(d.rows, a.cols)
	half.addProduct(1, d, a)
	out := newSmallMatrix(d.rows, d.rows)
	out.addProductTransposed(1, half, d)
	return out
}
