package verify

import (
	"math"

	"cloche/internal/stats/looks"
)

// boundsAt are bounds in columns, as reference files have them.
type boundsAt struct{ CumulativeAlpha, Z, P, Exit, TCritical []float64 }

// endedAt is an inference about the drift, and about Z and scale points at the end.
type endedAt struct {
	looks.Inference
	ZScale, Points  [2]float64
	Estimated, Mean float64
}

// looksTable is of looks agreed beforehand.
var looksTable = []method{
	{id: "gs_bounds", key: "z",
		fields: `cumulative_alpha=CumulativeAlpha z=Z nominal_p_two_sided=P exit_probability=Exit
			t_critical=TCritical`,
		run: func(c *call) (any, error) {
			c.twoSided()
			bounds, err := looks.Bounds(c.numbers("information_fraction"), c.number("alpha"),
				choose(c, "spending", "", spendings))
			var out boundsAt
			for k, b := range bounds {
				out.CumulativeAlpha, out.Z = append(out.CumulativeAlpha, b.Spent), append(out.Z, b.Z)
				out.P, out.Exit = append(out.P, b.P), append(out.Exit, b.Exit)
				if c.value("n") != nil {
					n := whole(c.numbers("n")[k], "n")
					out.TCritical = append(out.TCritical, b.TCritical(n))
				}
			}
			return out, err
		}},
	{id: "gs_classical", key: "pocock_constant",
		fields: `pocock_constant obrien_fleming_constant=OBrienFlemingConstant pocock_z=PocockZ
			obrien_fleming_z=OBrienFlemingZ alpha_of_uncorrected_looks=Uncorrected
			inflation_pocock=.{power_80=PocockMore.0 power_90=PocockMore.1}
			inflation_obrien_fleming=.{power_80=OBrienFlemingMore.0 power_90=OBrienFlemingMore.1}`,
		run: func(c *call) (any, error) {
			c.twoSided()
			return looks.ClassicalBounds(c.whole("looks"), c.number("alpha"))
		}},
	{id: "gs_exit", key: "power",
		fields: "upper lower power stop_probability=Stop mean_information_fraction=MeanFraction",
		run: func(c *call) (any, error) {
			c.twoSided()
			return looks.Exit(c.numbers("information_fraction"), c.numbers("z"), c.number("drift"))
		}},
	{id: "gs_inference", key: "p_two_sided drift_ci",
		fields: `p_upper=PUpper p_two_sided=P drift_mle=Plain drift_median_unbiased=Estimate drift_ci=CI
			z_scale_ci=ZScale estimate=Estimated ci=Points naive_estimate=Mean`,
		run: func(c *call) (any, error) { return inferred(c) }},
}

var spendings = map[string]looks.Spending{"obrien_fleming_like": looks.OBrienFleming, "pocock_like": looks.Pocock}

// twoSided refuses bounds of one side, which the program does not have.
func (c *call) twoSided() {
	if c.whole("sides") != 2 {
		mistake("bounds of one side")
	}
}

func inferred(c *call) (any, error) {
	t, z, k := c.numbers("information_fraction"), c.numbers("z"), c.whole("stopped_at_look")
	if k < 1 || k > len(t) {
		mistake("stopped_at_look %d of %d", k, len(t))
	}
	c.twoSided()
	e := looks.Ended{Fractions: t[:k], Z: z[:k-1], At: c.number("z_at_stop")}
	r, err := looks.Infer(e, c.level())
	root := math.Sqrt(t[k-1])
	out := endedAt{Inference: r, ZScale: [2]float64{r.CI.Lo * root, r.CI.Hi * root}}
	if c.value("mean_difference") != nil {
		out.Mean = c.number("mean_difference")
		per := root * out.Mean / e.At
		out.Estimated, out.Points = r.Estimate*per, [2]float64{r.CI.Lo * per, r.CI.Hi * per}
	}
	return out, err
}
