package verify

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"cloche/internal/stats/anova"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/profile"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// methods is the vocabulary: every method that a reference file may name.
var methods = sync.OnceValue(func() map[string]method {
	all := map[string]method{}
	for _, m := range slices.Concat(pairedTable, twoSampleTable, blockTable, groupTable, countTable, lineTable,
		doseTable, peopleTable, recordTable, sizeTable, distributionTable, aboutRightTable, lotteryTable, looksTable,
		evidenceTable) {
		all[m.id] = m
	}
	return all
})

// Parts that several methods share.
const (
	hodgesLehmann = "estimate n_averages k ci achieved_conf=Achieved"
	exactSides    = " p_two_sided=TwoSided p_greater=Greater p_less=Less "
	exactRanks    = ` exact_p_two_sided=ExactTwoSided exact_p_greater=ExactGreater exact_p_less=ExactLess z z_corrected
		normal_p_two_sided=NormalTwoSided normal_p_two_sided_corrected=NormalTwoSidedCorrected `
	crossoverEffect = "{estimate se t df p ci} "
	ratioFields     = "{without chi2=ChiSq df p p_naive=P} "
	twoWayTest      = "[effect]{effect=@ ss df f p} "
	randomEffects   = `{tau2 mu=Estimate se z p ci i2_percent=I2 h2 prediction_interval_normal=PredictionNormal
		hartung_knapp{se t df p ci} prediction_interval_t_k_minus_2=PredictionT} `
)

// paired calls a method with the pairs x and y and the confidence level, unpaired
// with two samples of different assessors.
func paired[R any](f func(x, y []float64, level float64) (R, error)) func(*call) (any, error) {
	return func(c *call) (any, error) {
		x, y := c.pairs("x", "y")
		return f(x, y, c.level())
	}
}

func unpaired[R any](f func(x, y []float64, level float64) (R, error)) func(*call) (any, error) {
	return func(c *call) (any, error) {
		x, y := c.twoSamples()
		return f(x, y, c.level())
	}
}

// pairedTable compares two samples tasted by the same assessors.
var pairedTable = []method{
	{id: "paired_t", fields: "n mean_x mean_y mean_diff=Diff sd_diff=SD se t df p ci r_xy=R", key: "t p ci",
		run: func(c *call) (any, error) {
			o := ttest.PairedOptions{Mu: c.number("mu", 0), Alternative: c.alternative("two.sided"), Level: c.level()}
			x, y := c.pairs("x", "y")
			return ttest.Paired(x, y, o)
		}},
	{id: "signed_rank", key: "exact_p_two_sided normal_p_two_sided",
		fields: "n n_zero=Zeros n_used w_plus w_minus mean_w_plus var_w_plus" + exactRanks +
			"normal_p_greater_corrected=NormalGreaterCorrected normal_p_less_corrected=NormalLessCorrected",
		run: func(c *call) (any, error) {
			zeros := map[string]ranks.ZeroMethod{"pratt": ranks.Pratt, "wilcoxon": ranks.WilcoxonZeros}
			o := ranks.SignedRankOptions{Mu: c.number("mu", 0), Zeros: choose(c, "zero", "pratt", zeros),
				ExactMax: math.MaxInt}
			x, y := c.pairs("x", "y")
			return ranks.SignedRank(x, y, o)
		}},
	{id: "sign_test", key: "p_two_sided",
		fields: "n_up=Up n_down=Down n_same=Same" + exactSides + `proportion_up clopper_pearson=ProportionCI
			median_diff=Median median_ci median_ci_conf=MedianCI.Level`,
		run: func(c *call) (any, error) {
			x, y := c.pairs("x", "y")
			return ranks.SignTest(x, y, ranks.SignTestOptions{Level: c.level()})
		}},
	{id: "effect_sizes_paired", key: "d_z",
		fields: `d_z=Dz.Value d_z_ci=Dz.CI j g_z=Gz.Value g_z_ci=Gz.CI d_av g_av d_av_root_mean_square d_rm g_rm
			j_approx rank_biserial=RankBiserial.Value rank_biserial_ci=RankBiserial.CI
			prob_superiority_paired=Superiority common_language_normal`,
		run: paired(effect.Paired)},
	{id: "hodges_lehmann_paired", fields: hodgesLehmann, key: "estimate ci", run: paired(ranks.HodgesLehmannPaired)},
	{id: "tost_paired", key: "t_lower t_upper p",
		fields: "n mean_diff=Diff t_lower p_lower t_upper p_upper df p ci_1_minus_2alpha=CI equivalent",
		run: func(c *call) (any, error) {
			o := ttest.TOSTOptions{Lower: c.number("lower"), Upper: c.number("upper"), Alpha: c.number("alpha", 0.05)}
			x, y := c.pairs("x", "y")
			return ttest.TOST(x, y, o)
		}},
	{id: "sign_flip_exact", fields: "n sum_diff=Sum mean_diff=Mean" + exactSides, key: "p_two_sided",
		run: func(c *call) (any, error) {
			x, y := c.pairs("x", "y")
			return ttest.SignFlip(x, y, ttest.SignFlipOptions{Mu: c.number("mu", 0), Seed: 1})
		}},
	{id: "jzs_bayes_factor_paired", fields: "bf10 log_bf10=LogBF", key: "bf10 log_bf10",
		run: func(c *call) (any, error) {
			return ttest.BayesFactorPaired(c.number("t"), c.whole("n"), c.number("rscale", 0))
		}},
}

// exactCost is the work that the exact distribution may take: some ten seconds.
const exactCost = 10_000_000_000

// twoSampleTable compares two groups of different assessors.
var twoSampleTable = []method{
	{id: "two_sample_t", fields: "n_x n_y mean_x mean_y diff welch{t df p ci} pooled{t df p ci}",
		key: "welch.t pooled.t", run: func(c *call) (any, error) {
			x, y := c.twoSamples()
			o := ttest.TwoSampleOptions{Level: c.level()}
			welch, errW := ttest.Welch(x, y, o)
			pooled, errP := ttest.Pooled(x, y, o)
			return struct {
				ttest.TwoSampleResult
				Welch, Pooled ttest.TwoSampleResult
			}{welch, welch, pooled}, errors.Join(errW, errP)
		}},
	{id: "mann_whitney", fields: "n_x n_y u u_other ties exact_p_doubled=ExactDoubled" + exactRanks,
		key: "z normal_p_two_sided", run: func(c *call) (any, error) {
			x, y := c.twoSamples()
			return ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{ExactCost: exactCost})
		}},
	{id: "effect_sizes_two_sample", key: "d_s",
		fields: `d_s=Ds.Value d_s_ci=Ds.CI j g_s=Gs.Value g_s_ci=Gs.CI cliffs_delta=CliffsDelta.Value
			cliffs_delta_ci=CliffsDelta.CI prob_superiority=Superiority common_language_normal`,
		run: unpaired(effect.TwoSample)},
	{id: "hodges_lehmann_two_sample", fields: hodgesLehmann, key: "estimate ci", run: unpaired(ranks.HodgesLehmann)},
	{id: "jzs_bayes_factor_two_sample", fields: "bf10 log_bf10=LogBF", key: "bf10 log_bf10",
		run: func(c *call) (any, error) {
			return ttest.BayesFactorTwoSample(c.number("t"), c.whole("n"), c.whole("n2"), c.number("rscale", 0))
		}},
	{id: "crossover_2x2", key: "treatment_a_minus_b.t",
		fields: "n_ab n_ba treatment_a_minus_b=Treatment" + crossoverEffect + "period_1_minus_2=Period" +
			crossoverEffect + "carryover_sum_ab_minus_ba=CarryOver" + crossoverEffect +
			"first_period_only_a_minus_b=FirstPeriod" + crossoverEffect,
		run: func(c *call) (any, error) {
			ab, ba := c.periods("ab"), c.periods("ba")
			return ttest.Crossover(ab, ba, c.level())
		}},
}

// periods reads one sequence group: rows of period 1 and period 2; assessors
// with a missing period are left out.
func (c *call) periods(name string) (out [][2]float64) {
	for i, row := range completeRows(c.rows(name)) {
		if len(row) != 2 {
			mistake("data %s[%d]: two periods belong here", name, i)
		}
		out = append(out, [2]float64{row[0], row[1]})
	}
	c.known["n_"+name] = len(out)
	return out
}

// blockTable compares samples rated by the same assessors.
var blockTable = []method{
	{id: "friedman", key: "chi2 p",
		fields: `n k rank_sums mean_ranks chi2=ChiSq df p kendall_w=W f f_df1 f_df2 f_p
			conover_lsd_rank_sums=ConoverLSD normal_lsd_rank_sums=NormalLSD`,
		run: func(c *call) (any, error) { return ranks.Friedman(c.matrix()) }},
	{id: "page", key: "z p_greater",
		fields: `n k l mean_l var_l z p_greater=P var_l_no_ties z_no_ties p_greater_no_ties=PNoTies exact_p_greater
			exact_p_less`,
		run: func(c *call) (any, error) { return ranks.Page(c.matrix()) }},
	{id: "rank_worths", key: "worth", fields: "n k log se worth ci log_likelihood",
		run: func(c *call) (any, error) { return ranks.Worths(c.matrix(), c.level()) }},
	{id: "cochran_q", key: "q p",
		fields: `n n_informative=Informative column_sums=Yes q df p pairs_mcnemar_exact=Pairs[a b]{a=@A b=@B
			n_only_a=OnlyA n_only_b=OnlyB exact_p=P exact_p_holm=PHolm}`,
		run: runCochranQ},
	{id: "cochran_q_exact", key: "exact_p", fields: "q exact_p", run: runCochranQ},
	{id: "correspondence_analysis", key: "total_inertia inertias",
		fields: `n total_inertia inertias explained rows columns row_contributions column_contributions chi2=ChiSq df`,
		run:    runCorrespondence},
	{id: "icc", key: "icc",
		fields: `n k ms_between ms_judges ms_error ms_within f_between p_between cronbach_alpha=Alpha
			icc=.{1,1=Single1.Value 2,1=Single2.Value 3,1=Single3.Value
				1,k=Average1.Value 2,k=Average2.Value 3,k=Average3.Value}
			ci=.{1,1=Single1.CI 2,1=Single2.CI 3,1=Single3.CI 1,k=Average1.CI 2,k=Average2.CI 3,k=Average3.CI}`,
		run: func(c *call) (any, error) {
			return profile.IntraclassCorrelations(completeRows(c.matrix()), c.level())
		}},
	{id: "rm_anova", key: "f p",
		fields: `n k means=@Means sds=@SDs ss_sample ss_assessor ss_error df1 df2 ms_error f p f_assessor p_assessor
			partial_eta2 generalised_eta2 gg_epsilon=Sphericity.GG gg_df1=Sphericity.GGDF1 gg_df2=Sphericity.GGDF2
			gg_p=Sphericity.GGP hf_epsilon=Sphericity.HF hf_p=Sphericity.HFP lower_bound_p=Sphericity.LowerBoundP
			mauchly_w=Sphericity.MauchlyW mauchly_p_base_r=Sphericity.MauchlyP mauchly_p_car=Sphericity.MauchlyP
			lsd_5pc=LSD pairs[a b]{a=@A b=@B diff_b_minus_a=Diff t_paired df_paired p_paired ci_lo=CI.Lo ci_hi=CI.Hi
			d_z p_holm p_bh p_bonferroni t_pooled p_lsd p_tukey tukey_lo=Tukey.Lo tukey_hi=Tukey.Hi}`,
		run: runRMAnova},
	{id: "rm_anova_two_way", key: "effects.f",
		fields: `n effects[effect]{effect=@ ss ss_error df1 df2 f p gg_epsilon=GG gg_p hf_epsilon=HF hf_p partial_eta2
			generalised_eta2} cell_means=Cells[A B]{A B v}`,
		run: runRMAnovaTwoWay},
	{id: "pca_correlation", key: "eigenvalues",
		fields: `n eigenvalues explained variables vectors loadings_scaled=Loadings first_row_scores=First
			last_row_scores=Last`,
		run: runPCA},
}

func runCochranQ(c *call) (any, error) {
	m := completeRows(c.matrix())
	answers, err := asAnswers(m)
	if err != nil {
		return nil, err
	}
	for i := range c.labels {
		c.labels[i] = float64(i + 1)
	}
	return choice.CochranQ(answers)
}

func runCorrespondence(c *call) (any, error) {
	r, err := profile.Correspondence(c.rows("table"))
	if err == nil {
		c.known["n"], c.known["df"] = r.N, r.DF
	}
	return r, err
}

var errAnswers = errors.New("answers must be 1 (yes) or 0 (no)")

func asAnswers(m [][]float64) ([][]bool, error) {
	out := make([][]bool, len(m))
	for i, row := range m {
		for j, v := range row {
			if v != 0 && v != 1 {
				return nil, fmt.Errorf("row %d, column %d is %g: %w", i+1, j+1, v, errAnswers)
			}
			out[i] = append(out[i], v == 1)
		}
	}
	return out, nil
}

func runRMAnova(c *call) (any, error) {
	m := c.matrix()
	r, err := anova.Repeated(m, anova.RepeatedOptions{Level: c.level()})
	if err == nil && len(c.labels) != r.K {
		mistake("%d names for %d samples", len(c.labels), r.K)
	}
	out := struct {
		anova.RepeatedResult
		Sphericity *anova.Sphericity // two samples are always spherical
	}{RepeatedResult: r}
	if r.Sphericity.Available {
		out.Sphericity = &r.Sphericity
	}
	return out, err
}

type cellMean struct {
	A, B string
	V    float64
}

// runRMAnovaTwoWay averages repeated cells; empty ones are missing.
func runRMAnovaTwoWay(c *call) (any, error) {
	y, code, names := c.coded("assessor", "A", "B")
	a, b := names[1], names[2]
	column := make([]int, len(y))
	for i := range y {
		column[i] = code[1][i]*len(b) + code[2][i]
	}
	var cells [][][]float64
	for _, row := range pivot(y, code[0], column, len(names[0]), len(a)*len(b)) {
		cells = append(cells, slices.Collect(slices.Chunk(row, max(1, len(b)))))
	}
	r, err := anova.RepeatedTwoWay(cells)
	out := struct {
		anova.RepeatedTwoWayResult
		Effects []anova.RepeatedEffect
		Cells   []cellMean
	}{RepeatedTwoWayResult: r, Effects: []anova.RepeatedEffect{r.A, r.B, r.AB}}
	for i, row := range r.CellMeans {
		for j, v := range row {
			out.Cells = append(out.Cells, cellMean{a[i], b[j], v})
		}
	}
	c.labels = []any{"A", "B", "A:B"}
	return out, err
}

// runPCA analyses rows inline, or columns of the data in the order of the
// expected variables.
func runPCA(c *call) (any, error) {
	names := sortedKeys(c.data())
	if expected := c.e.Expected["variables"]; expected != nil {
		names = texts("variables", expected)
	}
	var m [][]float64
	if c.value("values") != nil {
		m = c.rows("values")
	} else {
		for _, name := range names {
			m = append(m, c.numbers(name))
		}
		m = transposed(m)
	}
	m = completeRows(m)
	c.known["n"], c.known["variables"] = len(m), names
	r, err := profile.PrincipalComponents(m)
	if err != nil {
		return nil, err
	}
	shown := min(3, len(r.Eigenvalues))
	return struct {
		profile.PCAResult
		Variables   []string
		First, Last []float64
	}{r, names, r.Scores[0][:shown], r.Scores[len(r.Scores)-1][:shown]}, nil
}

func transposed(columns [][]float64) [][]float64 {
	rows := grid(len(columns[0]), len(columns))
	for j, column := range columns {
		for i, v := range column {
			rows[i][j] = v
		}
	}
	return rows
}

// groupTable are analyses of variance between groups and in blocks, and models.
var groupTable = []method{
	{id: "oneway_anova", key: "f p",
		fields: `n k means=@Means counts=@Counts ss_between ss_within df1 df2 ms_within f p eta2 omega2 welch_f
			welch_df1 welch_df2 welch_p kruskal_chi2=Kruskal.ChiSq kruskal_df=Kruskal.DF kruskal_p=Kruskal.P
			pairs[a b]{a=@A b=@B diff_b_minus_a=Diff se t p lsd p_holm p_bh p_tukey tukey_lo=Tukey.Lo
			tukey_hi=Tukey.Hi}`,
		run: func(c *call) (any, error) {
			c.level() // no interval depends on it
			return anova.OneWay(c.groups())
		}},
	{id: "twoway_anova", key: "type_3.f", fields: "type_2=TypeII" + twoWayTest + "type_3=TypeIII" + twoWayTest +
		"ss_residual df_residual",
		run: func(c *call) (any, error) {
			y, code, _ := c.coded("A", "B")
			c.labels = []any{"A", "B", "A:B"}
			return anova.TwoWay(y, code[0], code[1])
		}},
	{id: "incomplete_blocks", key: "f p",
		fields: `t b k r lambda efficiency f df1 df2 p ms_error adjusted_means=@AdjustedMeans se_mean=SEMeans.0
			pairs=Contrasts[contrast]{contrast estimate=Diff se t p p_holm} durbin_chi2=DurbinChiSq durbin_df
			durbin_p`,
		run: runIncompleteBlocks},
	{id: "partial_f", fields: "f df1 df2 p", key: "f p", run: func(c *call) (any, error) {
		y, code, names := c.coded("base", "tested")
		return anova.PartialF(y, indicators(code[0], len(names[0])), indicators(code[1], len(names[1])), 0), nil
	}},
	{id: "lmm", key: "fixed.t",
		fields: `n_obs n_groups log_lik_reml=LogLik log_lik_ml=ML.LogLik aic_ml=ML.AIC bic_ml=ML.BIC
			fixed[term]{term=Name estimate se df t p} anova_type3[term]{term df1 df2 f p}
			variance=Variances[group term1 term2]{group term1 term2 variance_or_covariance=Variance
			sd_or_correlation=SD} sigma2 singular random_lrt_reml=RandomLRT` + ratioFields + `
			fixed_lrt_ml=FixedLRT` + ratioFields + `
			pairs=Contrasts[contrast]{contrast estimate se df t p p_holm p_tukey}
			marginal_means[level]{level mean se df lo=CI.Lo hi=CI.Hi}`,
		run: runMixed},
	{id: "clm", key: "coefficients.z", run: runOrdinal,
		fields: "n log_lik aic coefficients[term]{term=Name estimate se z p} lrt" + ratioFields},
	{id: "clmm", key: "coefficients.z", run: runOrdinal,
		fields: "n log_lik aic coefficients[term]{term=Name estimate se z p} random_variance random_sd lrt" +
			ratioFields},
}

type blockContrast struct {
	anova.BlockPair
	Contrast string
}

func runIncompleteBlocks(c *call) (any, error) {
	y, code, names := c.coded("block", "sample")
	r, err := anova.IncompleteBlocks(y, code[0], code[1])
	out := struct {
		anova.BlocksResult
		Contrasts []blockContrast
	}{BlocksResult: r}
	for _, p := range r.Pairs {
		out.Contrasts = append(out.Contrasts, blockContrast{p, contrast(names[1], p.B, p.A)})
	}
	c.labels = labels(names[1])
	return out, err
}

// indicators has a column for each level.
func indicators(codes []int, levels int) [][]float64 {
	columns := grid(levels, len(codes))
	for i, code := range codes {
		columns[code][i] = 1
	}
	return columns
}

// countTable are proportions, difference tests and families of p-values.
