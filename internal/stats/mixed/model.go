package mixed

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// RandomTerm is a set of effects that vary at random between the levels of a
// grouping factor: {Group: {"assessor"}} lets each assessor have a level of
// their own; {Group: {"assessor", "sample"}} adds an assessor-by-sample
// interaction; {Group: {"assessor"}, Slopes: {"sample"}} lets each assessor
// have sample effects of their own, correlated freely with the level.
type RandomTerm struct {
	Group       model.Term // factors whose combinations are the levels
	Slopes      model.Term // factors and covariates whose coefficients vary
	NoIntercept bool       // leave the level itself out
}

// Model describes a linear mixed model. The fixed part has an intercept;
// main effects come before the interactions that contain them.
type Model struct {
	Data   model.Data
	Fixed  []model.Term
	Random []RandomTerm
	ML     bool    // maximum likelihood; the default is REML
	Level  float64 // of intervals; 0 means 0.95
	Near   *Result // a fit with like random terms, from which the search starts; nil = none

	// SmallSample has tests allow for what is not known of the variances, by Kenward & Roger.
	SmallSample bool
}

// Coefficient is one fixed effect with its Satterthwaite t test. An effect
// that other columns already explain is NaN, with [stats.WarnAliased].
type Coefficient struct {
	Name                   string
	Estimate, SE, DF, T, P float64
	CI                     stats.Interval
}

// VarianceComponent is a variance (Term2 empty) or a covariance of two random
// effects of one group; the residual variance has the group "Residual".
type VarianceComponent struct {
	Group, Term1, Term2 string
	Variance            float64 // or covariance
	SD                  float64 // or correlation
}

// GroupCount is the number of levels of a grouping factor.
type GroupCount struct {
	Name string
	N    int
}

// Result is a fitted linear mixed model.
type Result struct {
	NObs, Dropped    int
	Groups           []GroupCount
	ML               bool
	LogLik, AIC, BIC float64 // of the likelihood that was maximised
	Parameters       int     // fixed effects, covariance parameters and σ²
	Fixed            []Coefficient
	Variances        []VarianceComponent // grouping factors with more levels first
	Sigma2           float64
	Singular         bool // a variance is zero or a correlation is ±1
	Converged        bool
	Warnings         []stats.Warning

	level  float64
	data   model.Data
	model  Model
	design *mixedDesign
	point  *criterionPoint
	b      []float64      // coefficients in the orthonormal basis
	cov    numeric.Matrix // their covariance
	vary   variation
	small  *smallSample // nil = by Satterthwaite
}

// ErrNoRandom marks a mixed model without a random term.
var ErrNoRandom = errors.New("a mixed model needs a random term")

// noResidual is the share of the least-squares residuals below which what the
// random effects leave is rounding error.
const noResidual = 1e-11

// Fit fits a linear mixed model by REML or maximum likelihood: Bates,
// Mächler, Bolker & Walker (2015), J. Stat. Softw. 67(1). Ratings that miss a
// value are left out and counted, their assessors are kept. Tests use the
// degrees of freedom of Satterthwaite (1946), Biometrics Bull. 2, 110–114, in
// the form of Giesbrecht & Burns (1985), Biometrics 41, 477–486, or with Model.SmallSample those
// and the covariance of Kenward & Roger (1997), Biometrics 53, 983–997. Time is linear in the
// number of assessors.
//
// Assumes normal random effects and residuals. A boundary estimate is flagged
// as [stats.WarnSingular]. When nothing is left unexplained, estimates stand and
// tests are NaN with [stats.WarnNoErrorSpread]. Errors: [model.ErrUnknownVariable],
// [model.ErrModelData], [stats.ErrNotFinite], [model.ErrNoRatings], [model.ErrGrouping], [ErrNoRandom].
func Fit(m Model) (*Result, error) {
	level, err := stats.LevelOr95(m.Level)
	if err != nil {
		return nil, fmt.Errorf("mixed model: %w", err)
	}
	data, warn, err := m.Data.Complete()
	if err != nil {
		return nil, fmt.Errorf("mixed model: %w", err)
	}
	if err := m.check(data); err != nil {
		return nil, fmt.Errorf("mixed model: %w", err)
	}
	design, err := newMixedDesign(m, data)
	if err != nil {
		return nil, fmt.Errorf("mixed model: %w", err)
	}
	f := &Result{NObs: design.n, Dropped: len(m.Data.Response) - design.n, ML: m.ML, Warnings: warn, level: level,
		data: data, model: m, design: design}
	for _, r := range design.terms {
		f.Groups = append(f.Groups, GroupCount{r.name, r.levels})
	}
	f.Parameters = design.p + len(design.params) + 1
	f.warnAliased()
	f.minimise()
	f.fixedEffects()
	return f, nil
}

func (m Model) check(d model.Data) error {
	if len(m.Random) == 0 {
		return ErrNoRandom
	}
	if err := d.CheckTerms(m.Fixed...); err != nil {
		return err
	}
	for _, t := range m.Fixed {
		if len(t) == 0 {
			return fmt.Errorf("an empty fixed term: %w", model.ErrUnknownVariable)
		}
	}
	for _, r := range m.Random {
		if err := d.CheckTerms(r.Group, r.Slopes); err != nil {
			return err
		}
	}
	return nil
}

func (f *Result) warnAliased() {
	var names []string
	for c, column := range f.design.fixed {
		if !slices.Contains(f.design.basis.Kept, c) {
			names = append(names, column.Name)
		}
	}
	for _, t := range f.model.Fixed {
		if slices.ContainsFunc(t, func(v string) bool { c, ok := f.data.Factor(v); return ok && len(c.Levels) < 2 }) {
			names = append(names, t.String())
		}
	}
	if len(names) > 0 {
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnAliased,
			Text: fmt.Sprintf("the ratings cannot tell these effects from others, so they are left out: %s",
				strings.Join(names, ", "))})
	}
}

// minimise finds the covariance parameters.
func (f *Result) minimise() {
	d := f.design
	nan := math.NaN()
	f.LogLik, f.AIC, f.BIC, f.Sigma2 = nan, nan, nan, nan
	f.b = slices.Clone(d.b0)
	if stats.RoundingOnly(d.ols, d.total+float64(d.n)*d.mean*d.mean) || d.n <= d.p {
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "the fixed effects leave nothing unexplained: there is nothing to estimate the random effects from"})
		return
	}
	f.point, f.Converged = d.minimise(d.starts(f.model.Near))
	if f.point == nil || !(f.point.r2 > noResidual*d.ols) {
		f.point = nil
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnNoErrorSpread,
			Text: "the assessors' own effects explain every rating exactly: nothing is left to test against"})
		return
	}
	if !f.Converged {
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnNotConverged,
			Text: "the likelihood was not maximised fully: treat the figures with care"})
	}
	f.standardise()
	f.summarise()
}

// starts are where the search begins: at another fit, if it is away from the boundary, on which
// the criterion is flat; and at random effects as large as the residuals, smaller and larger.
func (d *mixedDesign) starts(near *Result) (all [][]float64) {
	if near != nil && near.point != nil && len(near.point.theta) == len(d.params) && !d.atBoundary(near.point) {
		all = append(all, slices.Clone(near.point.theta))
	}
	for _, size := range []float64{1, 0.25, 3} {
		start := make([]float64, len(d.params))
		for i, p := range d.params {
			if p.row == p.col {
				start[i] = size
			}
		}
		all = append(all, start)
	}
	return all
}

// minimise returns the best point found, nil when the criterion has none. The criterion can
// have a second minimum away from the boundary or on it, so that an end at the boundary is
// held against the starts that follow, as far as they do not lead back to it.
func (d *mixedDesign) minimise(starts [][]float64) (best *criterionPoint, converged bool) {
	for _, start := range starts {
		first, ok := d.evaluate(start, true)
		if !ok {
			continue
		}
		var known func(*criterionPoint) bool
		if converged {
			known = best.near
		}
		point, good := numeric.MinimiseNewton(first, d.evaluate, known)
		if best == nil || point.value < best.value-1e-9 {
			best, converged = point, good
		}
		if !d.atBoundary(best) {
			break
		}
	}
	return best, converged
}

// near reports whether a search that came to a point would end at this minimum: the point is
// next to it, not below it, and the criterion curves upwards there.
func (c *criterionPoint) near(p *criterionPoint) bool {
	const next, above = 0.02, 1e-2
	if p.value < c.value || p.value > c.value+above {
		return false
	}
	for i, v := range c.theta {
		if math.Abs(math.Abs(v)-math.Abs(p.theta[i])) > next || !(p.hess.At(i, i) > 0) {
			return false
		}
	}
	return true
}

// atBoundary reports whether a standard deviation vanishes.
func (d *mixedDesign) atBoundary(c *criterionPoint) bool {
	for i, p := range d.params {
		if p.row == p.col && math.Abs(c.theta[i]) < model.SingularTolerance {
			return true
		}
	}
	return false
}

// standardise makes the diagonals of the triangular factors non-negative: the
// signs of their columns are arbitrary.
func (f *Result) standardise() {
	d := f.design
	theta := slices.Clone(f.point.theta)
	for _, p := range d.params {
		r := d.terms[p.term]
		l := r.factor(f.point.theta)
		if p.row == p.col && l.At(p.col, p.col) < 0 {
			for i, q := range d.params {
				if q.term == p.term && q.col == p.col {
					theta[i] = -theta[i]
				}
			}
		}
	}
	for i, p := range d.params {
		// A vanishing standard deviation is exactly zero unless the
		// criterion says otherwise.
		if p.row == p.col && theta[i] != 0 && theta[i] < model.SingularTolerance {
			zero := slices.Clone(theta)
			zero[i] = 0
			if c, ok := d.evaluate(zero, false); ok && c.value <= f.point.value+1e-9 {
				theta = zero
			}
		}
	}
	if c, ok := d.evaluate(theta, true); ok {
		f.point = c
	}
}

// summarise fills in the likelihood, variances and covariance of the
// coefficients.
func (f *Result) summarise() {
	d, c := f.design, f.point
	nu := d.residualDF()
	f.Sigma2 = c.r2 / nu
	logDets := c.logDets
	if !d.ml {
		// The criterion was computed in the orthonormal basis.
		for j := range d.basis.R {
			logDets += 2 * math.Log(d.basis.R[j][j])
		}
	}
	f.LogLik = -0.5 * (nu*(1+math.Log(2*math.Pi*f.Sigma2)) + logDets)
	f.AIC = -2*f.LogLik + 2*float64(f.Parameters)
	f.BIC = -2*f.LogLik + math.Log(float64(d.n))*float64(f.Parameters)
	for i := range f.b {
		f.b[i] += c.tau[i]
	}
	f.cov = c.h.Block(0, d.p)
	for i := range f.cov.V {
		f.cov.V[i] *= f.Sigma2
	}
	f.components()
	f.vary = d.variation(c, f.Sigma2)
	f.correct()
}

// components lists variances and covariances, larger groupings first.
func (f *Result) components() {
	d := f.design
	terms, flat := slices.Clone(d.terms), []string(nil)
	slices.SortStableFunc(terms, func(a, b *randomPart) int { return b.levels - a.levels })
	for _, r := range terms {
		l := r.factor(f.point.theta)
		v := numeric.NewMatrix(r.size, r.size)
		v.AddProductTransposed(f.Sigma2, l, l)
		for i := range r.size {
			if l.At(i, i) < model.SingularTolerance {
				f.Singular = true
				flat = append(flat, r.name)
			}
			f.Variances = append(f.Variances, VarianceComponent{Group: r.name, Term1: r.names[i], Variance: v.At(i, i),
				SD: math.Sqrt(v.At(i, i))})
		}
		for i := range r.size {
			for j := i + 1; j < r.size; j++ {
				f.Variances = append(f.Variances, VarianceComponent{r.name, r.names[i], r.names[j], v.At(i, j),
					v.At(i, j) / math.Sqrt(v.At(i, i)*v.At(j, j))})
			}
		}
	}
	f.Variances = append(f.Variances, VarianceComponent{Group: "Residual", Variance: f.Sigma2, SD: math.Sqrt(f.Sigma2)})
	if f.Singular {
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnSingular,
			Text: fmt.Sprintf("the ratings do not show that levels of %s differ: their variance is estimated as zero, "+
				"or a correlation as ±1", strings.Join(flat, " and "))})
	}
}
