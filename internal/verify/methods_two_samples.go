package verify

import (
	"errors"

	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// twoSampleMethods compare two groups of different assessors.
func twoSampleMethods() map[string]method {
	return map[string]method{
		"two_sample_t": {data: words("x y value group"), inputs: words("conf"),
			fields: words("n_x n_y mean_x mean_y diff welch pooled"), key: words("welch.t pooled.t"),
			run: runTwoSampleT},
		"mann_whitney": {data: words("x y value group"),
			fields: words(`n_x n_y u u_other ties exact_p_two_sided exact_p_greater exact_p_less exact_p_doubled z
				normal_p_two_sided z_corrected normal_p_two_sided_corrected`),
			key: words("z normal_p_two_sided"), run: runMannWhitney},
	}
}

func runTwoSampleT(c *call) answer {
	level, errL := c.level()
	x, y, err := c.twoSamples()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	o := ttest.TwoSampleOptions{Level: level}
	w, errW := ttest.Welch(x, y, o)
	p, errP := ttest.Pooled(x, y, o)
	base := fields{"n_x": len(x), "n_y": len(y)}
	if err := errors.Join(errW, errP); err != nil {
		return answer{fields: base, err: err}
	}
	one := func(r ttest.TwoSampleResult) fields {
		return fields{"t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI)}
	}
	base["mean_x"], base["mean_y"], base["diff"] = w.MeanX, w.MeanY, w.Diff
	// Their degrees of freedom are known even where the test is not.
	base["welch"], base["pooled"] = one(w), one(p)
	return answer{fields: base, warnings: append(w.Warnings, p.Warnings...)}
}

// exactCost is the work that the exact distribution may take: some ten seconds.
const exactCost = 10_000_000_000

func runMannWhitney(c *call) answer {
	x, y, err := c.twoSamples()
	if err != nil {
		return answer{err: err}
	}
	r, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{ExactCost: exactCost})
	if err != nil {
		return answer{fields: fields{"n_x": len(x), "n_y": len(y)}, err: err}
	}
	return answer{fields: fields{
		"n_x": r.NX, "n_y": r.NY, "u": r.U, "u_other": r.UOther, "ties": r.Ties, "exact_p_two_sided": r.ExactTwoSided,
		"exact_p_greater": r.ExactGreater, "exact_p_less": r.ExactLess, "exact_p_doubled": r.ExactDoubled, "z": r.Z,
		"normal_p_two_sided": r.NormalTwoSided, "z_corrected": r.ZCorrected,
		"normal_p_two_sided_corrected": r.NormalTwoSidedCorrected,
	}, warnings: r.Warnings}
}
