package verify

import (
	"errors"

	"cloche/internal/stats"
)

// twoSampleMethods compare two groups of different assessors.
func twoSampleMethods() map[string]method {
	return map[string]method{
		"two_sample_t": {data: words("x y value group"), inputs: words("conf"),
			fields: words("n_x n_y mean_x mean_y diff welch pooled"), key: words("welch pooled"), run: runTwoSampleT},
	}
}

func runTwoSampleT(c *call) answer {
	level, errL := c.level()
	x, y, err := c.twoSamples()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	o := stats.TwoSampleOptions{Level: level}
	w, errW := stats.WelchT(x, y, o)
	p, errP := stats.PooledT(x, y, o)
	base := fields{"n_x": len(x), "n_y": len(y)}
	if err := errors.Join(errW, errP); err != nil {
		return answer{fields: base, err: err}
	}
	one := func(r stats.TwoSampleTResult) fields {
		return fields{"t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI)}
	}
	base["mean_x"], base["mean_y"], base["diff"] = w.MeanX, w.MeanY, w.Diff
	// Their degrees of freedom are known even where the test is not.
	base["welch"], base["pooled"] = one(w), one(p)
	return answer{fields: base, warnings: append(w.Warnings, p.Warnings...)}
}
