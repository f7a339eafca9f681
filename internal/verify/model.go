package verify

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/stats/ordinal"
)

// model reads the structured inputs; where they are left out the formula says.
func (c *call) model() modelSpec {
	text, fixed := c.text("formula_r", ""), c.input("fixed")
	switch {
	case fixed == nil && text == "":
		mistake("neither fixed terms nor a formula are given")
	case fixed == nil:
		return must(parseFormula(text))
	}
	terms := append([]string{"1"}, must(textList("fixed", fixed))...)
	list, _ := c.input("random").([]any)
	for i, item := range list { // terms like "1", "1 + x" or "0 + x"
		o, ok := item.(*object)
		if !ok {
			mistake("random[%d] must be an object with group and terms", i)
		}
		terms = append(terms, fmt.Sprintf("(%v | %v)", o.values["terms"], o.values["group"]))
	}
	return must(parseFormula(c.text("response", "") + " ~ " + strings.Join(terms, " + ")))
}

// variables lists the columns a model uses; groups are always factors.
func (m modelSpec) variables() (all []string, groups []string) {
	for _, t := range m.fixed {
		all = append(all, t...)
	}
	for _, r := range m.random {
		all = append(append(all, r.Group...), r.Slopes...)
		groups = append(groups, r.Group...)
	}
	var unique []string
	for _, name := range all {
		if !slices.Contains(unique, name) {
			unique = append(unique, name)
		}
	}
	return unique, groups
}

// modelColumns reads the columns of a model for the rows without a missing
// cell. The response is kept as text: it is a number or a category.
func (c *call) modelColumns(m modelSpec) (response []string, data model.Data) {
	t := c.table()
	names, groups := m.variables()
	all := append([]string{m.response}, names...)
	picked := map[string][]string{}
	for _, name := range all {
		must(t.column(name))
	}
	for i := range t.rows {
		if slices.ContainsFunc(all, func(n string) bool { return t.cells[n][i] == "" }) {
			continue
		}
		for _, name := range all {
			picked[name] = append(picked[name], t.cells[name][i])
		}
	}
	known := c.levelsInput()
	for _, name := range names {
		cells := picked[name]
		listed, isFactor := known[name]
		if !isFactor && !slices.Contains(groups, name) && t.isNumeric(name) {
			data.Covariates = append(data.Covariates, model.Covariate{Name: name, Values: parseCells(cells)})
			continue
		}
		order := levels(cells, listed)
		data.Factors = append(data.Factors, model.Factor{Name: name, Levels: order, Code: codes(cells, order)})
	}
	return picked[m.response], data
}

func parseCells(cells []string) []float64 {
	out := make([]float64, len(cells))
	for i, cell := range cells {
		out[i] = must(parseCell(cell))
	}
	return out
}

// levelsInput is the order of the factors' levels, the reference level first.
func (c *call) levelsInput() map[string][]string {
	out, given := map[string][]string{}, c.input("levels")
	o, ok := given.(*object)
	switch {
	case given == nil:
		return out
	case !ok:
		mistake("input \"levels\" must be an object")
	}
	for _, name := range o.keys {
		out[name] = must(textList("levels."+name, o.values[name]))
	}
	return out
}

// ratioTest is a likelihood-ratio test against a smaller model.
type ratioTest struct {
	model.LRTResult
	Without string
}

// ratio makes the likelihood-ratio test that an entry expects, if it does: the
// smaller model's formula stands in "without".
func (c *call) ratio(field string, test func(small modelSpec) (model.LRTResult, error)) (*ratioTest, error) {
	o, ok := c.e.Expected.values[field].(*object)
	if !ok {
		return nil, nil
	}
	text, ok := o.values["without"].(string)
	if !ok {
		mistake("%s names no smaller model in \"without\"", field)
	}
	l, err := test(must(parseFormula(text)))
	return &ratioTest{l, text}, err
}

func (c *call) fitMixed(m modelSpec, ml bool) (*mixed.Result, error) {
	cells, data := c.modelColumns(m)
	data.Response = parseCells(cells)
	return mixed.Fit(mixed.Model{Data: data, Fixed: m.fixed, Random: m.random, ML: ml})
}

// mixedOutput is a mixed model by restricted and by full likelihood, with what
// an entry asks for beside it.
type mixedOutput struct {
	*mixed.Result
	ML              *mixed.Result
	NGroups         fields
	AnovaType3      []mixed.TermTest
	RandomLRT       *ratioTest
	FixedLRT        *ratioTest
	MarginalMeans   []mixed.MarginalMean
	ContrastedPairs []mixedPair
}

type mixedPair struct {
	mixed.LevelPair
	Contrast string
}

func runMixed(c *call) (any, error) {
	m := c.model()
	c.input("contrasts") // say how the original program coded the factors; they change nothing
	fit, errFit := c.fitMixed(m, false)
	ml, errML := c.fitMixed(m, true)
	if err := errors.Join(errFit, errML); err != nil {
		return nil, err
	}
	out := mixedOutput{Result: fit, ML: ml, NGroups: fields{}, AnovaType3: fit.Anova()}
	for _, g := range fit.Groups {
		out.NGroups[g.Name] = g.N
	}
	var errR, errF error
	out.RandomLRT, errR = c.mixedRatio("random_lrt_reml", fit, false)
	out.FixedLRT, errF = c.mixedRatio("fixed_lrt_ml", ml, true)
	return out, errors.Join(errR, errF, c.marginal(m, &out))
}

func (c *call) mixedRatio(field string, large *mixed.Result, ml bool) (*ratioTest, error) {
	return c.ratio(field, func(m modelSpec) (model.LRTResult, error) {
		small, err := c.fitMixed(m, ml)
		if err != nil {
			return model.LRTResult{}, err
		}
		return mixed.LikelihoodRatio(small, large)
	})
}

// marginal adds the predicted means and pairs of the factor that the expected
// rows speak of.
func (c *call) marginal(m modelSpec, out *mixedOutput) (err error) {
	if c.e.Expected.values["marginal_means"] == nil && c.e.Expected.values["pairs"] == nil {
		return nil
	}
	_, data := c.modelColumns(m)
	i := slices.IndexFunc(data.Factors, func(f model.Factor) bool {
		return slices.ContainsFunc(m.fixed, func(t model.Term) bool { return slices.Contains(t, f.Name) }) &&
			c.speaksOf(f)
	})
	if i < 0 {
		mistake("the expected pairs or means name no factor of the model")
	}
	factor := data.Factors[i]
	if out.MarginalMeans, err = out.Means(factor.Name); err != nil {
		return err
	}
	pairs, err := out.Pairs(factor.Name)
	label := c.contrastLabels(factor.Name)
	for _, p := range pairs {
		out.ContrastedPairs = append(out.ContrastedPairs, mixedPair{p, label(factor.Levels[p.B], factor.Levels[p.A])})
	}
	return err
}

// speaksOf reports whether the expected means and pairs are about the levels of
// a factor.
func (c *call) speaksOf(factor model.Factor) bool {
	if list := c.expectedRows("marginal_means"); len(list) > 0 {
		if list[0].values["level"] != factor.Levels[0] || len(list) != len(factor.Levels) {
			return false
		}
	}
	list := c.expectedRows("pairs")
	if len(list) == 0 || len(factor.Levels) < 2 {
		return len(list) == 0
	}
	contrast, _ := list[0].values["contrast"].(string)
	return slices.Contains(contrastForms(factor.Levels[1], factor.Levels[0], factor.Name), contrast)
}

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
	lrt, err := c.ratio("lrt", func(m modelSpec) (model.LRTResult, error) {
		small, err := c.fitOrdinal(m)
		if err != nil {
			return model.LRTResult{}, err
		}
		return ordinal.LikelihoodRatio(small, fit)
	})
	return ordinalOutput{fit, lrt}, err
}

func (c *call) fitOrdinal(m modelSpec) (*ordinal.Result, error) {
	cells, data := c.modelColumns(m)
	categories := levels(cells, c.levelsInput()[m.response])
	for _, code := range codes(cells, categories) {
		data.Response = append(data.Response, float64(code))
	}
	o := ordinal.Model{Data: data, Levels: categories, Fixed: m.fixed,
		Link:   choose(c, "link", "logit", map[string]ordinal.Link{"logit": ordinal.Logit, "probit": ordinal.Probit}),
		Points: c.whole("n_agq", 1)}
	c.input("quadrature") // says how the original program integrated; it changes nothing
	for _, r := range m.random {
		if len(m.random) > 1 || len(r.Slopes) > 0 || r.NoIntercept {
			mistake("an ordinal model takes one random intercept")
		}
		o.Group = r.Group
	}
	return ordinal.Fit(o)
}
