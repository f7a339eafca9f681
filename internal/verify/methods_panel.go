package verify

import (
	"errors"

	"cloche/internal/stats/profile"
)

// panelMethods are those of panel quality and of many attributes at once.
func panelMethods() map[string]method {
	return map[string]method{
		"icc": {
			data: words("values samples assessor sample value"), inputs: words("conf"),
			fields: words("n k ms_between ms_judges ms_error ms_within icc ci f_between p_between cronbach_alpha"),
			key:    words("icc"), run: runICC,
		},
		"pca_correlation": {
			free: true,
			fields: words(`n eigenvalues explained variables vectors loadings_scaled first_row_scores
				last_row_scores`),
			key: words("eigenvalues"), run: runPCA,
		},
	}
}

func runICC(c *call) answer {
	level, errL := c.level()
	m, _, err := c.matrix(nil)
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	m = completeRows(m)
	base := fields{"n": len(m)}
	if len(m) > 0 {
		base["k"] = len(m[0])
	}
	r, err := profile.IntraclassCorrelations(m, level)
	if err != nil {
		return answer{fields: base, err: err}
	}
	forms := map[string]profile.ICC{"1,1": r.Single1, "2,1": r.Single2, "3,1": r.Single3,
		"1,k": r.Average1, "2,k": r.Average2, "3,k": r.Average3}
	values, cis := fields{}, fields{}
	for name, form := range forms {
		values[name], cis[name] = form.Value, ends(form.CI)
	}
	return answer{fields: fields{
		"n": r.N, "k": r.K, "ms_between": r.MSBetween, "ms_judges": r.MSJudges, "ms_error": r.MSError,
		"ms_within": r.MSWithin, "icc": values, "ci": cis, "f_between": r.FBetween, "p_between": r.PBetween,
		"cronbach_alpha": r.Alpha,
	}, warnings: r.Warnings}
}

func runPCA(c *call) answer {
	m, names, err := c.attributes()
	if err != nil {
		return answer{err: err}
	}
	m = completeRows(m)
	base := fields{"n": len(m), "variables": names}
	r, err := profile.PrincipalComponents(m)
	if err != nil {
		return answer{fields: base, err: err}
	}
	shown := min(3, len(r.Eigenvalues))
	base["eigenvalues"], base["explained"] = r.Eigenvalues, r.Explained
	base["vectors"], base["loadings_scaled"] = r.Vectors, r.Loadings
	base["first_row_scores"] = r.Scores[0][:shown]
	base["last_row_scores"] = r.Scores[len(r.Scores)-1][:shown]
	return answer{fields: base}
}

// attributes are the columns analysed: rows inline, or columns of the data in
// the order of the expected variables.
func (c *call) attributes() ([][]float64, []string, error) {
	if v, ok := c.e.data.get("values"); ok {
		m, err := rowsOf("values", v)
		names := c.expectedKeys("variables")
		if given := c.columnList("variables"); len(given) > 0 {
			names = given
		}
		return m, names, err
	}
	names := c.expectedKeys("variables")
	if len(names) == 0 {
		names = c.columnList("variables")
	}
	return c.wide(names)
}
