package mixed

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// variation is what Satterthwaite's degrees of freedom need: how the
// covariance of the coefficients moves with (θ, σ), and how well those are
// known.
type variation struct {
	jacobian   []numeric.Matrix // ∂ covariance / ∂ parameter, in the orthonormal basis
	parameters numeric.Matrix   // asymptotic covariance of (θ, σ)
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
			hessian.SetSym(i, j, -c.raw.trace2.At(i, j)+c.raw.quad2.At(i, j)/sigma2)
		}
		hessian.SetSym(i, k, 2*c.raw.quad[i]/(sigma2*sigma))
	}
	hessian.SetSym(k, k, 4*m.residualDF()/sigma2)
	v := variation{parameters: positivePart(hessian)}
	for i, par := range m.params {
		var full numeric.Matrix
		if m.terms[par.term].global {
			wu := numeric.NewMatrix(c.w.Cols-m.p, c.w.Cols)
			copy(wu.V, c.w.V[m.p*c.w.Cols:])
			e := m.spreadGlobal(c.raw.b[i], par.term, wu)
			b := numeric.NewMatrix(c.w.Cols, c.w.Cols)
			b.AddTransposedProduct(1, wu, e)
			full = sandwich(c.h, b)
		} else {
			full = sandwich(c.h, c.raw.b[i])
		}
		d := full.Block(0, m.p)
		for x := range d.V {
			d.V[x] *= sigma2
		}
		v.jacobian = append(v.jacobian, d)
	}
	last := c.h.Block(0, m.p)
	for x := range last.V {
		last.V[x] *= 2 * sigma
	}
	v.jacobian = append(v.jacobian, last)
	return v
}

// positivePart returns twice the inverse of the part of h with positive
// eigenvalues.
func positivePart(h *mat.SymDense) numeric.Matrix {
	k := h.SymmetricDim()
	out := numeric.NewMatrix(k, k)
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
			numeric.Axpy(2*v[i]/value, v, out.Row(i))
		}
	}
	return out
}

// contrast is an estimate with its Satterthwaite t test.
type contrast struct{ estimate, se, df, t, p float64 }

// test tests a linear combination l of the coefficients in the orthonormal
// basis: df = 2 (lᵗCl)² / (gᵗAg), g the gradient of lᵗCl.
func (f *Result) test(l []float64) contrast {
	nan := math.NaN()
	c := contrast{numeric.Dot(l, f.b), nan, nan, nan, nan}
	if f.point == nil {
		return c
	}
	variance := f.cov.Quadratic(l, l)
	c.se = math.Sqrt(variance)
	if f.small != nil {
		variance = f.small.plain.Quadratic(l, l)
	}
	c.df = f.satterthwaite(l, variance)
	c.t = c.estimate / c.se
	c.p = dist.TTwoSided(c.t, c.df)
	return c
}

func (f *Result) satterthwaite(l []float64, variance float64) float64 {
	g := make([]float64, len(f.vary.jacobian))
	for i, j := range f.vary.jacobian {
		g[i] = j.Quadratic(l, l)
	}
	return 2 * variance * variance / f.vary.parameters.Quadratic(g, g)
}

// inBasis turns weights on the coefficients of all fixed columns into weights
// in the orthonormal basis; estimable is false when aliased columns make the
// combination depend on an arbitrary choice.
func (f *Result) inBasis(weights []float64) (l []float64, estimable bool) {
	d := f.design
	kept := make([]float64, d.p)
	for i, c := range d.basis.Kept {
		kept[i] = weights[c]
	}
	l = d.basis.SolveTransposed(kept)
	if d.p == len(d.fixed) {
		return l, true
	}
	size := 1 + math.Sqrt(stats.SumOfSquares(weights))
	for c, column := range model.WeightedColumns(d.fixed, d.weights) {
		if slices.Contains(d.basis.Kept, c) {
			continue
		}
		implied := 0.0
		for i, q := range d.basis.Q {
			implied += numeric.Dot(q, column) * l[i]
		}
		if math.Abs(implied-weights[c]) > 1e-6*size {
			return l, false
		}
	}
	return l, true
}

// fixedEffects fills in the coefficients.
func (f *Result) fixedEffects() {
	for c, column := range f.design.fixed {
		nan := math.NaN()
		out := Coefficient{column.Name, nan, nan, nan, nan, nan, stats.NoInterval(f.level)}
		if slices.Contains(f.design.basis.Kept, c) {
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

func (f *Result) interval(t contrast) stats.Interval {
	if !(t.df > 0) {
		return stats.NoInterval(f.level)
	}
	half := dist.TQuantileUpper((1-f.level)/2, t.df) * t.se
	return stats.Interval{Lo: t.estimate - half, Hi: t.estimate + half, Level: f.level}
}

// MarginalMean is the mean of one level of a factor as the model predicts it.
type MarginalMean struct {
	Level        string
	Mean, SE, DF float64
	CI           stats.Interval
}

// Means returns the marginal means of a factor: predictions averaged with
// equal weight over the levels of the other factors, at the mean of each
// covariate (Searle, Speed & Milliken 1980, Am. Stat. 34, 216–221). A covariate
// with only two values counts as a factor here: both values weigh the same.
func (f *Result) Means(factor string) ([]MarginalMean, error) {
	levels, weights, err := f.marginal(factor)
	if err != nil {
		return nil, err
	}
	var out []MarginalMean
	for i, w := range weights {
		m := MarginalMean{levels[i], math.NaN(), math.NaN(), math.NaN(), stats.NoInterval(f.level)}
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
	CI                     stats.Interval
	PHolm, PTukey          float64
}

// Pairs compares all levels of a factor by their marginal means, in the order
// (0,1), (0,2), (1,2), (0,3), …
func (f *Result) Pairs(factor string) ([]LevelPair, error) {
	pairs, err := f.Differences(factor)
	levels := 0
	for _, p := range pairs {
		levels = max(levels, p.B+1)
	}
	for i, p := range pairs {
		if !math.IsNaN(p.T) {
			pairs[i].PTukey = dist.StudentizedRangeSurvival(math.Abs(p.T)*math.Sqrt2, levels, p.DF)
		}
	}
	return pairs, err
}

// Differences are the [Result.Pairs] without Tukey's p, which takes longer than all else.
func (f *Result) Differences(factor string) ([]LevelPair, error) {
	levels, weights, err := f.marginal(factor)
	if err != nil {
		return nil, err
	}
	var out []LevelPair
	var p []float64
	nan := math.NaN()
	for b := range levels {
		for a := range b {
			pair := LevelPair{A: a, B: b, Estimate: nan, SE: nan, DF: nan, T: nan, P: nan,
				CI: stats.NoInterval(f.level), PTukey: nan}
			w := slices.Clone(weights[b])
			numeric.Axpy(-1, weights[a], w)
			if l, ok := f.inBasis(w); ok {
				t := f.test(l)
				pair.Estimate, pair.SE, pair.DF, pair.T, pair.P, pair.CI = t.estimate, t.se, t.df, t.t, t.p,
					f.interval(t)
			}
			out = append(out, pair)
			p = append(p, pair.P)
		}
	}
	for i, adjusted := range stats.Holm(p) {
		out[i].PHolm = adjusted
	}
	return out, nil
}

// marginal returns the weights on the fixed columns of each level's marginal
// mean.
func (f *Result) marginal(factor string) (levels []string, weights [][]float64, err error) {
	target, ok := f.data.Factor(factor)
	if !ok {
		return nil, nil, fmt.Errorf("marginal means of %q: %w", factor, model.ErrUnknownVariable)
	}
	grid := referenceGrid(f.data, f.model.Fixed, factor)
	rows := make([]int, len(grid.Response))
	for i := range rows {
		rows[i] = i
	}
	columns := model.DesignColumns(grid, f.model.Fixed, true, rows)
	code, _ := grid.Factor(factor)
	weights = make([][]float64, len(target.Levels))
	for level := range weights {
		weights[level] = make([]float64, len(columns))
	}
	share := float64(len(target.Levels)) / float64(len(rows))
	for c, column := range columns {
		for i, v := range column.Values {
			weights[code.Code[i]][c] += share * v
		}
	}
	return target.Levels, weights, nil
}

// referenceGrid is every combination of the levels of the factors of a model,
// with covariates at their means, or at both values when there are only two.
func referenceGrid(d model.Data, terms []model.Term, factor string) model.Data {
	used := func(name string) bool {
		return slices.ContainsFunc(terms, func(t model.Term) bool { return slices.Contains(t, name) })
	}
	rows := 1
	var factors []model.Factor
	var points [][]float64 // of each covariate
	for _, f := range d.Factors {
		if used(f.Name) || f.Name == factor {
			factors = append(factors, f)
			rows *= len(f.Levels)
		}
	}
	for _, c := range d.Covariates {
		at := []float64{stats.Mean(c.Values)}
		if two := twoValues(c.Values); two != nil && used(c.Name) {
			at = two
		}
		points = append(points, at)
		rows *= len(at)
	}
	grid := model.Data{Response: make([]float64, rows)}
	repeat := 1
	for _, f := range factors {
		code := make([]int, rows)
		for i := range code {
			code[i] = i / repeat % len(f.Levels)
		}
		repeat *= len(f.Levels)
		grid.Factors = append(grid.Factors, model.Factor{Name: f.Name, Levels: f.Levels, Code: code})
	}
	for k, c := range d.Covariates {
		values := make([]float64, rows)
		for i := range values {
			values[i] = points[k][i/repeat%len(points[k])]
		}
		repeat *= len(points[k])
		grid.Covariates = append(grid.Covariates, model.Covariate{Name: c.Name, Values: values})
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
