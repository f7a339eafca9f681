package stats

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// variation is what Satterthwaite's degrees of freedom need: how the
// covariance of the coefficients moves with (θ, σ), and how well those are
// known.
type variation struct {
	jacobian   []smallMatrix // ∂ covariance / ∂ parameter, in the orthonormal basis
	parameters smallMatrix   // asymptotic covariance of (θ, σ)
}

// variation is computed from the deviance as a function of θ and σ, not
// profiled, with exact derivatives: 2·Hessian⁻¹, without the directions in
// which the deviance is flat or falls (boundary estimates), is the covariance
// of (θ, σ). At a boundary the deviance and the covariance are even in the
// parameter, so that it contributes nothing.
func (m *mixedDesign) variation(c *criterionPoint, sigma2 float64) variation {
	k, sigma := len(m.params), math.Sqrt(sigma2)
	hessian := mat.NewSymDense(k+1, nil)
	for i := range k {
		for j := i; j < k; j++ {
			hessian.SetSym(i, j, -c.raw.trace2.at(i, j)+c.raw.quad2.at(i, j)/sigma2)
		}
		hessian.SetSym(i, k, 2*c.raw.quad[i]/(sigma2*sigma))
	}
	hessian.SetSym(k, k, 4*m.residualDF()/sigma2)
	v := variation{parameters: positivePart(hessian)}
	for i, par := range m.params {
		var full smallMatrix
		if m.terms[par.term].global {
			wu := newSmallMatrix(c.w.cols-m.p, c.w.cols)
			copy(wu.v, c.w.v[m.p*c.w.cols:])
			e := m.spreadGlobal(c.raw.b[i], par.term, wu)
			b := newSmallMatrix(c.w.cols, c.w.cols)
			b.addTransposedProduct(1, wu, e)
			full = sandwich(c.h, b)
		} else {
			full = sandwich(c.h, c.raw.b[i])
		}
		d := full.block(0, m.p)
		for x := range d.v {
			d.v[x] *= sigma2
		}
		v.jacobian = append(v.jacobian, d)
	}
	last := c.h.block(0, m.p)
	for x := range last.v {
		last.v[x] *= 2 * sigma
	}
	v.jacobian = append(v.jacobian, last)
	return v
}

// positivePart returns twice the inverse of the part of h with positive
// eigenvalues.
func positivePart(h *mat.SymDense) smallMatrix {
	k := h.SymmetricDim()
	out := newSmallMatrix(k, k)
	var eigen mat.EigenSym
	if !eigen.Factorize(h, true) {
		return out
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	const flat = 1e-8
	for e, value := range eigen.Values(nil) {
		if value <= flat {
			continue
		}
		v := mat.Col(nil, e, &vectors)
		for i := range v {
			axpy(2*v[i]/value, v, out.row(i))
		}
	}
	return out
}

// contrast is an estimate with its Satterthwaite t test.
type contrast struct{ estimate, se, df, t, p float64 }

// test tests a linear combination l of the coefficients in the orthonormal
// basis: df = 2 (lᵗCl)² / (gᵗAg), g the gradient of lᵗCl.
func (f *MixedFit) test(l []float64) contrast {
	nan := math.NaN()
	c := contrast{dot(l, f.b), nan, nan, nan, nan}
	if f.point == nil {
		return c
	}
	variance := f.cov.quadratic(l, l)
	c.se = math.Sqrt(variance)
	c.df = f.satterthwaite(l, variance)
	c.t = c.estimate / c.se
	c.p = tTwoSided(c.t, c.df)
	return c
}

func (f *MixedFit) satterthwaite(l []float64, variance float64) float64 {
	g := make([]float64, len(f.vary.jacobian))
	for i, j := range f.vary.jacobian {
		g[i] = j.quadratic(l, l)
	}
	return 2 * variance * variance / f.vary.parameters.quadratic(g, g)
}

// inBasis turns weights on the coefficients of all fixed columns into weights
// in the orthonormal basis; estimable is false when aliased columns make the
// combination depend on an arbitrary choice.
func (f *MixedFit) inBasis(weights []float64) (l []float64, estimable bool) {
	d := f.design
	kept := make([]float64, d.p)
	for i, c := range d.basis.kept {
		kept[i] = weights[c]
	}
	l = d.basis.solveTransposed(kept)
	if d.p == len(d.fixed) {
		return l, true
	}
	size := 1 + math.Sqrt(sumOfSquares(weights))
	for c, column := range weightedColumns(d.fixed, d.weights) {
		if slices.Contains(d.basis.kept, c) {
			continue
		}
		implied := 0.0
		for i, q := range d.basis.q {
			implied += dot(q, column) * l[i]
		}
		if math.Abs(implied-weights[c]) > 1e-6*size {
			return l, false
		}
	}
	return l, true
}

// fixedEffects fills in the coefficients.
func (f *MixedFit) fixedEffects() {
	for c, column := range f.design.fixed {
		nan := math.NaN()
		out := Coefficient{column.name, nan, nan, nan, nan, nan, absent(f.level)}
		if slices.Contains(f.design.basis.kept, c) {
			weights := make([]float64, len(f.design.fixed))
			weights[c] = 1
			l, _ := f.inBasis(weights)
			t := f.test(l)
			out.Estimate, out.SE, out.DF, out.T, out.P = t.estimate, t.se, t.df, t.t, t.p
			out.CI = f.interval(t)
		}
		f.Fixed = append(f.Fixed, out)
	}
}

func (f *MixedFit) interval(t contrast) Interval {
	if !(t.df > 0) {
		return absent(f.level)
	}
	half := tQuantileUpper((1-f.level)/2, t.df) * t.se
	return Interval{t.estimate - half, t.estimate + half, f.level}
}

// MarginalMean is the mean of one level of a factor as the model predicts it.
type MarginalMean struct {
	Level        string
	Mean, SE, DF float64
	CI           Interval
}

// Means returns the marginal means of a factor: predictions averaged with
// equal weight over the levels of the other factors, at the mean of each
// covariate (Searle, Speed & Milliken 1980, Am. Stat. 34, 216–221). A covariate
// with only two values counts as a factor here: both values weigh the same.
func (f *MixedFit) Means(factor string) ([]MarginalMean, error) {
	levels, weights, err := f.marginal(factor)
	if err != nil {
		return nil, err
	}
	var out []MarginalMean
	for i, w := range weights {
		m := MarginalMean{levels[i], math.NaN(), math.NaN(), math.NaN(), absent(f.level)}
		if l, ok := f.inBasis(w); ok {
			t := f.test(l)
			m.Mean, m.SE, m.DF, m.CI = t.estimate, t.se, t.df, f.interval(t)
		}
		out = append(out, m)
	}
	return out, nil
}

// LevelPair compares two levels A < B of a factor.
type LevelPair struct {
	A, B                   int     // indices of the levels
	Estimate, SE, DF, T, P float64 // marginal mean of B less that of A
	CI                     Interval
	PHolm, PTukey          float64
}

// Pairs compares all levels of a factor by their marginal means, in the order
// (0,1), (0,2), (1,2), (0,3), …
func (f *MixedFit) Pairs(factor string) ([]LevelPair, error) {
	levels, weights, err := f.marginal(factor)
	if err != nil {
		return nil, err
	}
	var out []LevelPair
	var p []float64
	nan := math.NaN()
	for b := range levels {
		for a := range b {
			pair := LevelPair{A: a, B: b, Estimate: nan, SE: nan, DF: nan, T: nan, P: nan, CI: absent(f.level), PTukey: nan}
			w := slices.Clone(weights[b])
			axpy(-1, weights[a], w)
			if l, ok := f.inBasis(w); ok {
				t := f.test(l)
				pair.Estimate, pair.SE, pair.DF, pair.T, pair.P, pair.CI = t.estimate, t.se, t.df, t.t, t.p, f.interval(t)
				pair.PTukey = StudentizedRangeSurvival(math.Abs(t.t)*math.Sqrt2, len(levels), t.df)
			}
			out = append(out, pair)
			p = append(p, pair.P)
		}
	}
	for i, adjusted := range Holm(p) {
		out[i].PHolm = adjusted
	}
	return out, nil
}

// marginal returns the weights on the fixed columns of each level's marginal
// mean.
func (f *MixedFit) marginal(factor string) (levels []string, weights [][]float64, err error) {
	target, ok := f.data.factor(factor)
	if !ok {
		return nil, nil, fmt.Errorf("marginal means of %q: %w", factor, ErrUnknownVariable)
	}
	grid := referenceGrid(f.data, f.model.Fixed, factor)
	rows := make([]int, len(grid.Response))
	for i := range rows {
		rows[i] = i
	}
	columns := designColumns(grid, f.model.Fixed, true, rows)
	code, _ := grid.factor(factor)
	weights = make([][]float64, len(target.Levels))
	for level := range weights {
		weights[level] = make([]float64, len(columns))
	}
	share := float64(len(target.Levels)) / float64(len(rows))
	for c, column := range columns {
		for i, v := range column.values {
			weights[code.Code[i]][c] += share * v
		}
	}
	return target.Levels, weights, nil
}

// referenceGrid is every combination of the levels of the factors of a model,
// with covariates at their means, or at both values when there are only two.
func referenceGrid(d ModelData, terms []Term, factor string) ModelData {
	used := func(name string) bool {
		return slices.ContainsFunc(terms, func(t Term) bool { return slices.Contains(t, name) })
	}
	rows := 1
	var factors []Factor
	var points [][]float64 // of each covariate
	for _, f := range d.Factors {
		if used(f.Name) || f.Name == factor {
			factors = append(factors, f)
			rows *= len(f.Levels)
		}
	}
	for _, c := range d.Covariates {
		at := []float64{Mean(c.Values)}
		if two := twoValues(c.Values); two != nil && used(c.Name) {
			at = two
		}
		points = append(points, at)
		rows *= len(at)
	}
	grid := ModelData{Response: make([]float64, rows)}
	repeat := 1
	for _, f := range factors {
		code := make([]int, rows)
		for i := range code {
			code[i] = i / repeat % len(f.Levels)
		}
		repeat *= len(f.Levels)
		grid.Factors = append(grid.Factors, Factor{f.Name, f.Levels, code})
	}
	for k, c := range d.Covariates {
		values := make([]float64, rows)
		for i := range values {
			values[i] = points[k][i/repeat%len(points[k])]
		}
		repeat *= len(points[k])
		grid.Covariates = append(grid.Covariates, Covariate{c.Name, values})
	}
	return grid
}

// twoValues returns the two different values of v, nil when there are more or
// fewer.
func twoValues(v []float64) []float64 {
	for _, x := range v {
		if x == v[0] {
			continue
		}
		for _, y := range v {
			if y != v[0] && y != x {
				return nil
			}
		}
		return []float64{v[0], x}
	}
	return nil
}
