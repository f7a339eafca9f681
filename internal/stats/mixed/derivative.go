package mixed

import (
	"cloche/internal/stats/numeric"
)

// rawDerivative holds the parts of the derivatives of the criterion, see the
// top of criterion.go, with V_i for each covariance parameter.
type rawDerivative struct {
	trace  []float64        // tr(P V_i)
	trace2 numeric.Matrix   // tr(P V_i P V_j) − tr(P V_ij)
	quad   []float64        // yᵗP V_i P y
	quad2  numeric.Matrix   // 2 yᵗP V_i P V_j P y − yᵗP V_ij P y
	b      []numeric.Matrix // for local parameters TᵗB⁻¹ V_i B⁻¹T; for global ones the derivative of ΛΛᵗ
	c      [][]float64      // for local parameters TᵗB⁻¹ V_i P y
}

// derivativeOf returns ∂(ΛΛᵗ)/∂θ_i for element (row, col) of Λ.
func derivativeOf(factor numeric.Matrix, row, col int) numeric.Matrix {
	e := numeric.NewMatrix(factor.Rows, factor.Rows)
	for k := range factor.Rows {
		e.Add(row, k, factor.At(k, col))
		e.Add(k, row, factor.At(k, col))
	}
	return e
}

// differentiate fills in gradient and Hessian of the profiled criterion.
func (m *mixedDesign) differentiate(c *criterionPoint, factors []numeric.Matrix) {
	k := len(m.params)
	r := &c.raw
	r.trace, r.quad = make([]float64, k), make([]float64, k)
	r.trace2, r.quad2 = numeric.NewMatrix(k, k), numeric.NewMatrix(k, k)
	r.b, r.c = make([]numeric.Matrix, k), make([][]float64, k)
	e := make([]numeric.Matrix, k)
	for i, par := range m.params {
		e[i] = derivativeOf(factors[par.term], par.row, par.col)
		if m.terms[par.term].global {
			r.b[i] = e[i]
			continue
		}
		r.b[i], r.c[i] = numeric.NewMatrix(c.w.Cols, c.w.Cols), make([]float64, c.w.Cols)
	}
	local, scratch := m.locals(), make([]float64, c.w.Cols)
	for _, s := range m.strata {
		c.stratumDerivative(s, local, scratch)
	}
	index := m.localIndex()
	for i, p := range m.patterns {
		m.patternDerivative(c, p, &m.blocks[i], e, index)
	}
	m.joinLocal(c)
	m.globalDerivative(c, e)
	for i := range k {
		for j := range i {
			r.trace2.Set(i, j, r.trace2.At(j, i))
			r.quad2.Set(i, j, r.quad2.At(j, i))
		}
	}
	m.profile(c)
}

// profile assembles the derivatives of the profiled criterion.
func (m *mixedDesign) profile(c *criterionPoint) {
	k, nu := len(m.params), m.residualDF()
	r := &c.raw
	c.grad, c.hess = make([]float64, k), numeric.NewMatrix(k, k)
	for i := range k {
		c.grad[i] = r.trace[i] - nu*r.quad[i]/c.r2
		for j := range k {
			c.hess.Set(i, j, -r.trace2.At(i, j)+nu*(r.quad2.At(i, j)/c.r2-r.quad[i]/c.r2*r.quad[j]/c.r2))
		}
	}
}

// localIndex gives, for each local term in order, its index among all terms.
func (m *mixedDesign) localIndex() (index []int) {
	for t, r := range m.terms {
		if !r.global {
			index = append(index, t)
		}
	}
	return index
}

// patternDerivative adds the blocks of one pattern. Each of A = zz, A − 2C with
// C = zt·H·ztᵗ, and S = Σ z zᵗ, z = ZᵗPy, is multiplied from the left by the
// block-diagonal derivative E of ΛΛᵗ once for each parameter; all traces follow. As all
// of them are symmetric, tr(E_i A E_j C) = tr(E_i C E_j A).
func (m *mixedDesign) patternDerivative(c *criterionPoint, p *pattern, s *blockState, e []numeric.Matrix, index []int) {
	w, r, q := &m.work, &c.raw, len(p.sumZY)
	w.half, w.cz, w.cz2 = w.half.Reshape(q, c.w.Cols), w.cz.Reshape(q, q), w.cz2.Reshape(q, q)
	w.half.AddProduct(1, s.zt, c.hTrace)
	w.cz.AddProductTransposed(1, w.half, s.zt)
	copy(w.cz2.V, s.zz.V)
	numeric.Axpy(-2, w.cz.V, w.cz2.V)
	s.residualMoments(p, c.tau, w)
	if w.of == nil {
		w.of = make([]derivativeProducts, len(m.params))
	}
	for i, par := range m.params {
		if m.terms[par.term].global {
			continue
		}
		x, own := &w.of[i], p.rows(index, par.term)
		x.zz = p.spread(x.zz, e[i], own, s.zz)
		x.cz2 = p.spread(x.cz2, e[i], own, w.cz2)
		x.szz = p.spread(x.szz, e[i], own, w.szz)
		x.zt = p.spread(x.zt, e[i], own, s.zt)
		for a := range own.n {
			r.trace[i] += p.count * (x.zz.At(a, own.from+a) + x.cz2.At(a, own.from+a)) / 2
			r.quad[i] += x.szz.At(a, own.from+a)
			numeric.Axpy(w.sumZ[own.from+a], x.zt.Row(a), r.c[i])
		}
		r.b[i].AddTransposedProduct(p.count, own.of(s.zt), x.zt)
		for j := range i + 1 {
			if m.terms[m.params[j].term].global {
				continue
			}
			y, other := &w.of[j], p.rows(index, m.params[j].term)
			r.trace2.Add(j, i, p.count*traceOfRows(x.zz, own, y.cz2, other))
			r.quad2.Add(j, i, 2*traceOfRows(x.zz, own, y.szz, other))
			m.curvature(c, p, s, i, j, index)
		}
	}
}

// rowRange is the rows of Z that belong to one term.
type rowRange struct {
	from, n int
	size    int // of each level
}

// rows are those of a term, which stand together.
func (p *pattern) rows(index []int, term int) (r rowRange) {
	for _, l := range p.levels {
		if index[l.term] != term {
			continue
		}
		if r.n == 0 {
			r.from, r.size = l.offset, l.size
		}
		r.n += l.size
	}
	return r
}

// of returns the rows of a.
func (r rowRange) of(a numeric.Matrix) numeric.Matrix {
	return numeric.Matrix{Rows: r.n, Cols: a.Cols, V: a.V[r.from*a.Cols : (r.from+r.n)*a.Cols]}
}

// traceOfRows is tr(x·y) of two matrices that have the given rows only.
func traceOfRows(x numeric.Matrix, xRows rowRange, y numeric.Matrix, yRows rowRange) float64 {
	sum := 0.0
	for i := range xRows.n {
		at := xRows.from + i
		for _, v := range x.Row(i)[yRows.from : yRows.from+yRows.n] {
			sum += v * y.V[at]
			at += y.Cols
		}
	}
	return sum
}

// curvature adds the terms in V_ij = ∂²V/∂θ_i∂θ_j.
func (m *mixedDesign) curvature(c *criterionPoint, p *pattern, s *blockState, i, j int, index []int) {
	a, b := m.params[i], m.params[j]
	if a.term != b.term || a.col != b.col {
		return
	}
	cz, szz := m.work.cz, m.work.szz
	for _, l := range p.levels {
		if index[l.term] != a.term {
			continue
		}
		x, y := l.offset+a.row, l.offset+b.row
		c.raw.trace2.Add(j, i, -2*p.count*(s.zz.At(x, y)-cz.At(x, y)))
		c.raw.quad2.Add(j, i, -szz.At(x, y)-szz.At(y, x))
	}
}

// residualMoments sets Σ z and Σ z zᵗ over the blocks of a pattern, with
// z = ZᵗB⁻¹(r − Tτ) = ZᵗPy.
func (s *blockState) residualMoments(p *pattern, tau []float64, w *workspace) {
	q := len(p.sumZY)
	w.shift, w.sumZ = vector(w.shift, q), vector(w.sumZ, q)
	s.zt.TimesInto(tau, w.shift)
	copy(w.sumZ, s.zy)
	numeric.Axpy(-p.count, w.shift, w.sumZ)
	if p.count == 1 {
		w.szz = w.szz.Reshape(q, q)
		for i, z := range w.sumZ {
			numeric.Axpy(z, w.sumZ, w.szz.Row(i))
		}
		return
	}
	// K·M·Kᵗ with K = I − yᵗ·solve.
	w.k, w.kz, w.szz = w.k.Reshape(q, q), w.kz.Reshape(q, q), w.szz.Reshape(q, q)
	for i := range q {
		w.k.Set(i, i, 1)
	}
	w.k.AddTransposedProduct(-1, s.y, s.solve)
	w.kz.AddProduct(1, w.k, p.sumZYZY)
	w.szz.AddProductTransposed(1, w.kz, w.k)
	for i := range q {
		for j := range q {
			w.szz.Add(i, j, -s.zy[i]*w.shift[j]-w.shift[i]*s.zy[j]+p.count*w.shift[i]*w.shift[j])
		}
	}
}

// spread multiplies a from the left by the derivative e of one term, repeated
// for each level of the term in the block, and returns the rows of the term; out lends its storage.
func (p *pattern) spread(out, e numeric.Matrix, own rowRange, a numeric.Matrix) numeric.Matrix {
	out = out.Reshape(own.n, a.Cols)
	for level := 0; level < own.n; level += own.size {
		for i := range own.size {
			for j := range own.size {
				if w := e.At(i, j); w != 0 {
					numeric.Axpy(w, a.Row(own.from+level+j), out.Row(level+i))
				}
			}
		}
	}
	return out
}

// joinLocal adds what couples the local parameters through H.
func (m *mixedDesign) joinLocal(c *criterionPoint) {
	r := &c.raw
	if m.work.hb == nil {
		m.work.hb = make([]numeric.Matrix, len(m.params))
	}
	hb := m.work.hb
	for i, par := range m.params {
		if m.terms[par.term].global {
			continue
		}
		hb[i] = hb[i].Reshape(c.w.Cols, c.w.Cols)
		hb[i].AddProduct(1, c.hTrace, r.b[i])
		hc := c.h.TimesVector(r.c[i])
		for j := range i + 1 {
			if hb[j].V == nil {
				continue
			}
			r.trace2.Add(j, i, numeric.TraceOfProduct(hb[i], hb[j]))
			r.quad2.Add(j, i, -2*numeric.Dot(hc, r.c[j]))
		}
	}
}

// globalDerivative adds the parameters of the global terms: U is part of T, so
// that UᵗPU and UᵗPy come from Henderson's equations.
func (m *mixedDesign) globalDerivative(c *criterionPoint, e []numeric.Matrix) {
	if c.w.Cols == m.p {
		return
	}
	rTrace, rFull := m.projector(c, c.hTrace), m.projector(c, c.h)
	puTrace, puFull := numeric.NewMatrix(rTrace.Rows, rTrace.Rows), numeric.NewMatrix(rTrace.Rows, rTrace.Rows)
	for i := range puTrace.Rows {
		for j := range puTrace.Rows {
			puTrace.Set(i, j, numeric.Dot(rTrace.Row(i), c.w.Row(m.p+j)))
			puFull.Set(i, j, numeric.Dot(rFull.Row(i), c.w.Row(m.p+j)))
		}
	}
	d := append([]float64(nil), c.wy[m.p:]...)
	for i := range d {
		d[i] -= numeric.Dot(c.w.Row(m.p+i), c.tau)
	}
	m.globalPairs(c, e, globalParts{rTrace, rFull, puTrace, puFull, d})
}

// globalParts are UᵗP as a map from TᵗB⁻¹, UᵗPU (in the trace and in the full
// sense) and UᵗPy.
type globalParts struct {
	rTrace, rFull, puTrace, puFull numeric.Matrix
	d                              []float64
}

// projector returns [0 I] − UᵗB⁻¹T·H, so that UᵗP = projector·TᵗB⁻¹.
func (m *mixedDesign) projector(c *criterionPoint, h numeric.Matrix) numeric.Matrix {
	width := c.w.Cols
	r := numeric.NewMatrix(width-m.p, width)
	for i := range r.Rows {
		r.Set(i, m.p+i, 1)
		for k, w := range c.w.Row(m.p + i) {
			numeric.Axpy(-w, h.Row(k), r.Row(i))
		}
	}
	return r
}

// globalPairs fills in every derivative that involves a global parameter.
func (m *mixedDesign) globalPairs(c *criterionPoint, e []numeric.Matrix, g globalParts) {
	r := &c.raw
	trace, full, ed := make([]numeric.Matrix, len(m.params)), make([]numeric.Matrix, len(m.params)), make([][]float64,
		len(m.params))
	for i, par := range m.params {
		if !m.terms[par.term].global {
			continue
		}
		trace[i], full[i] = m.spreadGlobal(e[i], par.term, g.puTrace), m.spreadGlobal(e[i], par.term, g.puFull)
		column := numeric.Matrix{Rows: len(g.d), Cols: 1, V: g.d}
		ed[i] = m.spreadGlobal(e[i], par.term, column).V
		for a := range trace[i].Rows {
			r.trace[i] += trace[i].At(a, a)
		}
		r.quad[i] += numeric.Dot(g.d, ed[i])
	}
	for i, a := range m.params {
		for j := range i + 1 {
			b := m.params[j]
			ga, gb := m.terms[a.term].global, m.terms[b.term].global
			switch {
			case ga && gb:
				r.trace2.Add(j, i, numeric.TraceOfProduct(trace[i], trace[j]))
				r.quad2.Add(j, i, 2*g.puFull.Quadratic(ed[i], ed[j]))
				m.globalCurvature(c, i, j, g)
			case ga != gb:
				local, global := i, j
				if ga {
					local, global = j, i
				}
				spread := m.spreadGlobal(e[global], m.params[global].term, sandwich(g.rTrace, r.b[local]))
				for x := range spread.Rows {
					r.trace2.Add(j, i, spread.At(x, x))
				}
				r.quad2.Add(j, i, 2*numeric.Dot(g.rFull.TimesVector(r.c[local]), ed[global]))
			}
		}
	}
}

// globalCurvature adds the terms in V_ij of two parameters of a global term.
func (m *mixedDesign) globalCurvature(c *criterionPoint, i, j int, g globalParts) {
	a, b := m.params[i], m.params[j]
	if a.term != b.term || a.col != b.col {
		return
	}
	r := m.terms[a.term]
	for level := range r.levels {
		x, y := r.offset-m.p+level*r.size+a.row, r.offset-m.p+level*r.size+b.row
		c.raw.trace2.Add(j, i, -2*g.puTrace.At(x, y))
		c.raw.quad2.Add(j, i, -2*g.d[x]*g.d[y])
	}
}

// spreadGlobal multiplies a from the left by the derivative of a global term.
func (m *mixedDesign) spreadGlobal(e numeric.Matrix, term int, a numeric.Matrix) numeric.Matrix {
	r := m.terms[term]
	out := numeric.NewMatrix(a.Rows, a.Cols)
	for level := range r.levels {
		at := r.offset - m.p + level*r.size
		for i := range r.size {
			for j := range r.size {
				if w := e.At(i, j); w != 0 {
					numeric.Axpy(w, a.Row(at+j), out.Row(at+i))
				}
			}
		}
	}
	return out
}
