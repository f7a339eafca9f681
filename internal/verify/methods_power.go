package verify

import (
	"errors"

	"cloche/internal/stats"
	"cloche/internal/stats/size"
)

// powerMethods are power and sample size.
func powerMethods() map[string]method {
	return map[string]method{
		"power_binomial_exact": {inputs: words("p0 p1 alpha power alternative"),
			fields: words(`n_first critical_at_n_first alpha_at_n_first power_at_n_first n_safe critical_at_n_safe
				power_at_n_safe alpha_at_n_safe`),
			key: words("n_first n_safe"), run: runPowerBinomial},
		"power_t_paired":           powerT(false),
		"power_t_two_sample":       powerT(true),
		"sample_size_t_paired":     sampleSizeT(false),
		"sample_size_t_two_sample": sampleSizeT(true),
		"power_two_proportions": gridMethod("n p1 p2 alpha", func(g *gridRow) fields {
			r, err := size.PowerTwoProportions(g.whole("n"), g.number("p1"), g.number("p2"), g.number("alpha"))
			g.err = errors.Join(g.err, err)
			return fields{"power_arcsine": r.Arcsine, "power_normal": r.Normal, "power_normal_strict": r.NormalStrict}
		}),
	}
}

func (g *gridRow) design(independent bool) size.TDesign {
	side, err := alternative(g.text("alternative", "two.sided"))
	g.err = errors.Join(g.err, err)
	return size.TDesign{Independent: independent, Effect: g.number("d"), Alpha: g.number("alpha"), Alternative: side}
}

func powerT(independent bool) method {
	return gridMethod("d n alpha alternative", func(g *gridRow) fields {
		r, err := size.PowerT(g.whole("n"), g.design(independent))
		g.err = errors.Join(g.err, err)
		return fields{"power": r.Power, "power_one_tail_only": r.RightTail}
	})
}

func sampleSizeT(independent bool) method {
	return gridMethod("d power alpha alternative", func(g *gridRow) fields {
		r, err := size.T(g.number("power"), g.design(independent))
		g.err = errors.Join(g.err, err)
		return fields{"n_fractional": r.NFractional, "n": r.N, "power_at_n": r.Power}
	})
}

// binomialSearch is how far a sample size is looked for, as the reference
// values were: "this n and every larger one up to 400". Sizes beyond it are
// searched further.
const (
	binomialSearch  = 400
	binomialFurther = 20_000
)

func runPowerBinomial(c *call) answer {
	p0, err0 := c.input("p0", required)
	p1, err1 := c.input("p1", required)
	alpha, errA := c.input("alpha", 0.05)
	power, errP := c.input("power", required)
	side, errS := c.alternative()
	if _, given := c.e.inputs.get("alternative"); !given {
		side = stats.Greater
	}
	if err := errors.Join(err0, err1, errA, errP, errS); err != nil {
		return answer{err: err}
	}
	design := size.BinomialDesign{P0: p0, P1: p1, Alpha: alpha, Alternative: side}
	r, err := size.Binomial(power, binomialSearch, design)
	if err == nil && (r.First.N == 0 || r.Stable.N == 0) {
		r, err = size.Binomial(power, binomialFurther, design)
	}
	if err != nil {
		return answer{err: err}
	}
	f := fields{}
	for name, b := range map[string]size.BinomialPower{"n_first": r.First, "n_safe": r.Stable} {
		if b.N == 0 {
			f[name] = nil
			continue
		}
		critical := b.Critical
		if side == stats.Less {
			critical = b.CriticalLow
		}
		f[name], f["critical_at_"+name], f["alpha_at_"+name], f["power_at_"+name] = b.N, critical, b.Alpha, b.Power
	}
	return answer{fields: f, warnings: r.Warnings}
}
