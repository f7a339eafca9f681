package verify

import "cloche/internal/stats/dist"

// distributionMethods are distribution functions and quantiles.
func distributionMethods() map[string]method {
	return map[string]method{
		"cdf_noncentral_t": gridMethod("t df ncp", func(g *gridRow) fields {
			return fields{"value": dist.NoncentralTCDF(g.number("t"), g.number("df"), g.number("ncp"))}
		}),
		"cdf_noncentral_chi2": gridMethod("x df lambda", func(g *gridRow) fields {
			return fields{"value": dist.NoncentralChi2CDF(g.number("x"), g.number("df"), g.number("lambda"))}
		}),
		"cdf_noncentral_f": gridMethod("x df1 df2 lambda", func(g *gridRow) fields {
			return fields{"value": dist.NoncentralFCDF(g.number("x"), g.number("df1"), g.number("df2"),
				g.number("lambda"))}
		}),
		"cdf_signed_rank": gridMethod("w n", func(g *gridRow) fields {
			return fields{"value": dist.SignedRankCDF(g.whole("w"), g.size("n"))}
		}),
		"cdf_mann_whitney": gridMethod("u m n", func(g *gridRow) fields {
			return fields{"value": dist.MannWhitneyCDF(g.whole("u"), g.size("m"), g.size("n"))}
		}),
		"quantile_t": gridMethod("p df", func(g *gridRow) fields {
			return fields{"value": dist.TQuantile(g.number("p"), g.number("df"))}
		}),
		"cdf_studentized_range": gridMethod("q k df", func(g *gridRow) fields {
			return fields{"value": dist.StudentizedRangeCDF(g.number("q"), g.whole("k"), g.number("df"))}
		}),
		"quantile_studentized_range": gridMethod("p k df", func(g *gridRow) fields {
			return fields{"value": dist.StudentizedRangeQuantile(g.number("p"), g.whole("k"), g.number("df"))}
		}),
	}
}
