package verify

import (
	"cmp"
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/meta"
	"cloche/internal/stats/size"
)

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
			return choice.BinomialTest(c.whole("x"), c.whole("n"), c.number("p0", 0.5),
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
			return choice.Discrimination(c.whole("correct"), c.whole("n"), p,
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
			return choice.ANotA(c.whole("hits"), c.whole("n_a"), c.whole("false_alarms"), c.whole("n_not_a"), c.level())
		}},
	// A distance at its bound of 0 has no standard error: no inference.
	{id: "same_different", fields: "tau d_prime tau_se d_prime_se log_lik", key: "d_prime_se",
		run: func(c *call) (any, error) {
			return choice.SameDifferent(c.whole("same_said_same"), c.whole("n_same"), c.whole("different_said_same"),
				c.whole("n_different"), c.level())
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
	if c.value("table") == nil {
		return c.countAnswers()
	}
	m := wholeRows[int]("table", c.rows("table"))
	if len(m) != 2 || len(m[0]) != 2 || len(m[1]) != 2 {
		mistake("data \"table\" must have two rows of two counts")
	}
	return [2][2]int{{m[0][0], m[0][1]}, {m[1][0], m[1][1]}}, nil
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
	p0, alphas := c.number("p0"), numberList("alphas", c.value("alphas"))
	c.value("p0_text") // says how p0 is written; it changes nothing
	ns := numberList("n", cmp.Or(c.value("n"), c.e.Expected["n"]))
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
			studies, err := combined(c)
			if err != nil {
				return nil, err
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
