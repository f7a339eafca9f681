package verify

import (
	"math"

	"cloche/internal/stats/evidence"
	"cloche/internal/stats/ttest"
)

// evidenceAt is where evidence stood after so many people.
type evidenceAt struct {
	N                          int
	Mean, SD, T                float64
	LogE, E, LogEGreater       float64
	ECauchy, Up, Down          float64
	Lower, Upper, P            float64
	RunningLower, RunningUpper float64
}

// evidenceTable is of evidence that one may look at whenever one likes.
var evidenceTable = []method{
	{id: "anytime_t", key: "looks.log_e",
		fields: `looks=.[n]{n mean sd t log_e e log_e_greater e_cauchy lower upper p_anytime=P running_lower
			running_upper}`,
		run: func(c *call) (any, error) { return mixtureAt(c) }},
	{id: "anytime_betting", key: "looks.log_e",
		fields: "looks=.[n]{n mean log_capital_up=Up log_capital_down=Down log_e lower upper p_anytime=P}",
		run:    func(c *call) (any, error) { return bettingAt(c) }},
}

// mixtureAt has p from the largest evidence at the looks listed.
func mixtureAt(c *call) (out []evidenceAt, err error) {
	m, err := evidence.NewMixture(c.number("g"))
	if err != nil {
		return nil, err
	}
	scale, level := c.number("cauchy_scale", 0), 1-c.number("alpha")
	low, high, most := math.Inf(-1), math.Inf(1), 0.0
	err = inTurn(c, m.Add, func(n int) error {
		b, err := ttest.BayesFactorPaired(m.T(), n, scale)
		ci := m.Interval(level)
		low, high, most = max(low, ci.Lo), min(high, ci.Hi), max(most, m.LogE())
		out = append(out, evidenceAt{N: n, Mean: m.Mean(), SD: m.SD(), T: m.T(), LogE: m.LogE(),
			E: math.Exp(m.LogE()), LogEGreater: m.LogEGreater(), ECauchy: b.BF10, Lower: ci.Lo, Upper: ci.Hi,
			P: math.Exp(-most), RunningLower: low, RunningUpper: high})
		return err
	})
	return out, err
}

// bettingAt has p from the largest evidence after any person.
func bettingAt(c *call) (out []evidenceAt, err error) {
	if c.number("prior_mean", 0.5) != 0.5 || c.number("prior_variance", 0.25) != 0.25 || c.number("split", 0.5) != 0.5 {
		mistake("bets start from a mean of 0.5, a variance of 0.25 and halves")
	}
	b, err := evidence.NewBetting(c.number("half_range"), c.number("alpha"), c.number("cap", evidence.UsualCap))
	if err != nil {
		return nil, err
	}
	sum, most := 0.0, 0.0
	add := func(d float64) error {
		err := b.Add(d)
		sum, most = sum+d, max(most, b.LogE())
		return err
	}
	err = inTurn(c, add, func(n int) error {
		up, down := b.Halves()
		ci := b.Interval()
		out = append(out, evidenceAt{N: n, Mean: sum / float64(n), LogE: b.LogE(), Up: up, Down: down, Lower: ci.Lo,
			Upper: ci.Hi, P: math.Exp(-most)})
		return nil
	})
	return out, err
}

// inTurn takes the differences d one by one, and looks after as many as "looks" lists.
func inTurn(c *call, add func(float64) error, look func(n int) error) error {
	d, next := c.numbers("d"), 0
	at := c.numbers("looks")
	for i, x := range d {
		if err := add(x); err != nil {
			return err
		}
		if next < len(at) && whole(at[next], "looks") == i+1 {
			next++
			if err := look(i + 1); err != nil {
				return err
			}
		}
	}
	if next < len(at) {
		mistake("looks rise, and none comes after the %d differences", len(d))
	}
	return nil
}
