package stats

// rawDerivative holds the parts of the derivatives of the criterion, see the
// top of mixed_criterion.go, with V_i for each covariance parameter.
type rawDerivative struct {
	trace  []float64     // tr(P V_i)
	trace2 smallMatrix   // tr(P V_i P V_j) − tr(P V_ij)
	quad   []float64     // yᵗP V_i P y
	quad2  smallMatrix   // 2 yᵗP V_i P V_j P y − yᵗP V_ij P y
	b      []smallMatrix // for local parameters TᵗB⁻¹ V_i B⁻¹T; for global ones the derivative of ΛΛᵗ
	c      [][]float64   // for local parameters TᵗB⁻¹ V_i P y
}

// derivativeOf returns ∂(ΛΛᵗ)/∂θ_i for element (row, col) of Λ.
func derivativeOf(factor smallMatrix, row, col int) smallMatrix {
	e := newSmallMatrix(factor.rows, factor.rows)
	for k := range factor.rows {
		e.add(row, k, factor.at(k, col))
		e.add(k, row, factor.at(k, col))
	}
	return e
}

// differentiate fills in gradient and Hessian of the profiled criterion.
func (m *mixedDesign) differentiate(c *criterionPoint, factors []smallMatrix) {
	k := len(m.params)
	r := &c.raw
	r.trace, r.quad = make([]float64, k), make([]float64, k)
	r.trace2, r.quad2 = newSmallMatrix(k, k), newSmallMatrix(k, k)
	r.b, r.c = make([]smallMatrix, k), make([][]float64, k)
	e := make([]smallMatrix, k)
	for i, par := range m.params {
		e[i] = derivativeOf(factors[par.term], par.row, par.col)
		if m.terms[par.term].global {
			r.b[i] = e[i]
			continue
		}
		r.b[i], r.c[i] = newSmallMatrix(c.w.cols, c.w.cols), make([]float64, c.w.cols)
	}
	if m.scalar != nil {
		m.scalarDerivative(c, m.scalar.theta, c.theta[m.scalar.theta])
	}
	index := m.localIndex()
	for i, p := range m.patterns {
		m.patternDerivative(c, p, &m.blocks[i], e, index)
	}
	m.joinLocal(c)
	m.globalDerivative(c, e)
	for i := range k {
		for j := range i {
			r.trace2.set(i, j, r.trace2.at(j, i))
			r.quad2.set(i, j, r.quad2.at(j, i))
		}
	}
	m.profile(c)
}

// profile assembles the derivatives of the profiled criterion.
func (m *mixedDesign) profile(c *criterionPoint) {
	k, nu := len(m.params), m.residualDF()
	r := &c.raw
	c.grad, c.hess = make([]float64, k), newSmallMatrix(k, k)
	for i := range k {
		c.grad[i] = r.trace[i] - nu*r.quad[i]/c.r2
		for j := range k {
			c.hess.set(i, j, -r.trace2.at(i, j)+nu*(r.quad2.at(i, j)/c.r2-r.quad[i]/c.r2*r.quad[j]/c.r2))
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

// patternDerivative adds the blocks of one pattern. Each of zz, C = zt·H·ztᵗ
// and S = Σ z zᵗ, z = ZᵗPy, is multiplied from the left by the block-diagonal
// derivative of ΛΛᵗ once for each parameter; all traces follow.
func (m *mixedDesign) patternDerivative(c *criterionPoint, p *pattern, s *blockState, e []smallMatrix, index []int) {
	w, r, q := &m.work, &c.raw, len(p.sumZY)
	w.half, w.cz = w.half.reshape(q, c.w.cols), w.cz.reshape(q, q)
	w.half.addProduct(1, s.zt, c.hTrace)
	w.cz.addProductTransposed(1, w.half, s.zt)
	s.residualMoments(p, c.tau, w)
	if w.of == nil {
		w.of = make([]derivativeProducts, len(m.params))
	}
	for i, par := range m.params {
		if m.terms[par.term].global {
			continue
		}
		x := &w.of[i]
		x.zz = p.spread(x.zz, e[i], index, par.term, s.zz)
		x.cz = p.spread(x.cz, e[i], index, par.term, w.cz)
		x.szz = p.spread(x.szz, e[i], index, par.term, w.szz)
		x.zt = p.spread(x.zt, e[i], index, par.term, s.zt)
		for a := range q {
			r.trace[i] += p.count * (x.zz.at(a, a) - x.cz.at(a, a))
			r.quad[i] += x.szz.at(a, a)
		}
		r.b[i].addTransposedProduct(p.count, s.zt, x.zt)
		x.zt.addTransposedTimes(1, w.sumZ, r.c[i])
		for j := range i + 1 {
			y := &w.of[j]
			if m.terms[m.params[j].term].global {
				continue
			}
			t := traceOfProduct(x.zz, y.zz) - traceOfProduct(x.zz, y.cz) - traceOfProduct(x.cz, y.zz)
			r.trace2.add(j, i, p.count*t)
			r.quad2.add(j, i, traceOfProduct(x.zz, y.szz)+traceOfProduct(y.zz, x.szz))
			m.curvature(c, p, s, i, j, index)
		}
	}
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
		c.raw.trace2.add(j, i, -2*p.count*(s.zz.at(x, y)-cz.at(x, y)))
		c.raw.quad2.add(j, i, -szz.at(x, y)-szz.at(y, x))
	}
}

// residualMoments sets Σ z and Σ z zᵗ over the blocks of a pattern, with
// z = ZᵗB⁻¹(r − Tτ) = ZᵗPy.
func (s *blockState) residualMoments(p *pattern, tau []float64, w *workspace) {
	q := len(p.sumZY)
	w.shift, w.sumZ = vector(w.shift, q), vector(w.sumZ, q)
	s.zt.timesInto(tau, w.shift)
	// K·M·Kᵗ with K = I − yᵗ·solve.
	w.k, w.kz, w.szz = w.k.reshape(q, q), w.kz.reshape(q, q), w.szz.reshape(q, q)
	for i := range q {
		w.k.set(i, i, 1)
	}
	w.k.addTransposedProduct(-1, s.y, s.solve)
	w.kz.addProduct(1, w.k, p.sumZYZY)
	w.szz.addProductTransposed(1, w.kz, w.k)
	copy(w.sumZ, s.zy)
	axpy(-p.count, w.shift, w.sumZ)
	for i := range q {
		for j := range q {
			w.szz.add(i, j, -s.zy[i]*w.shift[j]-w.shift[i]*s.zy[j]+p.count*w.shift[i]*w.shift[j])
		}
	}
}

// spread multiplies a from the left by the derivative e of one term, repeated
// for each level of the term in the block; out lends its storage.
func (p *pattern) spread(out, e smallMatrix, index []int, term int, a smallMatrix) smallMatrix {
	out = out.reshape(a.rows, a.cols)
	for _, l := range p.levels {
		if index[l.term] != term {
			continue
		}
		for i := range l.size {
			for j := range l.size {
				if w := e.at(i, j); w != 0 {
					axpy(w, a.row(l.offset+j), out.row(l.offset+i))
				}
			}
		}
	}
	return out
}

// joinLocal adds what couples the local parameters through H.
func (m *mixedDesign) joinLocal(c *criterionPoint) {
	r := &c.raw
	hb := make([]smallMatrix, len(m.params))
	for i, par := range m.params {
		if m.terms[par.term].global {
			continue
		}
		hb[i] = newSmallMatrix(c.w.cols, c.w.cols)
		hb[i].addProduct(1, c.hTrace, r.b[i])
		hc := c.h.timesVector(r.c[i])
		for j := range i + 1 {
			if hb[j].v == nil {
				continue
			}
			r.trace2.add(j, i, traceOfProduct(hb[i], hb[j]))
			r.quad2.add(j, i, -2*dot(hc, r.c[j]))
		}
	}
}

// globalDerivative adds the parameters of the global terms: U is part of T, so
// that UᵗPU and UᵗPy come from Henderson's equations.
func (m *mixedDesign) globalDerivative(c *criterionPoint, e []smallMatrix) {
	if c.w.cols == m.p {
		return
	}
	rTrace, rFull := m.projector(c, c.hTrace), m.projector(c, c.h)
	puTrace, puFull := newSmallMatrix(rTrace.rows, rTrace.rows), newSmallMatrix(rTrace.rows, rTrace.rows)
	for i := range puTrace.rows {
		for j := range puTrace.rows {
			puTrace.set(i, j, dot(rTrace.row(i), c.w.row(m.p+j)))
			puFull.set(i, j, dot(rFull.row(i), c.w.row(m.p+j)))
		}
	}
	d := append([]float64(nil), c.wy[m.p:]...)
	for i := range d {
		d[i] -= dot(c.w.row(m.p+i), c.tau)
	}
	m.globalPairs(c, e, globalParts{rTrace, rFull, puTrace, puFull, d})
}

// globalParts are UᵗP as a map from TᵗB⁻¹, UᵗPU (in the trace and in the full
// sense) and UᵗPy.
type globalParts struct {
	rTrace, rFull, puTrace, puFull smallMatrix
	d                              []float64
}

// projector returns [0 I] − UᵗB⁻¹T·H, so that UᵗP = projector·TᵗB⁻¹.
func (m *mixedDesign) projector(c *criterionPoint, h smallMatrix) smallMatrix {
	width := c.w.cols
	r := newSmallMatrix(width-m.p, width)
	for i := range r.rows {
		r.set(i, m.p+i, 1)
		for k, w := range c.w.row(m.p + i) {
			axpy(-w, h.row(k), r.row(i))
		}
	}
	return r
}

// globalPairs fills in every derivative that involves a global parameter.
func (m *mixedDesign) globalPairs(c *criterionPoint, e []smallMatrix, g globalParts) {
	r := &c.raw
	trace, full, ed := make([]smallMatrix, len(m.params)), make([]smallMatrix, len(m.params)), make([][]float64, len(m.params))
	for i, par := range m.params {
		if !m.terms[par.term].global {
			continue
		}
		trace[i], full[i] = m.spreadGlobal(e[i], par.term, g.puTrace), m.spreadGlobal(e[i], par.term, g.puFull)
		column := smallMatrix{len(g.d), 1, g.d}
		ed[i] = m.spreadGlobal(e[i], par.term, column).v
		for a := range trace[i].rows {
			r.trace[i] += trace[i].at(a, a)
		}
		r.quad[i] += dot(g.d, ed[i])
	}
	for i, a := range m.params {
		for j := range i + 1 {
			b := m.params[j]
			ga, gb := m.terms[a.term].global, m.terms[b.term].global
			switch {
			case ga && gb:
				r.trace2.add(j, i, traceOfProduct(trace[i], trace[j]))
				r.quad2.add(j, i, 2*g.puFull.quadratic(ed[i], ed[j]))
				m.globalCurvature(c, i, j, g)
			case ga != gb:
				local, global := i, j
				if ga {
					local, global = j, i
				}
				spread := m.spreadGlobal(e[global], m.params[global].term, sandwich(g.rTrace, r.b[local]))
				for x := range spread.rows {
					r.trace2.add(j, i, spread.at(x, x))
				}
				r.quad2.add(j, i, 2*dot(g.rFull.timesVector(r.c[local]), ed[global]))
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
		c.raw.trace2.add(j, i, -2*g.puTrace.at(x, y))
		c.raw.quad2.add(j, i, -2*g.d[x]*g.d[y])
	}
}

// spreadGlobal multiplies a from the left by the derivative of a global term.
func (m *mixedDesign) spreadGlobal(e smallMatrix, term int, a smallMatrix) smallMatrix {
	r := m.terms[term]
	out := newSmallMatrix(a.rows, a.cols)
	for level := range r.levels {
		at := r.offset - m.p + level*r.size
		for i := range r.size {
			for j := range r.size {
				if w := e.at(i, j); w != 0 {
					axpy(w, a.row(at+j), out.row(at+i))
				}
			}
		}
	}
	return out
}
