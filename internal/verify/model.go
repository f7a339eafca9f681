package verify

import (
	"errors"
	"slices"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/stats/ordinal"
)

func (c *call) model() modelSpec { return must(parseFormula(c.text("formula_r", ""))) }

// variables lists the columns a model uses; groups are always factors.
func (m modelSpec) variables() (all, groups []string) {
	for _, t := range m.fixed {
		all = append(all, t...)
	}
	for _, r := range m.random {
		all = append(append(all, r.Group...), r.Slopes...)
		groups = append(groups, r.Group...)
	}
	slices.Sort(all)
	return slices.Compact(all), groups
}

// modelColumns reads the columns of a model for the rows without a missing
// cell. The response is kept as text: it is a number or a category.
func (c *call) modelColumns(m modelSpec) (response []string, data model.Data) {
	names, groups := m.variables()
	columns := c.filled(append([]string{m.response}, names...)...)
	for i, name := range names {
		cells := columns[i+1]
		listed := c.levels(name)
		values, numeric := parsed(cells)
		if numeric && listed == nil && !slices.Contains(groups, name) {
			data.Covariates = append(data.Covariates, model.Covariate{Name: name, Values: values})
			continue
		}
		order := levels(cells, listed)
		data.Factors = append(data.Factors, model.Factor{Name: name, Levels: order, Code: codes(cells, order)})
	}
	return columns[0], data
}

// levels is the order of a factor's levels, the reference level first, where the
// entry gives it.
func (c *call) levels(factor string) []string {
	given, _ := c.value("levels").(object)
	if given[factor] == nil {
		return nil
	}
	return texts("levels."+factor, given[factor])
}

// ratioTest is a likelihood-ratio test against a smaller model.
type ratioTest struct {
	model.LRTResult
	Without string
}

// ratio makes the likelihood-ratio test that an entry expects, if it does: the
// smaller model's formula stands in "without".
func ratio[R any](c *call, field string, large R, fit func(modelSpec) (R, error),
	compare func(small, large R) (model.LRTResult, error)) (*ratioTest, error) {
	expected, ok := c.e.Expected[field].(object)
	if !ok {
		return nil, nil
	}
	text, _ := expected["without"].(string)
	small, err := fit(must(parseFormula(text)))
	if err != nil {
		return nil, err
	}
	l, err := compare(small, large)
	return &ratioTest{l, text}, err
}

func (c *call) fitMixed(m modelSpec, ml bool) (*mixed.Result, error) {
	cells, data := c.modelColumns(m)
	values, ok := parsed(cells)
	if !ok {
		mistake("the response %q must be numbers", m.response)
	}
	data.Response = values
	return mixed.Fit(mixed.Model{Data: data, Fixed: m.fixed, Random: m.random, ML: ml})
}

// mixedOutput is a mixed model by restricted and by full likelihood, with what
// an entry asks for beside it.
type mixedOutput struct {
	*mixed.Result
	ML            *mixed.Result
	NGroups       fields
	AnovaType3    []mixed.TermTest
	RandomLRT     *ratioTest
	FixedLRT      *ratioTest
	MarginalMeans []mixed.MarginalMean
	Contrasts     []modelPair
}

type modelPair struct {
	mixed.LevelPair
	Contrast string
}

func runMixed(c *call) (any, error) {
	m := c.model()
	byREML := func(m modelSpec) (*mixed.Result, error) { return c.fitMixed(m, false) }
	byML := func(m modelSpec) (*mixed.Result, error) { return c.fitMixed(m, true) }
	fit, errFit := byREML(m)
	ml, errML := byML(m)
	if err := errors.Join(errFit, errML); err != nil {
		return nil, err
	}
	out := mixedOutput{Result: fit, ML: ml, NGroups: fields{}, AnovaType3: fit.Anova()}
	for _, g := range fit.Groups {
		out.NGroups[g.Name] = g.N
	}
	var errR, errF, errM error
	out.RandomLRT, errR = ratio(c, "random_lrt_reml", fit, byREML, mixed.LikelihoodRatio)
	out.FixedLRT, errF = ratio(c, "fixed_lrt_ml", ml, byML, mixed.LikelihoodRatio)
	if factor := c.text("factor", ""); factor != "" {
		errM = c.marginal(m, factor, &out)
	}
	return out, errors.Join(errR, errF, errM)
}

// marginal adds the predicted means and pairs of the levels of a factor.
func (c *call) marginal(m modelSpec, factor string, out *mixedOutput) (err error) {
	_, data := c.modelColumns(m)
	i := slices.IndexFunc(data.Factors, func(f model.Factor) bool { return f.Name == factor })
	if i < 0 {
		mistake("%q is no factor of the model", factor)
	}
	if out.MarginalMeans, err = out.Means(factor); err != nil {
		return err
	}
	pairs, err := out.Pairs(factor)
	for _, p := range pairs {
		out.Contrasts = append(out.Contrasts, modelPair{p, contrast(data.Factors[i].Levels, p.B, p.A)})
	}
	return err
}

// contrast names the difference of two levels.
func contrast(levels []string, b, a int) string { return levels[b] + " - " + levels[a] }

// ordinalOutput is a cumulative link model with the test that an entry asks for.
type ordinalOutput struct {
	*ordinal.Result
	LRT *ratioTest
}

func runOrdinal(c *call) (any, error) {
	m := c.model()
	if withGroup := c.e.Method == "clmm"; withGroup != (len(m.random) > 0) {
		mistake("a %s model with %d random terms", c.e.Method, len(m.random))
	}
	fit, err := c.fitOrdinal(m)
	if err != nil {
		return nil, err
	}
	lrt, err := ratio(c, "lrt", fit, c.fitOrdinal, ordinal.LikelihoodRatio)
	return ordinalOutput{fit, lrt}, err
}

func (c *call) fitOrdinal(m modelSpec) (*ordinal.Result, error) {
	cells, data := c.modelColumns(m)
	categories := levels(cells, c.levels(m.response))
	for _, code := range codes(cells, categories) {
		data.Response = append(data.Response, float64(code))
	}
	o := ordinal.Model{Data: data, Levels: categories, Fixed: m.fixed,
		Link:   choose(c, "link", "logit", map[string]ordinal.Link{"logit": ordinal.Logit, "probit": ordinal.Probit}),
		Points: c.whole("n_agq", 1)}
	c.value("quadrature") // says how the original program integrated; it changes nothing
	for _, r := range m.random {
		if len(m.random) > 1 || len(r.Slopes) > 0 || r.NoIntercept {
			mistake("an ordinal model takes one random intercept")
		}
		o.Group = r.Group
	}
	return ordinal.Fit(o)
}
