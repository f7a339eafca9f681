package stats

import "math"

// scalarGroup gathers the blocks with one random effect each, the usual level
// of each assessor, that have the same ZᵗZ (as many ratings). What they add to
// the criterion depends on sums over them alone, whatever their fixed effects:
// a panel of any size is then as many groups as there are different numbers of
// ratings.
type scalarGroup struct {
	count float64
	zz    float64     // ZᵗZ of each block
	tt    smallMatrix // Σ TᵗZ ZᵗT
	ty    []float64   // Σ TᵗZ Zᵗy
	yy    float64     // Σ (Zᵗy)²
}

// buildScalarGroups sums the blocks of a term with one column.
func buildScalarGroups(term *randomPart, kind []int, t smallMatrix, y []float64) []*scalarGroup {
	zt, zy, zz := newSmallMatrix(term.levels, t.cols), make([]float64, term.levels), make([]float64, term.levels)
	for i, level := range term.code {
		z := term.columns.at(kind[i], 0)
		zy[level] += z * y[i]
		zz[level] += z * z
		axpy(z, t.row(kind[i]), zt.row(level))
	}
	known := map[float64]*scalarGroup{}
	var groups []*scalarGroup
	for level, square := range zz {
		g, ok := known[square]
		if !ok {
			g = &scalarGroup{zz: square, tt: newSmallMatrix(t.cols, t.cols), ty: make([]float64, t.cols)}
			known[square] = g
			groups = append(groups, g)
		}
		g.count++
		g.yy += zy[level] * zy[level]
		row := zt.row(level)
		axpy(zy[level], row, g.ty)
		for c, v := range row {
			if v != 0 {
				axpy(v, row, g.tt.row(c))
			}
		}
	}
	return groups
}

// addScalar adds what the groups contribute at λ, the one element of the
// term's factor: see [criterionPoint.addPattern] with q = 1.
func (c *criterionPoint) addScalar(groups []*scalarGroup, lambda float64) {
	for _, g := range groups {
		d := 1 + g.zz*lambda*lambda
		share := lambda * lambda / d
		c.logDets += g.count * math.Log(d)
		axpy(-share, g.tt.v, c.w.v)
		axpy(-share, g.ty, c.wy)
		c.r2 -= share * g.yy
	}
}

// scalarDerivative adds the derivatives by parameter i, the λ of the groups:
// see [mixedDesign.patternDerivative] with q = 1.
func (m *mixedDesign) scalarDerivative(c *criterionPoint, i int, lambda float64) {
	r, e := &c.raw, 2*lambda
	for _, g := range m.scalars {
		d := 1 + g.zz*lambda*lambda
		zz := g.zz / d
		cz := traceOfProduct(c.hTrace, g.tt) / (d * d)
		shift := g.tt.timesVector(c.tau)
		s := (g.yy - 2*dot(g.ty, c.tau) + dot(shift, c.tau)) / (d * d)
		r.trace[i] += e * (g.count*zz - cz)
		r.quad[i] += e * s
		axpy(e/(d*d), g.tt.v, r.b[i].v)
		axpy(e/(d*d), g.ty, r.c[i])
		axpy(-e/(d*d), shift, r.c[i])
		r.trace2.add(i, i, e*e*zz*(g.count*zz-2*cz)-2*(g.count*zz-cz))
		r.quad2.add(i, i, 2*e*e*zz*s-2*s)
	}
}
