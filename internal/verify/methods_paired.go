package verify

import (
	"errors"
	"math"

	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// pairedMethods compare two samples tasted by the same assessors.
func pairedMethods() map[string]method {
	return map[string]method{
		"paired_t": {data: words("x y d"), inputs: words("conf mu alternative"),
			fields: words("n mean_x mean_y mean_diff sd_diff se t df p ci r_xy"), key: words("t p ci"),
			run: runPairedT},
		"signed_rank": {data: words("x y d"), inputs: words("zero mu"),
			fields: words(`n n_zero n_used w_plus w_minus exact_p_two_sided exact_p_greater exact_p_less
				mean_w_plus var_w_plus z normal_p_two_sided z_corrected normal_p_two_sided_corrected
				normal_p_greater_corrected normal_p_less_corrected`),
			key: words("exact_p_two_sided normal_p_two_sided"), run: runSignedRank},
		"sign_test": {data: words("x y d"), inputs: words("conf"),
			fields: words(`n_up n_down n_same p_two_sided p_greater p_less proportion_up clopper_pearson
				median_diff median_ci median_ci_conf`),
			key: words("p_two_sided"), run: runSignTest},
	}
}

func runPairedT(c *call) answer {
	level, errL := c.level()
	mu, errM := c.input("mu", 0)
	side, errA := c.alternative()
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errL, errM, errA); err != nil {
		return answer{err: err}
	}
	r, err := ttest.Paired(x, y, ttest.PairedOptions{Mu: mu, Alternative: side, Level: level})
	if err != nil {
		return answer{fields: fields{"n": len(x)}, err: err}
	}
	return answer{fields: fields{
		"n": r.N, "mean_x": r.MeanX, "mean_y": r.MeanY, "mean_diff": r.Diff, "sd_diff": r.SD, "se": r.SE,
		"t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI), "r_xy": r.R,
	}, warnings: r.Warnings}
}

func runSignedRank(c *call) answer {
	zero, errZ := c.text("zero", "pratt")
	mu, errM := c.input("mu", 0)
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errZ, errM); err != nil {
		return answer{err: err}
	}
	zeros, known := map[string]ranks.ZeroMethod{"pratt": ranks.Pratt, "wilcoxon": ranks.WilcoxonZeros}[zero]
	if !known {
		return answer{err: bad("unknown treatment of zeros %q: pratt or wilcoxon", zero)}
	}
	r, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{Mu: mu, Zeros: zeros, ExactMax: math.MaxInt})
	if err != nil {
		return answer{fields: fields{"n": len(x)}, err: err}
	}
	return answer{fields: fields{
		"n": r.N, "n_zero": r.Zeros, "n_used": r.NUsed, "w_plus": r.WPlus, "w_minus": r.WMinus,
		"exact_p_two_sided": r.ExactTwoSided, "exact_p_greater": r.ExactGreater, "exact_p_less": r.ExactLess,
		"mean_w_plus": r.MeanWPlus, "var_w_plus": r.VarWPlus, "z": r.Z, "normal_p_two_sided": r.NormalTwoSided,
		"z_corrected": r.ZCorrected, "normal_p_two_sided_corrected": r.NormalTwoSidedCorrected,
		"normal_p_greater_corrected": r.NormalGreaterCorrected, "normal_p_less_corrected": r.NormalLessCorrected,
	}, warnings: r.Warnings}
}

func runSignTest(c *call) answer {
	level, errL := c.level()
	x, y, err := c.pairs("x", "y")
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	r, err := ranks.SignTest(x, y, ranks.SignTestOptions{Level: level})
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"n_up": r.Up, "n_down": r.Down, "n_same": r.Same, "p_two_sided": r.TwoSided, "p_greater": r.Greater,
		"p_less": r.Less, "proportion_up": r.ProportionUp, "clopper_pearson": ends(r.ProportionCI),
		"median_diff": r.Median, "median_ci": ends(r.MedianCI), "median_ci_conf": r.MedianCI.Level,
	}, warnings: r.Warnings}
}
