package mixed

import (
	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats/numeric"
)

// mostSmall is from how many ratings on a sample is not small any more: what is corrected
// shrinks with their number, and the time it takes grows with its square or cube.
const mostSmall = 400

// smallSample is what Kenward & Roger (1997, Biometrics 53:983) take into account beside
// Satterthwaite: that the covariance of the coefficients is too small by what is not known
// of the variances, on the boundary too.
type smallSample struct {
	plain numeric.Matrix // covariance of the coefficients as if the variances were known
}

// SmallSample reports whether tests are by Kenward and Roger.
func (f *Result) SmallSample() bool { return f.small != nil }

// correct replaces covariance, its derivatives and what is known of the variances by
// Kenward and Roger's, where the model asks for that and it can be done: by REML, each term
// a level of its own, of no more than [mostSmall] ratings. With V = Σ σᵢ²ZᵢZᵢᵗ and
// Φ = (XᵗV⁻¹X)⁻¹
//
//	Pᵢ = −XᵗV⁻¹ZᵢZᵢᵗV⁻¹X,  Qᵢⱼ = XᵗV⁻¹ZᵢZᵢᵗV⁻¹ZⱼZⱼᵗV⁻¹X,
//	W⁻¹ = ½(tr V⁻¹ZᵢZᵢᵗV⁻¹ZⱼZⱼᵗ − 2 tr ΦQᵢⱼ + tr ΦPᵢΦPⱼ),
//	Φ + 2Φ{Σ Wᵢⱼ(Qᵢⱼ − PᵢΦPⱼ)}Φ.
func (f *Result) correct() {
	d := f.design
	if !f.model.SmallSample || f.ML || d.n > mostSmall {
		return
	}
	in := newSpread(d.n, f.Sigma2)
	for _, r := range d.terms {
		if r.size != 1 || len(r.names) != 1 || r.columns.At(0, 0) != 1 {
			return
		}
		theta := f.point.theta[r.theta]
		in.terms = append(in.terms, spreadTerm{r.code, r.levels, f.Sigma2 * theta * theta})
	}
	if in.invert() {
		f.correctBy(in)
	}
}

// correctBy corrects by the inverse of V.
func (f *Result) correctBy(in *spread) {
	d, k := f.design, len(in.terms)
	x := mat.NewDense(d.n, d.p, nil)
	for i, kind := range d.kind {
		x.SetRow(i, d.joined.Row(kind)[:d.p])
	}
	a := in.times(x, k-1, k-1) // V⁻¹X, the last term being the residuals
	phi := mat.NewDense(d.p, d.p, f.cov.Clone().V)
	sums, products := make([]*mat.Dense, k), make([]*mat.Dense, k) // ZᵢᵗV⁻¹X, −Pᵢ
	for i, term := range in.terms {
		sums[i], products[i] = term.summed(a), &mat.Dense{}
		products[i].Mul(sums[i].T(), sums[i])
	}
	information, between := mat.NewSymDense(k, nil), make([][]*mat.Dense, k)
	for i := range k {
		between[i] = make([]*mat.Dense, k)
		for j := i; j < k; j++ {
			var q, half, known mat.Dense
			q.Mul(in.times(sums[i], i, j).T(), sums[j]) // Qᵢⱼ
			half.Mul(products[i], phi)
			known.Mul(&half, products[j]) // PᵢΦPⱼ
			information.SetSym(i, j, (in.squares(i, j)-2*trace(phi, &q)+trace(phi, &known))/2)
			between[i][j] = &mat.Dense{}
			between[i][j].Sub(&q, &known)
		}
	}
	var factor mat.Cholesky
	var w mat.SymDense
	if !factor.Factorize(information) || factor.InverseTo(&w) != nil {
		return
	}
	bias := mat.NewDense(d.p, d.p, nil)
	add := func(weight float64, of mat.Matrix) {
		var scaled mat.Dense
		scaled.Scale(weight, of)
		bias.Add(bias, &scaled)
	}
	vary := variation{parameters: numeric.NewMatrix(k, k)}
	for i := range k {
		for j := range k {
			vary.parameters.Set(i, j, w.At(i, j))
			if j >= i {
				add(w.At(i, j), between[i][j])
			} else {
				add(w.At(i, j), between[j][i].T())
			}
		}
		vary.jacobian = append(vary.jacobian, sandwiched(phi, products[i]))
	}
	f.small = &smallSample{plain: f.cov}
	f.cov = f.cov.Clone()
	for i, more := range sandwiched(phi, bias).V {
		f.cov.V[i] += 2 * more
	}
	f.vary = vary
}

// trace of a product; a is symmetric.
func trace(a, b *mat.Dense) float64 {
	var product mat.Dense
	product.MulElem(a, b)
	return mat.Sum(&product)
}

// sandwiched is ΦBΦ.
func sandwiched(phi, b *mat.Dense) numeric.Matrix {
	var half, whole mat.Dense
	half.Mul(phi, b)
	whole.Mul(&half, phi)
	rows, columns := whole.Dims()
	out := numeric.NewMatrix(rows, columns)
	for i := range rows {
		for j := range columns {
			out.Set(i, j, whole.At(i, j))
		}
	}
	return out
}

// scaledF is Kenward and Roger's F of several rows, independent under the plain covariance
// with these variances: scaled so that its first two moments are those of an F.
func (f *Result) scaledF(rows [][]float64, variances []float64) (F, df2 float64, ok bool) {
	q := len(rows)
	estimates, covariance := mat.NewVecDense(q, nil), mat.NewSymDense(q, nil)
	for i, row := range rows {
		estimates.SetVec(i, numeric.Dot(row, f.b))
		for j := i; j < q; j++ {
			covariance.SetSym(i, j, f.cov.Quadratic(row, rows[j]))
		}
	}
	var factor mat.Cholesky
	var solved mat.VecDense
	if !factor.Factorize(covariance) || factor.SolveVecTo(&solved, estimates) != nil {
		return 0, 0, false
	}
	k := len(f.vary.jacobian)
	parts := make([]*mat.Dense, k)
	for t, jacobian := range f.vary.jacobian {
		parts[t] = mat.NewDense(q, q, nil)
		for i := range rows {
			for j := range rows {
				parts[t].Set(i, j, jacobian.Quadratic(rows[i], rows[j])/variances[i])
			}
		}
	}
	a1, a2 := 0.0, 0.0
	for t := range k {
		for s := range k {
			var product mat.Dense
			product.Mul(parts[t], parts[s])
			a1 += f.vary.parameters.At(t, s) * mat.Trace(parts[t]) * mat.Trace(parts[s])
			a2 += f.vary.parameters.At(t, s) * mat.Trace(&product)
		}
	}
	n := float64(q)
	b := (a1 + 6*a2) / (2 * n)
	g := ((n+1)*a1 - (n+4)*a2) / ((n + 2) * a2)
	c1, c2, c3 := g/(3*n+2*(1-g)), (n-g)/(3*n+2*(1-g)), (n+2-g)/(3*n+2*(1-g))
	mean := 1 / (1 - a2/n)
	variance := 2 / n * (1 + c1*b) / ((1 - c2*b) * (1 - c2*b) * (1 - c3*b))
	ratio := variance / (2 * mean * mean)
	df2 = 4 + (n+2)/(n*ratio-1)
	F = df2 / (mean * (df2 - 2)) * mat.Dot(estimates, &solved) / n
	return F, df2, df2 > 2 && F >= 0
}
