package verify

import (
	"math"

	"cloche/internal/stats/dose"
)

// Parts that methods of doses share.
const (
	fiellerFields = " g type ci excluded "
)

// doseTable are lines through amounts, ratios and thresholds.
var doseTable = []method{
	{id: "ratio_fieller", key: "ci g type", fields: "ratio" + fiellerFields + "delta_se delta_ci t_denominator",
		run: func(c *call) (any, error) {
			return dose.Fieller(dose.Estimates{A: c.number("a"), B: c.number("b"), VarA: c.number("var_a"),
				VarB: c.number("var_b"), Cov: c.number("cov_ab"), DegreesOfFreedom: c.orInfinity("df")}, c.level())
		}},
	{id: "equivalent_dose", key: "dose fieller.ci linearity.p",
		fields: `n=Lines.N slope=Lines.Slope.Value slope_ci=Lines.Slope.CI slope_p=Lines.Slope.P shift=Shift.Value
			shift_ci=Shift.CI shift_p=Shift.P dose fieller{` + fiellerFields + `}
			pooled{df sigma slope_se shift_se covariance fieller{` + fiellerFields + `}}
			linearity=Lines.Straight{f df1 df2 p} within_range`,
		run: func(c *call) (any, error) {
			s := dose.Series{Levels: c.numbers("levels"), Plain: c.rows("plain")}
			return dose.EquivalentDose(s, c.numbers("named"), c.number("named_level"), c.level())
		}},
	{id: "assimilation_ratio", key: "verdict",
		fields: `n ratio=Fieller.Ratio fieller=Fieller{` + fiellerFields + `} verdict
			means=.{expected=Expected.Value blind=Blind.Value informed=Informed.Value}
			expected_minus_blind=Gap{mean=Value t df p ci} informed_minus_blind=Moved{mean=Value t df p ci}
			informed_minus_expected=Left{mean=Value t df p ci}`,
		run: func(c *call) (any, error) {
			return dose.ExpectedAndInformed(c.numbers("expected"), c.numbers("blind"), c.numbers("informed"),
				c.level())
		}},
	{id: "best_estimate_threshold", key: "threshold ci",
		fields: "individual threshold log10_sd=LogSD ci right_throughout=AllRight missed_strongest=AllMissed",
		run: func(c *call) (any, error) {
			correct, err := asAnswers(c.rows("correct"))
			if err != nil {
				return nil, err
			}
			return dose.BestEstimateThreshold(c.numbers("concentrations"), correct, c.level())
		}},
	{id: "psychometric_curve", key: "threshold threshold_ci",
		fields: "intercept intercept_se slope slope_se threshold threshold_ci g log_lik deviance df",
		run: func(c *call) (any, error) {
			at, right, n := c.numbers("concentration"), c.numbers("correct"), c.numbers("n")
			var points []dose.CurvePoint
			for i := range at {
				points = append(points, dose.CurvePoint{Concentration: at[i], Correct: int(right[i]), N: int(n[i])})
			}
			return dose.PsychometricCurve(points, c.number("guess"), c.level())
		}},
	{id: "curve_of_people", key: "threshold threshold_ci",
		fields: "intercept intercept_se slope slope_se threshold threshold_ci g",
		run: func(c *call) (any, error) {
			return dose.CurveOfPeople(c.numbers("concentrations"), c.rows("answers"), c.number("guess"), c.level())
		}},
}

// orInfinity is a number among the inputs, or the word for one without an end.
func (c *call) orInfinity(name string) float64 {
	if c.value(name) == "Infinity" {
		return math.Inf(1)
	}
	return c.number(name)
}
