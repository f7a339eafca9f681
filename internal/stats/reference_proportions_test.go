package stats

import (
	"maps"
	"testing"
)

// proportionMethods recomputes the entries of proportions.
var proportionMethods = map[string]referenceMethod{
	"binomial_test": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[struct{ X, N int }](t, e.Data)
		in := pick[struct{ P0, Conf float64 }](t, e.Inputs)
		r, err := BinomialTest(d.X, d.N, in.P0, BinomialTestOptions{Level: in.Conf})
		fatal(t, err)
		return map[string]any{"proportion": r.Proportion, "p_two_sided": r.TwoSided, "p_greater": r.Greater,
			"p_less": r.Less, "mid_p_greater": r.MidPGreater, "clopper_pearson": ends(r.ClopperPearson),
			"wilson": ends(r.Wilson), "agresti_coull": ends(r.AgrestiCoull)}
	},
	"mcnemar": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[struct{ Table [2][2]int }](t, e.Data)
		r, err := McNemar(d.Table, 0)
		fatal(t, err)
		return map[string]any{"b": r.B, "c": r.C, "n": r.N, "chi2": r.Chi2, "p": r.P, "chi2_corrected": r.Chi2Corrected,
			"p_corrected": r.PCorrected, "exact_p": r.ExactP, "mid_p": r.MidP, "odds_ratio": r.OddsRatio,
			"odds_ratio_ci": ends(r.OddsCI), "diff": r.Difference, "diff_wald_ci": ends(r.WaldCI)}
	},
	"cochran_q": func(t *testing.T, e referenceEntry) map[string]any {
		var answers [][]bool
		for _, row := range pick[struct{ Values [][]int }](t, e.Data).Values {
			yes := make([]bool, len(row))
			for j, v := range row {
				yes[j] = v == 1
			}
			answers = append(answers, yes)
		}
		r, err := CochranQ(answers)
		fatal(t, err)
		var columns, pairs []any
		for _, g := range r.Yes {
			columns = append(columns, g)
		}
		for _, p := range r.Pairs {
			pairs = append(pairs, map[string]any{"a": p.A + 1, "b": p.B + 1, "n_only_a": p.OnlyA, "n_only_b": p.OnlyB,
				"exact_p": p.P, "exact_p_holm": p.PHolm})
		}
		return map[string]any{"n": r.N, "n_informative": r.Informative, "column_sums": columns, "q": r.Q, "df": r.DF,
			"p": r.P, "pairs_mcnemar_exact": pairs}
	},
}

// gridMethods recomputes the grids of distributions and of power.
var gridMethods = map[string]referenceMethod{
	"cdf_noncentral_t": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": NoncentralTCDF(number(row, "t"), number(row, "df"), number(row, "ncp"))}
	}),
	"cdf_noncentral_chi2": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": NoncentralChi2CDF(number(row, "x"), number(row, "df"), number(row, "lambda"))}
	}),
	"cdf_noncentral_f": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": NoncentralFCDF(number(row, "x"), number(row, "df1"), number(row, "df2"), number(row, "lambda"))}
	}),
	"quantile_t": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": TQuantile(number(row, "p"), number(row, "df"))}
	}),
	"cdf_signed_rank": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": SignedRankCDF(int(number(row, "w")), int(number(row, "n")))}
	}),
	"cdf_mann_whitney": grid(func(t *testing.T, row map[string]any) map[string]any {
		return map[string]any{"value": MannWhitneyCDF(int(number(row, "u")), int(number(row, "m")), int(number(row, "n")))}
	}),
	"power_t_paired":           grid(powerRow(false)),
	"power_t_two_sample":       grid(powerRow(true)),
	"sample_size_t_paired":     grid(sampleSizeRow(false)),
	"sample_size_t_two_sample": grid(sampleSizeRow(true)),
	"power_two_proportions": grid(func(t *testing.T, row map[string]any) map[string]any {
		r, err := PowerTwoProportions(int(number(row, "n")), number(row, "p1"), number(row, "p2"), number(row, "alpha"))
		fatal(t, err)
		return map[string]any{"power_arcsine": r.Arcsine, "power_normal": r.Normal, "power_normal_strict": r.NormalStrict}
	}),
	"power_binomial_exact": func(t *testing.T, e referenceEntry) map[string]any {
		in := pick[struct {
			P0, P1, Alpha, Power float64
			Alternative          string
		}](t, e.Inputs)
		r, err := SampleSizeBinomial(in.Power, 400, BinomialDesign{P0: in.P0, P1: in.P1, Alpha: in.Alpha, Alternative: sideOf(t, in.Alternative)})
		fatal(t, err)
		return map[string]any{"n_first": r.First.N, "critical_at_n_first": r.First.Critical, "alpha_at_n_first": r.First.Alpha,
			"power_at_n_first": r.First.Power, "n_safe": r.Stable.N, "critical_at_n_safe": r.Stable.Critical,
			"power_at_n_safe": r.Stable.Power}
	},
}

func grid(f func(t *testing.T, row map[string]any) map[string]any) referenceMethod {
	return func(t *testing.T, e referenceEntry) map[string]any {
		return gridOf(t, e, func(row map[string]any) map[string]any { return f(t, row) })
	}
}

func powerRow(independent bool) func(t *testing.T, row map[string]any) map[string]any {
	return func(t *testing.T, row map[string]any) map[string]any {
		r, err := PowerT(int(number(row, "n")), TDesign{Independent: independent, Effect: number(row, "d"),
			Alpha: number(row, "alpha"), Alternative: sideOf(t, row["alternative"].(string))})
		fatal(t, err)
		return map[string]any{"power": r.Power, "power_one_tail_only": r.RightTail}
	}
}

func sampleSizeRow(independent bool) func(t *testing.T, row map[string]any) map[string]any {
	return func(t *testing.T, row map[string]any) map[string]any {
		r, err := SampleSizeT(number(row, "power"), TDesign{Independent: independent, Effect: number(row, "d"),
			Alpha: number(row, "alpha"), Alternative: sideOf(t, row["alternative"].(string))})
		fatal(t, err)
		return map[string]any{"n": r.N, "n_fractional": r.NFractional, "power_at_n": r.Power}
	}
}

func TestReferenceProportionsAndPower(t *testing.T) {
	methods := maps.Clone(proportionMethods)
	maps.Copy(methods, gridMethods)
	checkReference(t, methods)
}
