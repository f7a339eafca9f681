package verify

import "cloche/internal/stats"

// distributionMethods are distribution functions and quantiles.
func distributionMethods() map[string]method {
	return map[string]method{
		"cdf_noncentral_t": gridMethod("t df ncp", func(g *gridRow) fields {
			return fields{"value": stats.NoncentralTCDF(g.number("t"), g.number("df"), g.number("ncp"))}
		}),
		"quantile_t": gridMethod("p df", func(g *gridRow) fields {
			return fields{"value": stats.TQuantile(g.number("p"), g.number("df"))}
		}),
		"cdf_studentized_range": gridMethod("q k df", func(g *gridRow) fields {
			return fields{"value": stats.StudentizedRangeCDF(g.number("q"), g.whole("k"), g.number("df"))}
		}),
		"quantile_studentized_range": gridMethod("p k df", func(g *gridRow) fields {
			return fields{"value": stats.StudentizedRangeQuantile(g.number("p"), g.whole("k"), g.number("df"))}
		}),
	}
}
