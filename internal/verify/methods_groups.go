package verify

import (
	"math"
	"strings"

	"cloche/internal/stats/anova"
)

// groupMethods are analyses of variance between groups and in blocks.
func groupMethods() map[string]method {
	return map[string]method{
		"oneway_anova": {data: words("value group"), free: true, inputs: words("conf"),
			fields: words(`n k means counts ss_between ss_within df1 df2 ms_within f p eta2 omega2 welch_f welch_df1
				welch_df2 welch_p kruskal_chi2 kruskal_df kruskal_p pairs`),
			key: words("f p"), run: runOneWay},
		"twoway_anova": {free: true, fields: words("type_2 type_3 ss_residual df_residual"),
			key: words("type_3.f"), run: runTwoWay},
		"incomplete_blocks": {free: true,
			fields: words(`t b k r lambda efficiency f df1 df2 p ms_error adjusted_means se_mean pairs durbin_chi2
				durbin_df durbin_p`),
			key: words("f p"), run: runIncompleteBlocks},
		"partial_f": {data: words("value base tested"), fields: words("f df1 df2 p"), key: words("f p"),
			run: runPartialF},
	}
}

// runPartialF tests the levels of one factor with those of another allowed for.
func runPartialF(c *call) answer {
	y, codes, names, err := c.coded([]string{"base", "tested"}, [][]string{nil, nil})
	if err != nil {
		return answer{err: err}
	}
	r := anova.PartialF(y, indicators(codes[0], len(names[0])), indicators(codes[1], len(names[1])), 0)
	return answer{fields: fields{"f": r.F, "df1": r.DF1, "df2": r.DF2, "p": r.P}}
}

// indicators has a column for each level.
func indicators(codes []int, levels int) [][]float64 {
	columns := make([][]float64, levels)
	for j := range columns {
		columns[j] = make([]float64, len(codes))
		for i, code := range codes {
			if code == j {
				columns[j][i] = 1
			}
		}
	}
	return columns
}

func runOneWay(c *call) answer {
	groups, names, err := c.groups(c.expectedKeys("means"))
	if err != nil {
		return answer{err: err}
	}
	r, err := anova.OneWay(groups)
	if err != nil {
		return answer{fields: groupSizes(groups, names), err: err}
	}
	f := groupSizes(groups, names)
	for name, v := range map[string]any{
		"n": r.N, "k": r.K, "means": named(names, r.Means), "ss_between": r.SSBetween, "ss_within": r.SSWithin,
		"df1": r.DF1, "df2": r.DF2, "ms_within": r.MSWithin, "f": r.F, "p": r.P, "eta2": r.Eta2, "omega2": r.Omega2,
		"welch_f": r.WelchF, "welch_df1": r.WelchDF1, "welch_df2": r.WelchDF2, "welch_p": r.WelchP,
		"kruskal_chi2": r.Kruskal.ChiSq, "kruskal_df": r.Kruskal.DF, "kruskal_p": r.Kruskal.P,
	} {
		f[name] = v
	}
	var list []fields
	for _, p := range r.Pairs {
		list = append(list, fields{"a": names[p.A], "b": names[p.B], "diff_b_minus_a": p.Diff, "se": p.SE, "t": p.T,
			"p": p.P, "lsd": p.LSD, "p_holm": p.PHolm, "p_bh": p.PBH, "p_tukey": p.PTukey,
			"tukey_lo": p.Tukey.Lo, "tukey_hi": p.Tukey.Hi})
	}
	f["pairs"] = rows{words("a b"), list}
	return answer{fields: f, warnings: r.Warnings}
}

func groupSizes(groups [][]float64, names []string) fields {
	counts, n := fields{}, 0
	for i, g := range groups {
		counts[names[i]] = len(g)
		n += len(g)
	}
	return fields{"n": n, "k": len(groups), "counts": counts}
}

func runTwoWay(c *call) answer {
	y, codes, _, err := c.coded([]string{"A", "B"}, [][]string{nil, nil})
	if err != nil {
		return answer{err: err}
	}
	r, err := anova.TwoWay(y, codes[0], codes[1])
	if err != nil {
		return answer{err: err}
	}
	table := func(effects [3]anova.Effect) rows {
		var list []fields
		for i, e := range effects {
			list = append(list, fields{"effect": [...]string{"A", "B", "A:B"}[i], "ss": e.SS, "df": e.DF, "f": e.F,
				"p": e.P})
		}
		return rows{words("effect"), list}
	}
	f := fields{"ss_residual": r.SSResidual, "df_residual": r.DFResidual}
	f["type_2"], f["type_3"] = table(r.TypeII), table(r.TypeIII)
	return answer{fields: f, warnings: r.Warnings}
}

// coded returns the column "value" with the 0-based codes and levels of other
// columns, rows with a missing cell left out.
func (c *call) coded(roles []string, first [][]string) (y []float64, code [][]int, names [][]string, err error) {
	values, err := c.numbers("value")
	if err != nil {
		return nil, nil, nil, err
	}
	raw := make([][]int, len(roles))
	names = make([][]string, len(roles))
	for r, role := range roles {
		cells, err := c.names(role)
		if err != nil {
			return nil, nil, nil, err
		}
		kept := append([]string(nil), cells...)
		for i := range kept {
			if math.IsNaN(values[i]) {
				kept[i] = "" // a level of missing values only is no level
			}
		}
		names[r] = levels(kept, first[r])
		raw[r] = codes(kept, names[r])
	}
	code = make([][]int, len(roles))
	for i, v := range values {
		if math.IsNaN(v) || anyNegative(raw, i) {
			continue
		}
		y = append(y, v)
		for r := range roles {
			code[r] = append(code[r], raw[r][i])
		}
	}
	return y, code, names, nil
}

func anyNegative(codes [][]int, i int) bool {
	for _, c := range codes {
		if c[i] < 0 {
			return true
		}
	}
	return false
}

func runIncompleteBlocks(c *call) answer {
	y, code, names, err := c.coded([]string{"block", "sample"}, [][]string{nil, c.expectedKeys("adjusted_means")})
	if err != nil {
		return answer{err: err}
	}
	r, err := anova.IncompleteBlocks(y, code[0], code[1])
	if err != nil {
		return answer{err: err}
	}
	samples := names[1]
	f := fields{
		"t": r.T, "b": r.B, "k": r.K, "r": r.R, "lambda": r.Lambda, "efficiency": r.Efficiency, "f": r.F, "df1": r.DF1,
		"df2": r.DF2, "p": r.P, "ms_error": r.MSError, "adjusted_means": named(samples, r.AdjustedMeans),
		"durbin_chi2": r.DurbinChiSq, "durbin_df": r.DurbinDF, "durbin_p": r.DurbinP,
	}
	if len(r.SEMeans) > 0 {
		f["se_mean"] = r.SEMeans[0]
	}
	label := c.contrastLabels("treat", c.column("sample"))
	var list []fields
	for _, p := range r.Pairs {
		list = append(list, fields{"contrast": label(samples[p.B], samples[p.A]), "estimate": p.Diff, "se": p.SE,
			"t": p.T, "p": p.P, "p_holm": p.PHolm})
	}
	f["pairs"] = rows{words("contrast"), list}
	return answer{fields: f, warnings: r.Warnings}
}

// contrastLabels names a contrast of two levels as the expected pairs do: in
// the first of the forms of [contrastForms] that the file uses.
func (c *call) contrastLabels(factors ...string) func(b, a string) string {
	expected := map[string]bool{}
	for _, o := range c.expectedRows("pairs") {
		if s, ok := o.values["contrast"].(string); ok {
			expected[s] = true
		}
	}
	return func(b, a string) string {
		forms := contrastForms(b, a, factors...)
		for _, f := range forms {
			if expected[f] {
				return f
			}
		}
		return forms[0]
	}
}

// contrastForms are the ways to write a contrast of two levels: "B - A", with
// the factor's name before levels that are numbers, and with brackets around
// levels that hold a sign of arithmetic.
func contrastForms(b, a string, factors ...string) []string {
	bracketed := func(s string) string {
		if strings.ContainsAny(s, "+-*/") {
			return "(" + s + ")"
		}
		return s
	}
	var out []string
	for _, f := range append([]string{""}, factors...) {
		out = append(out, f+b+" - "+f+a, bracketed(f+b)+" - "+bracketed(f+a))
	}
	return out
}
