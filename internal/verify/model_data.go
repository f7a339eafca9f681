package verify

import (
	"math"
	"slices"
	"strings"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

// modelSpec is what an entry says of a regression model: which columns it uses and
// in which role.
type modelSpec struct {
	response string
	fixed    []model.Term
	random   []mixed.RandomTerm
}

// fromFormula turns a formula into a model.
func fromFormula(text string) (modelSpec, error) {
	f, err := parseFormula(text)
	if err != nil {
		return modelSpec{}, badEntry{err}
	}
	m := modelSpec{response: f.response}
	for _, t := range f.fixed {
		m.fixed = append(m.fixed, model.Term(t))
	}
	for _, r := range f.random {
		term := mixed.RandomTerm{Group: r.group, NoIntercept: !r.intercept}
		for _, s := range r.slopes {
			if len(s) > 1 {
				return modelSpec{}, bad("formula %q: a random slope must be one variable", text)
			}
			term.Slopes = append(term.Slopes, s[0])
		}
		m.random = append(m.random, term)
	}
	return m, nil
}

// model reads the structured inputs; what they leave out comes from the
// formula.
func (c *call) model() (modelSpec, error) {
	text, err := c.text("formula_r", "")
	if err != nil {
		return modelSpec{}, err
	}
	_, structured := c.e.inputs.get("fixed")
	if !structured {
		if text == "" {
			return modelSpec{}, bad("neither fixed terms nor a formula are given")
		}
		return fromFormula(text)
	}
	m := modelSpec{}
	if m.response, err = c.text("response", ""); err != nil {
		return m, err
	}
	if m.response == "" {
		return m, bad("input \"response\" is missing")
	}
	terms, err := textList("fixed", c.e.inputs.values["fixed"])
	if err != nil {
		return m, err
	}
	for _, t := range terms {
		m.fixed = append(m.fixed, strings.Split(t, ":"))
	}
	m.random, err = c.randomTerms()
	return m, err
}

// textList also takes a bare text, null and an empty object as lists.
func textList(name string, v any) ([]string, error) {
	switch v := v.(type) {
	case nil:
		return nil, nil
	case string:
		return []string{v}, nil
	case []any:
		out := make([]string, len(v))
		for i, item := range v {
			s, ok := cellText(item)
			if !ok {
				return nil, bad("%s[%d]: a text belongs here", name, i)
			}
			out[i] = s
		}
		return out, nil
	}
	return nil, bad("%q must be a list of texts", name)
}

// randomTerms reads [{group, terms}], terms like "1", "1 + x" or "0 + x".
func (c *call) randomTerms() ([]mixed.RandomTerm, error) {
	v, _ := c.e.inputs.get("random")
	list, ok := v.([]any)
	if v != nil && !ok {
		return nil, bad("input \"random\" must be a list")
	}
	var out []mixed.RandomTerm
	for i, item := range list {
		o, ok := item.(*object)
		if !ok {
			return nil, bad("random[%d] must be an object with group and terms", i)
		}
		group, okG := o.values["group"].(string)
		terms, okT := cellText(o.values["terms"])
		if !okG || !okT {
			return nil, bad("random[%d] needs the texts group and terms", i)
		}
		m, err := fromFormula("y ~ (" + terms + " | " + group + ")")
		if err != nil {
			return nil, err
		}
		out = append(out, m.random...)
	}
	return out, nil
}

// variables lists the columns a model uses; groups are always factors.
func (m modelSpec) variables() (all []string, groups []string) {
	add := func(to *[]string, names ...string) {
		for _, n := range names {
			if !slices.Contains(*to, n) {
				*to = append(*to, n)
			}
		}
	}
	for _, t := range m.fixed {
		add(&all, t...)
	}
	for _, r := range m.random {
		add(&all, r.Group...)
		add(&groups, r.Group...)
		add(&all, r.Slopes...)
	}
	return all, groups
}

// modelColumns reads the columns of a model for the rows without a missing
// cell. The response is kept as text: it is a number or a category.
func (c *call) modelColumns(m modelSpec) (response []string, data model.Data, err error) {
	t, err := c.table()
	if err != nil {
		return nil, data, err
	}
	names, groups := m.variables()
	for _, name := range append([]string{m.response}, names...) {
		if _, ok := t.cells[name]; !ok {
			return nil, data, bad("no column %q: there are %s", name, strings.Join(t.names, ", "))
		}
	}
	keep := completeCells(t, append([]string{m.response}, names...))
	pick := func(name string) []string {
		out := make([]string, len(keep))
		for k, i := range keep {
			out[k] = t.cells[name][i]
		}
		return out
	}
	known, err := c.levelsInput()
	if err != nil {
		return nil, data, err
	}
	for _, name := range names {
		cells := pick(name)
		listed, isFactor := known[name]
		if !isFactor && !slices.Contains(groups, name) && t.isNumeric(name) {
			values := make([]float64, len(cells))
			for i, cell := range cells {
				values[i], _ = parseCell(cell) // isNumeric has parsed every cell
			}
			data.Covariates = append(data.Covariates, model.Covariate{Name: name, Values: values})
			continue
		}
		order := levels(cells, listed)
		data.Factors = append(data.Factors, model.Factor{Name: name, Levels: order, Code: codes(cells, order)})
	}
	return pick(m.response), data, nil
}

// completeCells lists the rows in which no named column is empty.
func completeCells(t *table, names []string) []int {
	var keep []int
	for i := range t.rows {
		if !slices.ContainsFunc(names, func(n string) bool { return t.cells[n][i] == "" }) {
			keep = append(keep, i)
		}
	}
	return keep
}

// levelsInput is the order of the factors' levels, the reference level first.
func (c *call) levelsInput() (map[string][]string, error) {
	o, err := objectOrEmpty(c.e.inputs.values["levels"])
	if err != nil {
		return nil, bad("input \"levels\" must be an object")
	}
	out := map[string][]string{}
	for _, name := range o.keys {
		if out[name], err = textList("levels."+name, o.values[name]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// numericResponse reads the response as numbers.
func numericResponse(cells []string) ([]float64, error) {
	out := make([]float64, len(cells))
	for i, cell := range cells {
		f, err := parseCell(cell)
		if err != nil || math.IsNaN(f) {
			return nil, bad("the response %q is not a number", cell)
		}
		out[i] = f
	}
	return out, nil
}
