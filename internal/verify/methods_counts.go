package verify

import "cloche/internal/stats"

// countMethods are proportions and families of p-values.
func countMethods() map[string]method {
	return map[string]method{
		"p_adjust": {data: words("p"), fields: words("holm bh bonferroni hochberg hommel by"),
			key: words("holm"), run: runPAdjust},
	}
}

func runPAdjust(c *call) answer {
	p, err := c.numbers("p")
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"holm": stats.Holm(p), "bh": stats.BenjaminiHochberg(p), "bonferroni": stats.Bonferroni(p),
		"hochberg": stats.Hochberg(p), "hommel": stats.Hommel(p), "by": stats.BenjaminiYekutieli(p),
	}}
}
