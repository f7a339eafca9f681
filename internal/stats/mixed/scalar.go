package mixed

import (
	"math"

	"cloche/internal/stats/numeric"
)

// scalarGroup gathers the blocks with one random effect each, the usual level
// of each assessor, that have the same ZᵗZ (as many ratings). What they add to
// the criterion depends on sums over them alone, whatever their fixed effects:
// a panel of any size is then as many groups as there are different numbers of
// ratings.
type scalarGroup struct {
	count float64
	zz    float64        // ZᵗZ of each block
	tt    numeric.Matrix // Σ TᵗZ ZᵗT
	ty    []float64      // Σ TᵗZ Zᵗy
	yy    float64        // Σ (Zᵗy)²
}

// buildScalarGroups sums the blocks of a term with one column.
func buildScalarGroups(term *randomPart, kind []int, t numeric.Matrix, y []float64) []*scalarGroup {
	zt, zy, zz := numeric.NewMatrix(term.levels, t.Cols), make([]float64, term.levels), make([]float64, term.levels)
	for i, level := range term.code {
		z := term.columns.At(kind[i], 0)
		zy[level] += z * y[i]
		zz[level] += z * z
		numeric.Axpy(z, t.Row(kind[i]), zt.Row(level))
	}
	known := map[float64]*scalarGroup{}
	var groups []*scalarGroup
	for level, square := range zz {
		g, ok := known[square]
		if !ok {
			g = &scalarGroup{zz: square, tt: numeric.NewMatrix(t.Cols, t.Cols), ty: make([]float64, t.Cols)}
			known[square] = g
			groups = append(groups, g)
		}
		g.count++
		g.yy += zy[level] * zy[level]
		row := zt.Row(level)
		numeric.Axpy(zy[level], row, g.ty)
		for c, v := range row {
			if v != 0 {
				numeric.Axpy(v, row, g.tt.Row(c))
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
		numeric.Axpy(-share, g.tt.V, c.w.V)
		numeric.Axpy(-share, g.ty, c.wy)
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
		cz := numeric.TraceOfProduct(c.hTrace, g.tt) / (d * d)
		shift := g.tt.TimesVector(c.tau)
		s := (g.yy - 2*numeric.Dot(g.ty, c.tau) + numeric.Dot(shift, c.tau)) / (d * d)
		r.trace[i] += e * (g.count*zz - cz)
		r.quad[i] += e * s
		numeric.Axpy(e/(d*d), g.tt.V, r.b[i].V)
		numeric.Axpy(e/(d*d), g.ty, r.c[i])
		numeric.Axpy(-e/(d*d), shift, r.c[i])
		r.trace2.Add(i, i, e*e*zz*(g.count*zz-2*cz)-2*(g.count*zz-cz))
		r.quad2.Add(i, i, 2*e*e*zz*s-2*s)
	}
}
