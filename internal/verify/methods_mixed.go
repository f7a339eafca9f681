package verify

import (
	"slices"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

// mixedMethods are linear mixed models.
func mixedMethods() map[string]method {
	return map[string]method{
		"lmm": {free: true, inputs: words("contrasts fixed formula_r levels random response"),
			fields: words(`n_obs n_groups log_lik_reml log_lik_ml aic_ml bic_ml fixed anova_type3 variance sigma2
				singular random_lrt_reml fixed_lrt_ml pairs marginal_means`),
			key: words("fixed.t"), run: runMixed},
	}
}

func runMixed(c *call) answer {
	m, err := c.model()
	if err != nil {
		return answer{err: err}
	}
	fit, err := c.fitMixed(m, false)
	if err != nil {
		return answer{err: err}
	}
	ml, err := c.fitMixed(m, true)
	if err != nil {
		return answer{err: err}
	}
	f := mixedFields(fit)
	f["log_lik_ml"], f["aic_ml"], f["bic_ml"] = ml.LogLik, ml.AIC, ml.BIC
	a := answer{fields: f, warnings: gather(fit.Warnings, ml.Warnings)}
	for name, reml := range map[string]bool{"random_lrt_reml": true, "fixed_lrt_ml": false} {
		large := ml
		if reml {
			large = fit
		}
		if f[name], err = c.mixedLRT(name, large, !reml); err != nil {
			return answer{fields: f, err: err}
		}
	}
	if err := c.marginal(fit, f); err != nil {
		return answer{fields: f, err: err}
	}
	return a
}

func (c *call) fitMixed(m modelSpec, ml bool) (*mixed.Result, error) {
	cells, data, err := c.modelColumns(m)
	if err != nil {
		return nil, err
	}
	if data.Response, err = numericResponse(cells); err != nil {
		return nil, err
	}
	return mixed.Fit(mixed.Model{Data: data, Fixed: m.fixed, Random: m.random, ML: ml})
}

func mixedFields(fit *mixed.Result) fields {
	groups := fields{}
	for _, g := range fit.Groups {
		groups[g.Name] = g.N
	}
	var fixed, anova, variance []fields
	for _, t := range fit.Fixed {
		fixed = append(fixed, fields{"term": t.Name, "estimate": t.Estimate, "se": t.SE, "df": t.DF, "t": t.T,
			"p": t.P})
	}
	for _, t := range fit.Anova() {
		anova = append(anova, fields{"term": t.Term.String(), "df1": t.DF1, "df2": t.DF2, "f": t.F, "p": t.P})
	}
	for _, v := range fit.Variances {
		variance = append(variance, fields{"group": v.Group, "term1": v.Term1, "term2": v.Term2,
			"variance_or_covariance": v.Variance, "sd_or_correlation": v.SD})
	}
	return fields{"n_obs": fit.NObs, "n_groups": groups, "log_lik_reml": fit.LogLik,
		"fixed":       rows{words("term"), fixed},
		"anova_type3": rows{words("term"), anova}, "variance": rows{words("group term1 term2"), variance},
		"sigma2": fit.Sigma2, "singular": fit.Singular}
}

// without is the smaller model that an expected likelihood-ratio test names.
func (c *call) without(field string) (m modelSpec, text string, asked bool, err error) {
	o, ok := c.e.expected.values[field].(*object)
	if !ok {
		return m, "", false, nil
	}
	text, ok = o.values["without"].(string)
	if !ok {
		return m, "", false, bad("%s names no smaller model in \"without\"", field)
	}
	m, err = fromFormula(text)
	return m, text, true, err
}

func (c *call) mixedLRT(field string, large *mixed.Result, ml bool) (any, error) {
	m, text, asked, err := c.without(field)
	if err != nil || !asked {
		return nil, err
	}
	small, err := c.fitMixed(m, ml)
	if err != nil {
		return nil, err
	}
	l, err := mixed.LikelihoodRatio(small, large)
	if err != nil {
		return nil, err
	}
	return fields{"without": text, "chi2": l.ChiSq, "df": l.DF, "p": l.P, "p_naive": l.P}, nil
}

// marginal adds the predicted means and pairs of the factor that the expected
// rows speak of.
func (c *call) marginal(fit *mixed.Result, f fields) error {
	_, wantMeans := c.e.expected.get("marginal_means")
	_, wantPairs := c.e.expected.get("pairs")
	if !wantMeans && !wantPairs {
		return nil
	}
	m, err := c.model()
	if err != nil {
		return err
	}
	_, data, err := c.modelColumns(m)
	if err != nil {
		return err
	}
	for _, factor := range data.Factors {
		if !hasEffect(m, factor.Name) || !c.speaksOf(factor) {
			continue
		}
		return c.marginalOf(fit, factor, f)
	}
	return bad("the expected pairs or means name no factor of the model")
}

func hasEffect(m modelSpec, name string) bool {
	return slices.ContainsFunc(m.fixed, func(t model.Term) bool { return slices.Contains(t, name) })
}

// speaksOf reports whether the expected means and pairs are about the levels of
// a factor.
func (c *call) speaksOf(factor model.Factor) bool {
	if list := c.expectedRows("marginal_means"); len(list) > 0 {
		level, _ := list[0].get("level")
		if level != factor.Levels[0] || len(list) != len(factor.Levels) {
			return false
		}
	}
	list := c.expectedRows("pairs")
	if len(list) == 0 {
		return true
	}
	if len(factor.Levels) < 2 {
		return false
	}
	a, b := factor.Levels[0], factor.Levels[1]
	contrast, _ := list[0].values["contrast"].(string)
	return slices.Contains(contrastForms(b, a, factor.Name), contrast)
}

// expectedRows are the objects of an expected list.
func (c *call) expectedRows(field string) []*object {
	list, _ := c.e.expected.values[field].([]any)
	var out []*object
	for _, item := range list {
		if o, ok := item.(*object); ok {
			out = append(out, o)
		}
	}
	return out
}

func (c *call) marginalOf(fit *mixed.Result, factor model.Factor, f fields) error {
	means, err := fit.Means(factor.Name)
	if err != nil {
		return err
	}
	pairs, err := fit.Pairs(factor.Name)
	if err != nil {
		return err
	}
	var meanRows, pairRows []fields
	for _, m := range means {
		meanRows = append(meanRows, fields{"level": m.Level, "mean": m.Mean, "se": m.SE, "df": m.DF, "lo": m.CI.Lo,
			"hi": m.CI.Hi})
	}
	label := c.contrastLabels(factor.Name)
	for _, p := range pairs {
		pairRows = append(pairRows, fields{"contrast": label(factor.Levels[p.B], factor.Levels[p.A]),
			"estimate": p.Estimate,
			"se":       p.SE, "df": p.DF, "t": p.T, "p": p.P, "p_holm": p.PHolm, "p_tukey": p.PTukey})
	}
	f["marginal_means"], f["pairs"] = rows{words("level"), meanRows}, rows{words("contrast"), pairRows}
	return nil
}
