package anova

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Sphericity holds Mauchly's test and the corrected p-values for a factor
// within assessors. Available is false for two samples (always spherical) and
// when there are no more assessors than samples less one; all is then NaN.
//
// ε by Greenhouse & Geisser (1959), Psychometrika 24, 95–112, and Huynh &
// Feldt (1976), J. Educ. Statist. 1, 69–82. Mauchly (1940), Ann. Math.
// Statist. 11, 204–209; the chi-squared approximation with Anderson's (2003,
// Introduction to Multivariate Statistical Analysis, section 10.7) scale and
// second-order term. In that term base R (4.2, mauchly.test) has 3k where the
// derivation for k−1 contrasts gives 3(k−1); R's form is kept so that figures
// agree; p differs by less than a hundredth of itself.
type Sphericity struct {
	Available          bool
	GG                 float64 // Greenhouse–Geisser ε, 1/(k−1) to 1
	GGDF1, GGDF2, GGP  float64
	HF                 float64 // Huynh–Feldt ε as computed; may exceed 1; +Inf where its formula has a pole
	HFP                float64 // with HF capped at 1
	LowerBoundP        float64 // with ε = 1/(k−1)
	MauchlyW           float64
	MauchlyP           float64 // with the second-order term
	MauchlyPFirstOrder float64 // without it
}

func noSphericity() Sphericity {
	nan := math.NaN()
	return Sphericity{GG: nan, GGDF1: nan, GGDF2: nan, GGP: nan, HF: nan, HFP: nan, LowerBoundP: nan, MauchlyW: nan,
		MauchlyP: nan, MauchlyPFirstOrder: nan}
}

// within is the univariate test of one effect within assessors.
type within struct {
	n, df1, df2 float64
	ss, ssError float64
	centred     [][]float64 // projected ratings of each assessor less their mean over assessors
}

// withinEffect returns the sums of squares of an effect with df degrees of
// freedom, from each assessor's ratings projected on the effect.
func withinEffect(projected [][]float64, df float64) within {
	n := float64(len(projected))
	e := within{n: n, df1: df, df2: df * (n - 1)}
	mean := stats.ColumnMeans(projected)
	e.ss = n * stats.SumOfSquares(mean)
	for _, row := range projected {
		d := make([]float64, len(row))
		for j, v := range row {
			d[j] = v - mean[j]
		}
		e.ssError += stats.SumOfSquares(d)
		e.centred = append(e.centred, d)
	}
	return e
}

// crossProducts returns Σ d dᵗ over the assessors.
func (e within) crossProducts() *mat.SymDense {
	m := len(e.centred[0])
	c := mat.NewSymDense(m, nil)
	for _, d := range e.centred {
		c.SymRankOne(c, 1, mat.NewVecDense(m, d))
	}
	return c
}

// epsilons returns the Greenhouse–Geisser and Huynh–Feldt corrections.
func (e within) epsilons() (gg, hf float64) {
	c := e.crossProducts()
	trace, square := mat.Trace(c), 0.0
	for i := range c.SymmetricDim() {
		for j := range c.SymmetricDim() {
			square += c.At(i, j) * c.At(i, j)
		}
	}
	gg = trace * trace / (e.df1 * square)
	denominator := e.df1 * (e.n - 1 - e.df1*gg)
	if denominator <= 0 {
		return gg, math.Inf(1)
	}
	return gg, (e.n*e.df1*gg - 2) / denominator
}

// sphericity fills in the corrections and Mauchly's test.
func (r *RepeatedResult) sphericity(e within) {
	if r.K < 3 || math.IsNaN(r.F) {
		return
	}
	if r.N <= r.K-1 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnSphericity,
			Text: fmt.Sprintf("with %d assessors for %d samples it cannot be checked whether the differences "+
				"scatter alike; use the mixed model or more assessors", r.N, r.K)})
		return
	}
	s := &r.Sphericity
	s.Available = true
	s.GG, s.HF = e.epsilons()
	s.GGDF1, s.GGDF2 = s.GG*e.df1, s.GG*e.df2
	s.GGP = dist.FSurvival(r.F, s.GGDF1, s.GGDF2)
	h := math.Min(1, s.HF)
	s.HFP = dist.FSurvival(r.F, h*e.df1, h*e.df2)
	s.LowerBoundP = dist.FSurvival(r.F, 1, e.n-1)
	s.mauchly(e)
	if s.MauchlyP < 0.05 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNonSpherical,
			Text: "the differences between samples do not scatter alike (Mauchly's test): use the corrected p"})
	}
}

// mauchly fills in W and its p-values.
func (s *Sphericity) mauchly(e within) {
	logDet, ok := logDetContrasts(e.crossProducts())
	if !ok {
		s.MauchlyW, s.MauchlyP, s.MauchlyPFirstOrder = 0, 0, 0
		return
	}
	d, nu := e.df1, e.n-1
	logW := logDet - d*math.Log(e.ssError/d)
	s.MauchlyW = math.Exp(logW)
	rho := 1 - (2*d*d+d+2)/(6*d*nu)
	chi := -nu * rho * logW
	df := d*(d+1)/2 - 1
	s.MauchlyPFirstOrder = dist.ChiSquaredSurvival(chi, df)
	second := (d + 2) * (d - 1) * (d - 2) * (2*d*d*d + 6*d*d + 3*(d+1) + 2) / (288 * d * d * nu * nu * rho * rho)
	p := s.MauchlyPFirstOrder + second*(dist.ChiSquaredSurvival(chi, df+4)-s.MauchlyPFirstOrder)
	s.MauchlyP = math.Min(1, math.Max(0, p))
}

// logDetContrasts returns log |Hᵗ C H| for the Helmert contrasts H, which are
// orthonormal; ok is false when the matrix is singular.
func logDetContrasts(c *mat.SymDense) (logDet float64, ok bool) {
	k := c.SymmetricDim()
	h := mat.NewDense(k, k-1, nil)
	for j := 1; j < k; j++ {
		norm := math.Sqrt(float64(j * (j + 1)))
		for i := range j {
			h.Set(i, j-1, -1/norm)
		}
		h.Set(j, j-1, float64(j)/norm)
	}
	var ch, hch mat.Dense
	ch.Mul(c, h)
	hch.Mul(h.T(), &ch)
	sym := mat.NewSymDense(k-1, nil)
	for i := range k - 1 {
		for j := i; j < k-1; j++ {
			sym.SetSym(i, j, (hch.At(i, j)+hch.At(j, i))/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(sym) {
		return math.Inf(-1), false
	}
	return chol.LogDet(), true
}
