package verify

import (
	"errors"
	"maps"

	"cloche/internal/stats/anova"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// blockMethods compare samples rated by the same assessors by ranks or by
// analysis of variance.
func blockMethods() map[string]method {
	table := words("values samples assessor sample value")
	return map[string]method{
		"friedman": {data: table, free: true,
			fields: words(`n k rank_sums mean_ranks chi2 df p kendall_w f f_df1 f_df2 f_p
				conover_lsd_rank_sums normal_lsd_rank_sums`),
			key: words("chi2 p"), run: runFriedman},
		"page": {data: table, free: true,
			fields: words(`n k l mean_l var_l z p_greater var_l_no_ties z_no_ties p_greater_no_ties
				exact_p_greater exact_p_less`),
			key: words("z p_greater"), run: runPage},
		"rm_anova": {data: table, free: true, inputs: words("conf"),
			fields: words(`n k means sds ss_sample ss_assessor ss_error df1 df2 ms_error f p f_assessor p_assessor
				partial_eta2 generalised_eta2 gg_epsilon gg_df1 gg_df2 gg_p hf_epsilon hf_p lower_bound_p
				mauchly_w mauchly_p_base_r mauchly_p_car lsd_5pc pairs`),
			key: words("f p"), run: runRMAnova},
		"rm_anova_two_way": {free: true, fields: words("n effects cell_means"), key: words("effects.f"),
			run: runRMAnovaTwoWay},
		"crossover_2x2": {data: words("ab ba"), inputs: words("conf"),
			fields: words(`n_ab n_ba treatment_a_minus_b period_1_minus_2 carryover_sum_ab_minus_ba
				first_period_only_a_minus_b`),
			key: words("treatment_a_minus_b.t"), run: runCrossover},
	}
}

// shape is the size of the complete rows of a table, known even when the
// method refuses.
func shape(m [][]float64) fields {
	full := completeRows(m)
	f := fields{"n": len(full)}
	if len(m) > 0 {
		f["k"] = len(m[0])
	}
	return f
}

func runFriedman(c *call) answer {
	m, _, err := c.matrix(nil)
	if err != nil {
		return answer{err: err}
	}
	r, err := ranks.Friedman(m)
	if err != nil {
		return answer{fields: shape(m), err: err}
	}
	return answer{fields: fields{
		"n": r.N, "k": r.K, "rank_sums": r.RankSums, "mean_ranks": r.MeanRanks, "chi2": r.ChiSq, "df": r.DF, "p": r.P,
		"kendall_w": r.W, "f": r.F, "f_df1": r.FDF1, "f_df2": r.FDF2, "f_p": r.FP,
		"conover_lsd_rank_sums": r.ConoverLSD, "normal_lsd_rank_sums": r.NormalLSD,
	}, warnings: r.Warnings}
}

func runPage(c *call) answer {
	m, _, err := c.matrix(nil)
	if err != nil {
		return answer{err: err}
	}
	r, err := ranks.Page(m)
	if err != nil {
		return answer{fields: shape(m), err: err}
	}
	return answer{fields: fields{
		"n": r.N, "k": r.K, "l": r.L, "mean_l": r.MeanL, "var_l": r.VarL, "z": r.Z, "p_greater": r.P,
		"var_l_no_ties": r.VarLNoTies, "z_no_ties": r.ZNoTies, "p_greater_no_ties": r.PNoTies,
		"exact_p_greater": r.ExactPGreater, "exact_p_less": r.ExactPLess,
	}, warnings: r.Warnings}
}

func runRMAnova(c *call) answer {
	level, errL := c.level()
	m, names, err := c.matrix(c.expectedKeys("means"))
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := anova.Repeated(m, anova.RepeatedOptions{Level: level})
	if err != nil {
		return answer{fields: shape(m), err: err}
	}
	if len(names) != r.K {
		return answer{err: bad("%d names for %d samples", len(names), r.K)}
	}
	f := fields{
		"n": r.N, "k": r.K, "means": named(names, r.Means), "sds": named(names, r.SDs), "ss_sample": r.SSSample,
		"ss_assessor": r.SSAssessor, "ss_error": r.SSError, "df1": r.DF1, "df2": r.DF2, "ms_error": r.MSError, "f": r.F,
		"p": r.P, "f_assessor": r.FAssessor, "p_assessor": r.PAssessor, "partial_eta2": r.PartialEta2,
		"generalised_eta2": r.GeneralisedEta2, "lsd_5pc": r.LSD,
	}
	if s := r.Sphericity; s.Available { // two samples are always spherical
		maps.Copy(f, fields{"gg_epsilon": s.GG, "gg_df1": s.GGDF1, "gg_df2": s.GGDF2, "gg_p": s.GGP, "hf_epsilon": s.HF,
			"hf_p": s.HFP, "lower_bound_p": s.LowerBoundP, "mauchly_w": s.MauchlyW, "mauchly_p_base_r": s.MauchlyP,
			"mauchly_p_car": s.MauchlyP})
	}
	var list []fields
	for _, p := range r.Pairs {
		list = append(list, fields{"a": names[p.A], "b": names[p.B], "diff_b_minus_a": p.Diff, "t_paired": p.TPaired,
			"df_paired": p.DFPaired, "p_paired": p.PPaired, "ci_lo": p.CI.Lo, "ci_hi": p.CI.Hi, "d_z": p.Dz,
			"p_holm": p.PHolm, "p_bh": p.PBH, "p_bonferroni": p.PBonferroni, "t_pooled": p.TPooled, "p_lsd": p.PLSD,
			"p_tukey": p.PTukey, "tukey_lo": p.Tukey.Lo, "tukey_hi": p.Tukey.Hi})
	}
	f["pairs"] = rows{words("a b"), list}
	return answer{fields: f, warnings: r.Warnings}
}

// named makes an object of values by name.
func named(names []string, values []float64) fields {
	f := fields{}
	for i, v := range values {
		f[names[i]] = v
	}
	return f
}

func runRMAnovaTwoWay(c *call) answer {
	cells, a, b, err := c.cells()
	if err != nil {
		return answer{err: err}
	}
	r, err := anova.RepeatedTwoWay(cells)
	if err != nil {
		return answer{err: err}
	}
	var effects, means []fields
	for _, e := range []struct {
		name string
		anova.RepeatedEffect
	}{{"A", r.A}, {"B", r.B}, {"A:B", r.AB}} {
		effects = append(effects, fields{"effect": e.name, "ss": e.SS, "ss_error": e.SSError, "df1": e.DF1,
			"df2": e.DF2,
			"f":   e.F, "p": e.P, "gg_epsilon": e.GG, "gg_p": e.GGP, "hf_epsilon": e.HF, "hf_p": e.HFP,
			"partial_eta2": e.PartialEta2, "generalised_eta2": e.GeneralisedEta2})
	}
	for i, row := range r.CellMeans {
		for j, v := range row {
			means = append(means, fields{"A": a[i], "B": b[j], "v": v})
		}
	}
	return answer{fields: fields{"n": r.N, "effects": rows{words("effect"), effects},
		"cell_means": rows{words("A B"), means}}, warnings: r.Warnings}
}

// cells is the table [assessor][A][B], repeated cells averaged, empty ones NaN.
func (c *call) cells() (cells [][][]float64, a, b []string, err error) {
	values, errV := c.numbers("value")
	who, errW := c.names("assessor")
	nameA, errA := c.names("A")
	nameB, errB := c.names("B")
	if err := errors.Join(errV, errW, errA, errB); err != nil {
		return nil, nil, nil, err
	}
	people := levels(who, nil)
	a, b = levels(nameA, nil), levels(nameB, nil)
	codeA, codeB := codes(nameA, a), codes(nameB, b)
	column := make([]int, len(values))
	for i := range column {
		if column[i] = codeA[i]*len(b) + codeB[i]; codeA[i] < 0 || codeB[i] < 0 {
			column[i] = -1
		}
	}
	flat := pivotTable(values, codes(who, people), column, len(people), len(a)*len(b))
	for _, row := range flat {
		table := make([][]float64, len(a))
		for i := range table {
			table[i] = row[i*len(b) : (i+1)*len(b)]
		}
		cells = append(cells, table)
	}
	return cells, a, b, nil
}

func runCrossover(c *call) answer {
	level, errL := c.level()
	ab, errAB := c.periods("ab")
	ba, errBA := c.periods("ba")
	if err := errors.Join(errL, errAB, errBA); err != nil {
		return answer{err: err}
	}
	base := fields{"n_ab": len(ab), "n_ba": len(ba)}
	r, err := ttest.Crossover(ab, ba, level)
	if err != nil {
		return answer{fields: base, err: err}
	}
	for name, e := range map[string]ttest.CrossoverEffect{"treatment_a_minus_b": r.Treatment,
		"period_1_minus_2":          r.Period,
		"carryover_sum_ab_minus_ba": r.CarryOver, "first_period_only_a_minus_b": r.FirstPeriod} {
		base[name] = fields{"estimate": e.Estimate, "se": e.SE, "t": e.T, "df": e.DF, "p": e.P, "ci": ends(e.CI)}
	}
	base["n_ab"], base["n_ba"] = r.NAB, r.NBA
	return answer{fields: base, warnings: r.Warnings}
}

// periods reads one sequence group: rows of period 1 and period 2; assessors
// with a missing period are left out.
func (c *call) periods(name string) ([][2]float64, error) {
	v, ok := c.e.data.get(name)
	if !ok {
		return nil, bad("data %q are missing", name)
	}
	m, err := rowsOf(name, v)
	if err != nil {
		return nil, err
	}
	var out [][2]float64
	for i, row := range completeRows(m) {
		if len(row) != 2 {
			return nil, bad("data %s[%d]: two periods belong here", name, i)
		}
		out = append(out, [2]float64{row[0], row[1]})
	}
	return out, nil
}
