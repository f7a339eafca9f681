package mixed

import (
	"encoding/binary"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// The matrices ZZᵗ of a block's random terms often commute: there is one term, the usual
// level of each assessor; or every assessor rated every sample equally often. The block's
// covariance I + Σ θ²ZZᵗ then has the same eigenvectors u whatever θ is, and along each of
// them the variance v = 1 + Σ θ²λ, λ the eigenvalue of each term (Nelder 1965, Proc. R. Soc. A
// 283:147, sect. 3: the strata of the block structure). What such blocks add to the
// criterion depends on sums over the directions with the same eigenvalues alone, whatever
// their fixed effects: a panel of any size is then a few strata.

// stratum sums directions u with the same eigenvalues, which are not all 0.
type stratum struct {
	count  float64
	lambda []float64      // of each local term
	tt     numeric.Matrix // Σ Tᵗu uᵗT
	ty     []float64      // Σ Tᵗu uᵗy
	yy     float64        // Σ (uᵗy)²
}

// direction is an eigenvector of a block, u = Z·of.
type direction struct {
	of []float64
	*stratum
}

// strataBuilder sums blocks into strata.
type strataBuilder struct {
	local  []*randomPart
	kind   []int
	t      numeric.Matrix // a row for each class
	y      []float64
	known  map[string][]direction // by how the terms of a block lie to one another; nil: they do not commute
	strata []*stratum

	label  []int // scratch: column of Z of each row and local term
	number map[[2]int]int
	key    []byte
	zt     numeric.Matrix // Zᵗ T
	zy, tu []float64
}

// buildStrata sums the blocks whose terms commute, and returns the rows of the others.
func buildStrata(local []*randomPart, component, kind []int, t numeric.Matrix, y []float64) (strata []*stratum,
	others [][]int) {
	if len(local) == 0 {
		return nil, nil
	}
	blocks := model.GroupRows(component)
	if slices.ContainsFunc(local, func(r *randomPart) bool { return r.size > 1 }) {
		return nil, blocks
	}
	b := &strataBuilder{local: local, kind: kind, t: t, y: y, known: map[string][]direction{},
		number: map[[2]int]int{}, tu: make([]float64, t.Cols)}
	for _, rows := range blocks {
		if !b.add(rows) {
			others = append(others, rows)
		}
	}
	return b.strata, others
}

// add sums a block; false where its terms do not commute.
func (b *strataBuilder) add(rows []int) bool {
	if len(b.local) > 1 { // so that blocks laid out alike are found to be
		slices.SortStableFunc(rows, func(x, y int) int {
			for _, term := range b.local {
				if d := term.code[x] - term.code[y]; d != 0 {
					return d
				}
			}
			return 0
		})
	}
	columns := b.lay(rows)
	directions, known := b.known[string(b.key)]
	if !known {
		directions = b.diagonalise(rows, columns)
		b.known[string(b.key)] = directions
	}
	if directions == nil {
		return false
	}
	b.zt, b.zy = b.zt.Reshape(columns, b.t.Cols), vector(b.zy, columns)
	clear(b.zy)
	for i, row := range rows {
		for t, term := range b.local {
			at, z := b.label[i*len(b.local)+t], term.columns.At(b.kind[row], 0)
			numeric.Axpy(z, b.t.Row(b.kind[row]), b.zt.Row(at))
			b.zy[at] += z * b.y[row]
		}
	}
	for _, d := range directions {
		clear(b.tu)
		yu := 0.0
		for c, w := range d.of {
			numeric.Axpy(w, b.zt.Row(c), b.tu)
			yu += w * b.zy[c]
		}
		d.count++
		d.yy += yu * yu
		numeric.Axpy(yu, b.tu, d.ty)
		for c, v := range b.tu {
			if v != 0 {
				numeric.Axpy(v, b.tu, d.tt.Row(c))
			}
		}
	}
	return true
}

// lay numbers the columns of Z in a block in order of appearance and makes the key of how they
// lie to one another.
func (b *strataBuilder) lay(rows []int) (columns int) {
	b.key, b.label = b.key[:0], b.label[:0]
	clear(b.number)
	for _, row := range rows {
		for t, term := range b.local {
			level := [2]int{t, term.code[row]}
			at, met := b.number[level]
			if !met {
				at = len(b.number)
				b.number[level] = at
			}
			b.label = append(b.label, at)
			b.key = binary.LittleEndian.AppendUint32(b.key, uint32(at))
			b.key = binary.LittleEndian.AppendUint64(b.key, math.Float64bits(term.columns.At(b.kind[row], 0)))
		}
	}
	return len(b.number)
}

// diagonalise returns the directions of a block along which some term is not 0, nil where
// the terms have no common ones.
func (b *strataBuilder) diagonalise(rows []int, columns int) []direction {
	zz := mat.NewSymDense(columns, nil)
	weight := make([]float64, columns)
	for i, row := range rows {
		for t, term := range b.local {
			z := term.columns.At(b.kind[row], 0)
			if len(b.local) > 1 && z != 1 {
				return nil
			}
			at := b.label[i*len(b.local)+t]
			weight[at] = math.Sqrt(1 + math.Sqrt2*float64(t)) // eigenvalues of sums fall apart as those of terms
			for u := range t + 1 {
				other := b.label[i*len(b.local)+u]
				zz.SetSym(at, other, zz.At(at, other)+z*b.local[u].columns.At(b.kind[row], 0))
			}
		}
	}
	for i := range columns {
		for j := i; j < columns; j++ {
			zz.SetSym(i, j, zz.At(i, j)*weight[i]*weight[j])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(zz, true) {
		return nil
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	directions := []direction{}
	for e, value := range values {
		if value <= 1e-9*values[columns-1] {
			continue // the terms' columns depend on one another
		}
		of := mat.Col(nil, e, &vectors)
		for i := range of {
			of[i] *= weight[i] / math.Sqrt(value)
		}
		lambda, ok := b.eigenvalues(rows, of)
		if !ok {
			return nil
		}
		directions = append(directions, direction{of, b.stratum(lambda)})
	}
	return directions
}

// eigenvalues are those of each term along u = Z·of; not ok where u is no eigenvector of one.
func (b *strataBuilder) eigenvalues(rows []int, of []float64) (lambda []float64, ok bool) {
	const near = 1e-9
	u, level := make([]float64, len(rows)), make([]float64, len(of))
	lambda = make([]float64, len(b.local))
	for i, row := range rows {
		for t, term := range b.local {
			u[i] += of[b.label[i*len(b.local)+t]] * term.columns.At(b.kind[row], 0)
		}
	}
	for i, row := range rows {
		for t, term := range b.local {
			level[b.label[i*len(b.local)+t]] += u[i] * term.columns.At(b.kind[row], 0)
		}
	}
	for t, term := range b.local {
		product := 0.0 // uᵗZZᵗu
		for i, row := range rows {
			product += u[i] * level[b.label[i*len(b.local)+t]] * term.columns.At(b.kind[row], 0)
		}
		if len(b.local) > 1 {
			product = math.Round(product) // it counts ratings
		}
		for i, row := range rows {
			if math.Abs(level[b.label[i*len(b.local)+t]]*term.columns.At(b.kind[row], 0)-product*u[i]) >
				near*float64(len(rows)) {
				return nil, len(b.local) == 1
			}
		}
		lambda[t] = product
	}
	return lambda, true
}

// stratum is the one with these eigenvalues.
func (b *strataBuilder) stratum(lambda []float64) *stratum {
	for _, s := range b.strata {
		if slices.Equal(s.lambda, lambda) {
			return s
		}
	}
	s := &stratum{lambda: lambda, tt: numeric.NewMatrix(b.t.Cols, b.t.Cols), ty: make([]float64, b.t.Cols)}
	b.strata = append(b.strata, s)
	return s
}

// variance is v along the stratum's directions, where the local terms have these parameters.
func (s *stratum) variance(theta []float64, local []*randomPart) float64 {
	v := 1.0
	for t, term := range local {
		v += theta[term.theta] * theta[term.theta] * s.lambda[t]
	}
	return v
}

// addStratum adds what a stratum contributes to log|B|, TᵗB⁻¹T, TᵗB⁻¹r and rᵗB⁻¹r at v.
func (c *criterionPoint) addStratum(s *stratum, v float64) {
	share := 1 - 1/v
	c.logDets += s.count * math.Log(v)
	numeric.Axpy(-share, s.tt.V, c.w.V)
	numeric.Axpy(-share, s.ty, c.wy)
	c.r2 -= share * s.yy
}

// stratumDerivative adds the derivatives of a stratum: V_i = Σ 2θ_iλ_i·uuᵗ over its directions.
func (c *criterionPoint) stratumDerivative(s *stratum, local []*randomPart, explained []float64) {
	v, r := s.variance(c.theta, local), &c.raw
	h := numeric.TraceOfProduct(c.hTrace, s.tt)
	s.tt.TimesInto(c.tau, explained)
	z := (s.yy - 2*numeric.Dot(s.ty, c.tau) + numeric.Dot(explained, c.tau)) / (v * v) // Σ (uᵗPy)²
	trace := s.count/v - h/(v*v)                                                       // Σ uᵗPu
	for t, term := range local {
		if s.lambda[t] == 0 {
			continue
		}
		i, e := term.theta, 2*c.theta[term.theta]*s.lambda[t]
		r.trace[i] += e * trace
		r.quad[i] += e * z
		numeric.Axpy(e/(v*v), s.tt.V, r.b[i].V)
		numeric.Axpy(e/(v*v), s.ty, r.c[i])
		numeric.Axpy(-e/(v*v), explained, r.c[i])
		for u := range t + 1 {
			j := local[u].theta
			d := 2 * c.theta[j] * s.lambda[u]
			r.trace2.Add(j, i, e*d*(s.count/v-2*h/(v*v))/v)
			r.quad2.Add(j, i, 2*e*d*z/v)
		}
		r.trace2.Add(i, i, -2*s.lambda[t]*trace)
		r.quad2.Add(i, i, -2*s.lambda[t]*z)
	}
}
