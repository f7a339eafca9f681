package ordinal

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

// Model describes a cumulative link model for ratings in ordered
// categories: F⁻¹(P(Y ≤ j)) = threshold_j − (fixed effects) − (assessor).
type Model struct {
	Data   model.Data // Response holds the category as 0, 1, …, an index into Levels
	Levels []string   // the categories in rising order
	Fixed  []model.Term
	Link   Link
	Group  model.Term // factors whose combinations have a random level; empty for none
	// Points of adaptive Gauss–Hermite quadrature for the random level; 0 or 1
	// is Laplace's approximation.
	Points int
	Level  float64 // of intervals; 0 means 0.95
}

// Coefficient is a threshold ("1|2") or a fixed effect with its Wald
// test. One that the ratings do not determine is NaN, with a warning.
type Coefficient struct {
	Name               string
	Estimate, SE, Z, P float64
	CI                 stats.Interval
}

// Result is a fitted cumulative link model.
type Result struct {
	N, Dropped     int
	Groups         int // levels of the random term; 0 without one
	LogLik, AIC    float64
	Parameters     int
	Coefficients   []Coefficient // thresholds first
	RandomVariance float64       // NaN without a random term
	RandomSD       float64
	Points         int // quadrature points used; 1 is Laplace
	Singular       bool
	Converged      bool
	Used           []int // the categories that occur, indices into Levels
	Warnings       []stats.Warning

	fitted fitted
}

// Errors and warnings of the ordinal models.
var (
	ErrCategories = errors.New("categories must be whole numbers from 0, indices into the levels, and at least two " +
		"must occur")
	ErrPoints = errors.New("between 1 and 100 quadrature points are needed")
)

// Codes of the warnings of [Fit].
const (
	WarnSeparated   = "separated"    // an effect without bound
	WarnUnusedLevel = "unused-level" // a category nobody chose
)

// Fit fits a cumulative logit or probit model by maximum likelihood:
// McCullagh (1980), J. R. Stat. Soc. B 42, 109–142. With a random level for
// each assessor the likelihood is integrated by Laplace's approximation or by
// adaptive Gauss–Hermite quadrature (Pinheiro & Bates 1995, J. Comput. Graph.
// Stat. 4, 12–35); its gradient is exact, including the movement of the
// quadrature points, and its Hessian is by central differences of the
// gradient.
//
// Assumes the same effects at every threshold (proportional odds for the
// logit link) and a normal random level. Errors: [ErrCategories],
// [model.ErrUnknownVariable], [model.ErrModelData], [stats.ErrNotFinite], [model.ErrNoRatings],
// [model.ErrGrouping], [ErrPoints], [stats.ErrLevel].
func Fit(m Model) (*Result, error) {
	level, err := stats.LevelOr95(m.Level)
	if err != nil {
		return nil, fmt.Errorf("ordinal model: %w", err)
	}
	if m.Points < 0 || m.Points > 100 {
		return nil, fmt.Errorf("ordinal model with %d points: %w", m.Points, ErrPoints)
	}
	data, warn, err := m.Data.Complete()
	if err == nil {
		err = data.CheckTerms(append(slices.Clone(m.Fixed), m.Group)...)
	}
	if err != nil {
		return nil, fmt.Errorf("ordinal model: %w", err)
	}
	d, err := newOrdinalDesign(m, data)
	if err != nil {
		return nil, fmt.Errorf("ordinal model: %w", err)
	}
	f := &Result{N: len(data.Response), Dropped: len(m.Data.Response) - len(data.Response),
		Warnings:       append(warn, d.warnings...),
		RandomVariance: math.NaN(), RandomSD: math.NaN()}
	fixed := d.fitFixed()
	f.Converged = fixed.converged
	if len(m.Group) == 0 {
		f.LogLik = -fixed.point.value
		f.finish(d, fixed.point.psi, fixed.point.hess, level)
		return f, nil
	}
	if err := f.fitRandom(m, d, data, fixed, level); err != nil {
		return nil, fmt.Errorf("ordinal model: %w", err)
	}
	return f, nil
}

// fitRandom adds the random level.
func (f *Result) fitRandom(m Model, d *ordinalDesign, data model.Data, fixed fixedOrdinal, level float64) error {
	r, err := newOrdinalMixed(m, d, data)
	if err != nil {
		return err
	}
	fit := r.fit(fixed)
	f.Groups, f.Points, f.Converged = r.groups, r.points, f.Converged && fit.converged
	f.LogLik = -fit.value
	f.RandomSD = math.Abs(fit.psi[len(fit.psi)-1])
	if f.RandomSD < model.SingularTolerance {
		f.RandomSD, f.Singular = 0, true
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnSingular,
			Text: "the variance between assessors is estimated as zero"})
	}
	f.RandomVariance = f.RandomSD * f.RandomSD
	f.finish(d, fit.psi, fit.hess, level)
	return nil
}

// finish turns the estimates on the standardised columns into coefficients.
func (f *Result) finish(d *ordinalDesign, psi []float64, hess numeric.Matrix, level float64) {
	f.Parameters = len(psi)
	f.AIC = -2*f.LogLik + 2*float64(f.Parameters)
	factor := hess.Clone()
	_, ok := factor.Factorise()
	var covariance numeric.Matrix
	if ok {
		covariance = factor.InverseOfFactorised()
	}
	if !f.Converged || !ok {
		f.Warnings = append(f.Warnings, stats.Warning{Code: stats.WarnNotConverged,
			Text: "the likelihood was not maximised fully: treat the figures with care"})
	}
	f.Used = d.used
	f.fitted = fitted{link: d.link, psi: psi, weights: map[string][]float64{}}
	if ok {
		f.fitted.covariance = covariance
	}
	separated := false
	for i, c := range d.coefficients(len(psi)) {
		out, unbounded := f.fitted.coefficient(c.name, c.weights, level)
		separated = separated || unbounded
		f.Coefficients = append(f.Coefficients, out)
		if f.fitted.weights[c.name] = c.weights; i < d.categories-1 {
			f.fitted.cuts = append(f.fitted.cuts, c.weights)
		}
	}
	if separated {
		f.Warnings = append(f.Warnings, stats.Warning{Code: WarnSeparated,
			Text: "some effect separates the categories completely, so it has no finite estimate: more ratings are " +
				"needed there"})
	}
}

// ordinalDesign is the data of an ordinal model by classes of equal fixed
// effects. Columns are centred and scaled for the fit.
type ordinalDesign struct {
	link       Link
	categories int
	names      []string // of the categories that occur
	used       []int    // their indices into the levels
	category   []int    // of each observation
	kind       []int    // class of each observation
	x          numeric.Matrix
	weights    []float64
	columns    []model.DesignColumn // all, with the intercept first
	kept       []int                // of columns, without the intercept
	center     []float64
	scale      []float64
	warnings   []stats.Warning
}

func newOrdinalDesign(m Model, data model.Data) (*ordinalDesign, error) {
	d := &ordinalDesign{link: m.Link}
	if err := d.readCategories(data.Response, m.Levels); err != nil {
		return nil, err
	}
	kinds := model.NewClasses(len(data.Response))
	for _, t := range m.Fixed {
		kinds.RefineBy(data, t...)
	}
	rows, weights := kinds.Representatives()
	d.kind, d.weights = kinds.Code, weights
	d.columns = model.DesignColumns(data, m.Fixed, true, rows)
	basis := numeric.Orthonormalise(model.WeightedColumns(d.columns, weights))
	d.kept = basis.Kept[1:]
	var aliased []string
	for c := range d.columns {
		if c > 0 && !slices.Contains(d.kept, c) {
			aliased = append(aliased, d.columns[c].Name)
		}
	}
	if len(aliased) > 0 {
		d.warnings = append(d.warnings, stats.Warning{Code: stats.WarnAliased,
			Text: fmt.Sprintf("the ratings cannot tell these effects from others, so they are left out: %s",
				strings.Join(aliased, ", "))})
	}
	d.standardise()
	return d, nil
}

// readCategories numbers the categories that occur.
func (d *ordinalDesign) readCategories(y []float64, levels []string) error {
	used := make([]bool, len(levels))
	for i, v := range y {
		if v != math.Trunc(v) || v < 0 || v >= float64(len(levels)) {
			return fmt.Errorf("rating %d is %g with %d levels: %w", i+1, v, len(levels), ErrCategories)
		}
		used[int(v)] = true
	}
	number := make([]int, len(levels))
	var unused []string
	for l, u := range used {
		if !u {
			unused = append(unused, levels[l])
			continue
		}
		number[l] = len(d.names)
		d.used = append(d.used, l)
		d.names = append(d.names, levels[l])
	}
	if d.categories = len(d.names); d.categories < 2 {
		return ErrCategories
	}
	if len(unused) > 0 {
		d.warnings = append(d.warnings, stats.Warning{Code: WarnUnusedLevel,
			Text: "nobody chose these categories, so they have no threshold: " + strings.Join(unused, ", ")})
	}
	d.category = make([]int, len(y))
	for i, v := range y {
		d.category[i] = number[int(v)]
	}
	return nil
}

func (d *ordinalDesign) standardise() {
	d.x = numeric.NewMatrix(len(d.weights), len(d.kept))
	total := 0.0
	for _, w := range d.weights {
		total += w
	}
	for j, c := range d.kept {
		mean, ss := numeric.Dot(d.columns[c].Values, d.weights)/total, 0.0
		for i, v := range d.columns[c].Values {
			ss += d.weights[i] * (v - mean) * (v - mean)
		}
		sd := math.Sqrt(ss / total)
		d.center, d.scale = append(d.center, mean), append(d.scale, sd)
		for i, v := range d.columns[c].Values {
			d.x.Set(i, j, (v-mean)/sd)
		}
	}
}

// ordinalWeights is a coefficient as a combination of the parameters of the
// fit; nil weights for an aliased effect.
type ordinalWeights struct {
	name    string
	weights []float64
}

// coefficients undoes the standardisation: an effect is its parameter over the
// scale, a threshold its parameter plus Σ effect·center.
func (d *ordinalDesign) coefficients(parameters int) (out []ordinalWeights) {
	thresholds := d.categories - 1
	for j := range thresholds {
		w := make([]float64, parameters)
		w[j] = 1
		for i := range d.kept {
			w[thresholds+i] = d.center[i] / d.scale[i]
		}
		out = append(out, ordinalWeights{d.names[j] + "|" + d.names[j+1], w})
	}
	for c := 1; c < len(d.columns); c++ {
		i := slices.Index(d.kept, c)
		if i < 0 {
			out = append(out, ordinalWeights{d.columns[c].Name, nil})
			continue
		}
		w := make([]float64, parameters)
		w[thresholds+i] = 1 / d.scale[i]
		out = append(out, ordinalWeights{d.columns[c].Name, w})
	}
	return out
}
