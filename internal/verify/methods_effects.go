package verify

import (
	"errors"

	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// effectMethods are effect sizes, equivalence, randomisation and Bayes factors.
func effectMethods() map[string]method {
	return map[string]method{
		"effect_sizes_paired": {data: words("x y d"), inputs: words("conf"),
			fields: words(`d_z d_z_ci j g_z g_z_ci d_av g_av d_av_root_mean_square d_rm g_rm j_approx rank_biserial
				rank_biserial_ci prob_superiority_paired common_language_normal`),
			key: words("d_z"), run: runPairedEffects},
		"effect_sizes_two_sample": {data: words("x y value group"), inputs: words("conf"),
			fields: words(`d_s d_s_ci j g_s g_s_ci cliffs_delta cliffs_delta_ci prob_superiority
				common_language_normal`),
			key: words("d_s"), run: runTwoSampleEffects},
		"hodges_lehmann_paired": {data: words("x y d"), inputs: words("conf"),
			fields: words("estimate n_averages k ci achieved_conf"), key: words("estimate ci"),
			run: runHodgesLehmannPaired},
		"hodges_lehmann_two_sample": {data: words("x y value group"), inputs: words("conf"),
			fields: words("estimate n_averages k ci achieved_conf"), key: words("estimate ci"),
			run: runHodgesLehmannTwo},
		"tost_paired": {data: words("x y d"), inputs: words("lower upper alpha"),
			fields: words("mean_diff t_lower p_lower t_upper p_upper df p ci_1_minus_2alpha equivalent"),
			key:    words("t_lower t_upper p"), run: runTOST},
		"sign_flip_exact": {data: words("x y d"), inputs: words("mu"),
			fields: words("n sum_diff mean_diff p_two_sided p_greater p_less"), key: words("p_two_sided"),
			run: runSignFlip},
		"jzs_bayes_factor_paired": {inputs: words("t n rscale"), fields: words("bf10 log_bf10"),
			key: words("bf10 log_bf10"), run: runBayesFactor},
		"jzs_bayes_factor_two_sample": {inputs: words("t n n2 rscale"), fields: words("bf10 log_bf10"),
			key: words("bf10 log_bf10"), run: runBayesFactor},
	}
}

func runPairedEffects(c *call) answer {
	level, errL := c.level()
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := effect.Paired(x, y, level)
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"d_z": r.Dz.Value, "d_z_ci": ends(r.Dz.CI), "j": r.J, "g_z": r.Gz.Value, "g_z_ci": ends(r.Gz.CI),
		"d_av": r.Dav, "g_av": r.Gav, "d_av_root_mean_square": r.DavRootMeanSquare, "d_rm": r.Drm, "g_rm": r.Grm,
		"j_approx": r.JApprox, "rank_biserial": r.RankBiserial.Value, "rank_biserial_ci": ends(r.RankBiserial.CI),
		"prob_superiority_paired": r.Superiority, "common_language_normal": r.CommonLanguageNormal,
	}, warnings: gather(r.Warnings, r.Dz.Warnings, r.Gz.Warnings, r.RankBiserial.Warnings)}
}

func runTwoSampleEffects(c *call) answer {
	level, errL := c.level()
	x, y, err := c.twoSamples()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := effect.TwoSample(x, y, level)
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"d_s": r.Ds.Value, "d_s_ci": ends(r.Ds.CI), "j": r.J, "g_s": r.Gs.Value, "g_s_ci": ends(r.Gs.CI),
		"cliffs_delta": r.CliffsDelta.Value, "cliffs_delta_ci": ends(r.CliffsDelta.CI),
		"prob_superiority": r.Superiority, "common_language_normal": r.CommonLanguageNormal,
	}, warnings: gather(r.Warnings, r.Ds.Warnings, r.Gs.Warnings, r.CliffsDelta.Warnings)}
}

func gather(lists ...[]stats.Warning) []stats.Warning {
	var out []stats.Warning
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

func runHodgesLehmannPaired(c *call) answer {
	x, y, err := c.pairs("x", "y")
	return hodgesLehmann(c, x, y, err, ranks.HodgesLehmannPaired)
}

func runHodgesLehmannTwo(c *call) answer {
	x, y, err := c.twoSamples()
	return hodgesLehmann(c, x, y, err, ranks.HodgesLehmann)
}

func hodgesLehmann(c *call, x, y []float64, err error, f func(x, y []float64, level float64) (ranks.HodgesLehmannResult,
	error)) answer {
	level, errL := c.level()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := f(x, y, level)
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{"estimate": r.Estimate, "n_averages": r.NAverages, "k": r.K, "ci": ends(r.CI),
		"achieved_conf": r.Achieved}, warnings: r.Warnings}
}

func runTOST(c *call) answer {
	lower, errLo := c.input("lower", required)
	upper, errUp := c.input("upper", required)
	alpha, errA := c.input("alpha", 0.05)
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errLo, errUp, errA); err != nil {
		return answer{err: err}
	}
	r, err := ttest.TOST(x, y, ttest.TOSTOptions{Lower: lower, Upper: upper, Alpha: alpha})
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"mean_diff": r.Diff, "t_lower": r.TLower, "p_lower": r.PLower, "t_upper": r.TUpper, "p_upper": r.PUpper,
		"df": r.DF, "p": r.P, "ci_1_minus_2alpha": ends(r.CI), "equivalent": r.Equivalent, "n": r.N,
	}, warnings: r.Warnings}
}

func runSignFlip(c *call) answer {
	mu, errM := c.input("mu", 0)
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errM); err != nil {
		return answer{err: err}
	}
	r, err := ttest.SignFlip(x, y, ttest.SignFlipOptions{Mu: mu, Seed: 1})
	if err != nil {
		return answer{fields: fields{"n": len(x)}, err: err}
	}
	return answer{fields: fields{"n": r.N, "sum_diff": r.Sum, "mean_diff": r.Mean, "p_two_sided": r.TwoSided,
		"p_greater": r.Greater, "p_less": r.Less}, warnings: r.Warnings}
}

func runBayesFactor(c *call) answer {
	t, errT := c.input("t", required)
	n, errN := c.input("n", required)
	scale, errS := c.input("rscale", 0)
	if err := errors.Join(errT, errN, errS); err != nil {
		return answer{err: err}
	}
	size, err := whole(n, "n")
	if err != nil {
		return answer{err: err}
	}
	var b ttest.BayesFactor
	if c.e.method == "jzs_bayes_factor_paired" {
		b, err = ttest.BayesFactorPaired(t, size, scale)
	} else {
		n2, errN2 := c.input("n2", required)
		size2, errW := whole(n2, "n2")
		if err := errors.Join(errN2, errW); err != nil {
			return answer{err: err}
		}
		b, err = ttest.BayesFactorTwoSample(t, size, size2, scale)
	}
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{"bf10": b.BF10, "log_bf10": b.LogBF}}
}
