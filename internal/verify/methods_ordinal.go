package verify

import (
	"errors"

	"cloche/internal/stats/ordinal"
)

// ordinalMethods are cumulative link models for category scales.
func ordinalMethods() map[string]method {
	return map[string]method{
		"clm": {free: true, inputs: words("formula_r levels link response fixed random"),
			fields: words("n log_lik aic coefficients lrt"), key: words("coefficients.z"), run: runOrdinal},
		"clmm": {free: true, inputs: words("formula_r levels link n_agq quadrature response fixed random"),
			fields: words("n log_lik aic random_variance random_sd coefficients lrt"),
			key:    words("coefficients.z"), run: runOrdinal},
	}
}

func runOrdinal(c *call) answer {
	m, err := c.model()
	if err != nil {
		return answer{err: err}
	}
	if withGroup := c.e.method == "clmm"; withGroup != (len(m.random) > 0) {
		return answer{err: bad("a %s model with %d random terms", c.e.method, len(m.random))}
	}
	fit, err := c.fitOrdinal(m)
	if err != nil {
		return answer{err: err}
	}
	var list []fields
	for _, k := range fit.Coefficients {
		list = append(list, fields{"term": k.Name, "estimate": k.Estimate, "se": k.SE, "z": k.Z, "p": k.P})
	}
	f := fields{"n": fit.N, "log_lik": fit.LogLik, "aic": fit.AIC, "coefficients": rows{words("term"), list}}
	if c.e.method == "clmm" {
		f["random_variance"], f["random_sd"] = fit.RandomVariance, fit.RandomSD
	}
	small, text, asked, err := c.without("lrt")
	if err != nil || !asked {
		return answer{fields: f, warnings: fit.Warnings, err: err}
	}
	nested, err := c.fitOrdinal(small)
	if err != nil {
		return answer{fields: f, err: err}
	}
	l, err := ordinal.LikelihoodRatio(nested, fit)
	f["lrt"] = fields{"without": text, "chi2": l.ChiSq, "df": l.DF, "p": l.P}
	return answer{fields: f, warnings: gather(fit.Warnings, nested.Warnings), err: err}
}

func (c *call) fitOrdinal(m modelSpec) (*ordinal.Result, error) {
	cells, data, err := c.modelColumns(m)
	known, errL := c.levelsInput()
	link, errLink := c.link()
	points, errP := c.input("n_agq", 1)
	if err := errors.Join(err, errL, errLink, errP); err != nil {
		return nil, err
	}
	n, err := whole(points, "n_agq")
	if err != nil {
		return nil, err
	}
	categories := levels(cells, known[m.response])
	for _, code := range codes(cells, categories) {
		data.Response = append(data.Response, float64(code))
	}
	o := ordinal.Model{Data: data, Levels: categories, Fixed: m.fixed, Link: link, Points: n}
	if len(m.random) > 1 || len(m.random) == 1 && (len(m.random[0].Slopes) > 0 || m.random[0].NoIntercept) {
		return nil, bad("an ordinal model takes one random intercept")
	}
	if len(m.random) == 1 {
		o.Group = m.random[0].Group
	}
	return ordinal.Fit(o)
}

func (c *call) link() (ordinal.Link, error) {
	name, err := c.text("link", "logit")
	if err != nil {
		return 0, err
	}
	link, known := map[string]ordinal.Link{"logit": ordinal.Logit, "probit": ordinal.Probit}[name]
	if !known {
		return 0, bad("unknown link %q: logit or probit", name)
	}
	return link, nil
}
