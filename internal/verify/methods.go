package verify

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/meta"
	"cloche/internal/stats/profile"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/size"
	"cloche/internal/stats/ttest"
)

// methods is the vocabulary: every method that a reference file may name.
var methods = sync.OnceValue(func() map[string]method {
	all := map[string]method{}
	for _, m := range slices.Concat(pairedTable, twoSampleTable, blockTable, groupTable, countTable, lineTable,
		sizeTable, distributionTable) {
		all[m.id] = m
	}
	return all
})

// Methods lists the vocabulary in alphabetical order.
func Methods() []string { return sortedKeys(methods()) }

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
	v, ok := c.datum(name)
	if !ok {
		mistake("data %q are missing", name)
	}
	for i, row := range completeRows(rowsOf(name, v)) {
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
		run: func(c *call) (any, error) { return ranks.Friedman(c.matrix(nil)) }},
	{id: "page", key: "z p_greater",
		fields: `n k l mean_l var_l z p_greater=P var_l_no_ties z_no_ties p_greater_no_ties=PNoTies exact_p_greater
			exact_p_less`,
		run: func(c *call) (any, error) { return ranks.Page(c.matrix(nil)) }},
	{id: "cochran_q", key: "q p",
		fields: `n n_informative=Informative column_sums=Yes q df p pairs_mcnemar_exact=Pairs[a b]{a=@A b=@B
			n_only_a=OnlyA n_only_b=OnlyB exact_p=P exact_p_holm=PHolm}`,
		run: runCochranQ},
	{id: "icc", key: "icc",
		fields: `n k ms_between ms_judges ms_error ms_within f_between p_between cronbach_alpha=Alpha
			icc=.{1,1=Single1.Value 2,1=Single2.Value 3,1=Single3.Value
				1,k=Average1.Value 2,k=Average2.Value 3,k=Average3.Value}
			ci=.{1,1=Single1.CI 2,1=Single2.CI 3,1=Single3.CI 1,k=Average1.CI 2,k=Average2.CI 3,k=Average3.CI}`,
		run: func(c *call) (any, error) {
			return profile.IntraclassCorrelations(completeRows(c.matrix(nil)), c.level())
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
	m := completeRows(c.matrix(nil))
	answers, err := asAnswers(m)
	if err != nil {
		return nil, err
	}
	for i := range c.labels {
		c.labels[i] = float64(i + 1)
	}
	return choice.CochranQ(answers)
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
	m := c.matrix(c.expectedKeys("means"))
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
	assessors, nameA, nameB := c.names("assessor"), c.names("A"), c.names("B")
	people, a, b := levels(assessors, nil), levels(nameA, nil), levels(nameB, nil)
	codeA, codeB := codes(nameA, a), codes(nameB, b)
	column := make([]int, len(codeA))
	for i := range column {
		if column[i] = codeA[i]*len(b) + codeB[i]; codeA[i] < 0 || codeB[i] < 0 {
			column[i] = -1
		}
	}
	var cells [][][]float64
	for _, row := range pivot(c.numbers("value"), codes(assessors, people), column, len(people), len(a)*len(b)) {
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
	var m [][]float64
	names := c.expectedKeys("variables")
	if v, inline := c.datum("values"); inline {
		m = rowsOf("values", v)
	} else {
		m, names = c.wide(names)
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

// groupTable are analyses of variance between groups and in blocks, and models.
var groupTable = []method{
	{id: "oneway_anova", key: "f p",
		fields: `n k means=@Means counts=@Counts ss_between ss_within df1 df2 ms_within f p eta2 omega2 welch_f
			welch_df1 welch_df2 welch_p kruskal_chi2=Kruskal.ChiSq kruskal_df=Kruskal.DF kruskal_p=Kruskal.P
			pairs[a b]{a=@A b=@B diff_b_minus_a=Diff se t p lsd p_holm p_bh p_tukey tukey_lo=Tukey.Lo
			tukey_hi=Tukey.Hi}`,
		run: func(c *call) (any, error) {
			c.level() // no interval depends on it
			return anova.OneWay(c.groups(c.expectedKeys("means")))
		}},
	{id: "twoway_anova", key: "type_3.f", fields: "type_2=TypeII" + twoWayTest + "type_3=TypeIII" + twoWayTest +
		"ss_residual df_residual",
		run: func(c *call) (any, error) {
			y, code, _ := c.coded(nil, "A", "B")
			c.labels = []any{"A", "B", "A:B"}
			return anova.TwoWay(y, code[0], code[1])
		}},
	{id: "incomplete_blocks", key: "f p",
		fields: `t b k r lambda efficiency f df1 df2 p ms_error adjusted_means=@AdjustedMeans se_mean=SEMeans.0
			pairs=Contrasts[contrast]{contrast estimate=Diff se t p p_holm} durbin_chi2=DurbinChiSq durbin_df
			durbin_p`,
		run: runIncompleteBlocks},
	{id: "partial_f", fields: "f df1 df2 p", key: "f p", run: func(c *call) (any, error) {
		y, code, names := c.coded(nil, "base", "tested")
		return anova.PartialF(y, indicators(code[0], len(names[0])), indicators(code[1], len(names[1])), 0), nil
	}},
	{id: "lmm", key: "fixed.t",
		fields: `n_obs n_groups log_lik_reml=LogLik log_lik_ml=ML.LogLik aic_ml=ML.AIC bic_ml=ML.BIC
			fixed[term]{term=Name estimate se df t p} anova_type3[term]{term df1 df2 f p}
			variance=Variances[group term1 term2]{group term1 term2 variance_or_covariance=Variance
			sd_or_correlation=SD} sigma2 singular random_lrt_reml=RandomLRT` + ratioFields + `
			fixed_lrt_ml=FixedLRT` + ratioFields + `
			pairs=ContrastedPairs[contrast]{contrast estimate se df t p p_holm p_tukey}
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
	y, code, names := c.coded(map[string][]string{"sample": c.expectedKeys("adjusted_means")}, "block", "sample")
	r, err := anova.IncompleteBlocks(y, code[0], code[1])
	out := struct {
		anova.BlocksResult
		Contrasts []blockContrast
	}{BlocksResult: r}
	label := c.contrastLabels("treat", c.column("sample"))
	for _, p := range r.Pairs {
		out.Contrasts = append(out.Contrasts, blockContrast{p, label(names[1][p.B], names[1][p.A])})
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
var countTable = []method{
	{id: "p_adjust", fields: "holm bh bonferroni hochberg hommel by", key: "holm",
		run: func(c *call) (any, error) {
			p := c.numbers("p")
			return fields{"holm": stats.Holm(p), "bh": stats.BenjaminiHochberg(p), "bonferroni": stats.Bonferroni(p),
				"hochberg": stats.Hochberg(p), "hommel": stats.Hommel(p), "by": stats.BenjaminiYekutieli(p)}, nil
		}},
	{id: "binomial_test", key: "proportion p_two_sided",
		fields: "proportion" + exactSides + "mid_p_greater clopper_pearson wilson agresti_coull",
		run: func(c *call) (any, error) {
			return choice.BinomialTest(c.count("x"), c.count("n"), c.number("p0", 0.5),
				choice.BinomialTestOptions{Level: c.level()})
		}},
	{id: "mcnemar", key: "chi2 p exact_p",
		fields: `b c n chi2 p chi2_corrected p_corrected exact_p mid_p odds_ratio odds_ratio_ci=OddsCI diff=Difference
			diff_wald_ci=WaldCI`,
		run: func(c *call) (any, error) {
			t, err := c.twoByTwo()
			if err != nil {
				return nil, err
			}
			c.known["b"], c.known["c"], c.known["n"] = t[0][1], t[1][0], t[0][0]+t[0][1]+t[1][0]+t[1][1]
			return choice.McNemar(t, c.level())
		}},
	{id: "discrimination", key: "pc d_prime",
		fields: `chance pc p_greater=PDifference pc_ci proportion_discriminators=Discriminators
			proportion_discriminators_ci=DiscriminatorsCI d_prime d_prime_se d_prime_ci`,
		run: func(c *call) (any, error) {
			p := c.protocol()
			return choice.Discrimination(c.count("correct"), c.count("n"), p,
				choice.DiscriminationOptions{Level: c.level()})
		}},
	{id: "dprime_to_pc", fields: "chance pc", key: "pc", run: func(c *call) (any, error) {
		p, pc := c.protocol(), []float64{}
		for _, d := range c.numbers("d_prime") {
			pc = append(pc, p.PC(d))
		}
		return fields{"pc": pc, "chance": p.Chance()}, nil
	}},
	{id: "pc_to_dprime", fields: "chance d_prime", key: "d_prime", run: func(c *call) (any, error) {
		p, d := c.protocol(), []float64{}
		var errs error
		for _, pc := range c.numbers("pc") {
			v, err := p.DPrime(pc)
			d, errs = append(d, v), errors.Join(errs, err)
		}
		c.known["d_prime"] = d
		return fields{"d_prime": d, "chance": p.Chance()}, errs
	}},
	{id: "a_not_a", key: "d_prime", fields: `hit_rate false_alarm_rate d_prime criterion d_prime_se=SE d_prime_ci=CI
			loglinear_d_prime`,
		run: func(c *call) (any, error) {
			return choice.ANotA(c.count("hits"), c.count("n_a"), c.count("false_alarms"), c.count("n_not_a"), c.level())
		}},
	// A distance at its bound of 0 has no standard error: no inference.
	{id: "same_different", fields: "tau d_prime tau_se d_prime_se log_lik", key: "d_prime_se",
		run: func(c *call) (any, error) {
			return choice.SameDifferent(c.count("same_said_same"), c.count("n_same"), c.count("different_said_same"),
				c.count("n_different"), c.level())
		}},
	{id: "min_correct_table", fields: "n min_correct", key: "min_correct", run: runMinCorrect},
}

func (c *call) protocol() choice.Protocol {
	p := choose(c, "protocol", "", map[string]choice.Protocol{"triangle": choice.Triangle, "duo_trio": choice.DuoTrio,
		"two_afc": choice.TwoAFC, "three_afc": choice.ThreeAFC, "tetrad": choice.Tetrad})
	c.known["chance"] = p.Chance()
	return p
}

// twoByTwo reads a table of counts, or counts the answers 1 and 0 of x and y.
func (c *call) twoByTwo() (table [2][2]int, err error) {
	v, ok := c.datum("table")
	if !ok {
		return c.countAnswers()
	}
	m := rowsOf("table", v)
	if len(m) != 2 || len(m[0]) != 2 || len(m[1]) != 2 {
		mistake("data \"table\" must have two rows of two counts")
	}
	for i, row := range m {
		table[i] = [2]int{whole(row[0], "table"), whole(row[1], "table")}
	}
	return table, nil
}

func (c *call) countAnswers() (table [2][2]int, err error) {
	x, y := c.pairs("x", "y")
	yes, err := asAnswers([][]float64{x, y})
	if err == nil && len(x) != len(y) {
		err = stats.ErrUnequalLengths
	}
	if err != nil {
		return table, err
	}
	at := map[bool]int{true: 0, false: 1}
	for i := range x {
		table[at[yes[0][i]]][at[yes[1][i]]]++
	}
	return table, nil
}

// runMinCorrect takes the numbers of answers from the inputs or, as they label
// the rows of the table, from the expected field n.
func runMinCorrect(c *call) (any, error) {
	p0, alphas := c.number("p0"), numberList("alphas", c.input("alphas"))
	from := c.input("n")
	if from == nil {
		from = c.e.Expected.values["n"]
	}
	ns := numberList("n", from)
	table := make([][]float64, len(ns))
	for i, n := range ns {
		for _, alpha := range alphas {
			least, reachable, err := choice.MinCorrect(whole(n, "n"), p0, alpha)
			if err != nil {
				return nil, err
			}
			table[i] = append(table[i], float64(least))
			if !reachable {
				table[i][len(table[i])-1] = math.NaN()
			}
		}
	}
	return fields{"n": ns, "min_correct": table}, nil
}

// lineTable combines studies and fits lines.
var lineTable = []method{
	{id: "meta_random", key: "q dl.tau2 reml.tau2 pm_tau2",
		fields: "k q q_df=DF q_p=P fixed{mu=Estimate se ci z p} dl" + randomEffects + "reml" + randomEffects +
			"pm_tau2=PauleMandel",
		run: func(c *call) (any, error) {
			yi, vi := c.pairs("yi", "vi")
			if c.known["k"] = len(yi); len(yi) != len(vi) {
				return nil, stats.ErrUnequalLengths
			}
			studies := make([]meta.Study, len(yi))
			for i := range yi {
				studies[i] = meta.Study{Estimate: yi[i], Variance: vi[i]}
			}
			return meta.Combine(studies, c.level())
		}},
	{id: "calibration_fieller", key: "ci",
		fields: "intercept=Fit.Intercept slope=Fit.Slope sigma=Fit.Sigma r2=Fit.R2 x0 g ci delta_se delta_ci",
		run: func(c *call) (any, error) {
			x, y := c.pairs("x", "y")
			return dose.InversePrediction(x, y, c.number("y0"),
				dose.CalibrationOptions{Level: c.level(), Readings: c.whole("m", 1)})
		}},
	{id: "power_law", key: "exponent_ci constant_ci",
		fields: `n exponent exponent_se exponent_ci log10_constant constant constant_ci r2
			residual_sd_log10`,
		run: paired(dose.PowerLaw)},
}

// sizeTable are power and sample size.
var sizeTable = []method{
	{id: "power_t_paired", grid: true, fields: "power power_one_tail_only=RightTail",
		run: func(c *call) (any, error) { return size.PowerT(c.whole("n"), c.tDesign(false)) }},
	{id: "power_t_two_sample", grid: true, fields: "power power_one_tail_only=RightTail",
		run: func(c *call) (any, error) { return size.PowerT(c.whole("n"), c.tDesign(true)) }},
	{id: "sample_size_t_paired", grid: true, fields: "n_fractional n power_at_n=Power",
		run: func(c *call) (any, error) { return size.T(c.number("power"), c.tDesign(false)) }},
	{id: "sample_size_t_two_sample", grid: true, fields: "n_fractional n power_at_n=Power",
		run: func(c *call) (any, error) { return size.T(c.number("power"), c.tDesign(true)) }},
	{id: "power_two_proportions", grid: true,
		fields: "power_arcsine=Arcsine power_normal=Normal power_normal_strict=NormalStrict",
		run: func(c *call) (any, error) {
			return size.PowerTwoProportions(c.whole("n"), c.number("p1"), c.number("p2"), c.number("alpha"))
		}},
	{id: "power_binomial_exact", key: "n_first n_safe",
		fields: `n_first=First.N critical_at_n_first=First.Critical alpha_at_n_first=First.Alpha
			power_at_n_first=First.Power n_safe=Stable.N critical_at_n_safe=Stable.Critical
			alpha_at_n_safe=Stable.Alpha power_at_n_safe=Stable.Power`,
		run: runPowerBinomial},
}

func (c *call) tDesign(independent bool) size.TDesign {
	return size.TDesign{Independent: independent, Effect: c.number("d"), Alpha: c.number("alpha"),
		Alternative: c.alternative("two.sided")}
}

// binomialSearch is how far a sample size is looked for, as the reference
// values were: "this n and every larger one up to 400". Sizes beyond it are
// searched further.
const (
	binomialSearch  = 400
	binomialFurther = 20_000
)

func runPowerBinomial(c *call) (any, error) {
	side := c.alternative("greater")
	design := size.BinomialDesign{P0: c.number("p0"), P1: c.number("p1"), Alpha: c.number("alpha", 0.05),
		Alternative: side}
	r, err := size.Binomial(c.number("power"), binomialSearch, design)
	if err == nil && (r.First.N == 0 || r.Stable.N == 0) {
		r, err = size.Binomial(c.number("power"), binomialFurther, design)
	}
	found := func(b size.BinomialPower) *size.BinomialPower {
		if side == stats.Less {
			b.Critical = b.CriticalLow
		}
		if b.N == 0 {
			return nil
		}
		return &b
	}
	return struct {
		First, Stable *size.BinomialPower
		Warnings      []stats.Warning
	}{found(r.First), found(r.Stable), r.Warnings}, err
}

// distributionTable are distribution functions and quantiles.
var distributionTable = []method{
	distribution("cdf_noncentral_t", func(c *call) float64 {
		return dist.NoncentralTCDF(c.number("t"), c.number("df"), c.number("ncp"))
	}),
	distribution("cdf_noncentral_chi2", func(c *call) float64 {
		return dist.NoncentralChi2CDF(c.number("x"), c.number("df"), c.number("lambda"))
	}),
	distribution("cdf_noncentral_f", func(c *call) float64 {
		return dist.NoncentralFCDF(c.number("x"), c.number("df1"), c.number("df2"), c.number("lambda"))
	}),
	distribution("cdf_signed_rank", func(c *call) float64 {
		return dist.SignedRankCDF(c.whole("w"), c.exactSize("n"))
	}),
	distribution("cdf_mann_whitney", func(c *call) float64 {
		return dist.MannWhitneyCDF(c.whole("u"), c.exactSize("m"), c.exactSize("n"))
	}),
	distribution("quantile_t", func(c *call) float64 { return dist.TQuantile(c.number("p"), c.number("df")) }),
	distribution("cdf_studentized_range", func(c *call) float64 {
		return dist.StudentizedRangeCDF(c.number("q"), c.whole("k"), c.number("df"))
	}),
	distribution("quantile_studentized_range", func(c *call) float64 {
		return dist.StudentizedRangeQuantile(c.number("p"), c.whole("k"), c.number("df"))
	}),
}

func distribution(id string, value func(*call) float64) method {
	return method{id: id, grid: true, fields: "value=.", run: func(c *call) (any, error) { return value(c), nil }}
}
