package analysis

import (
	"math"
)

// simulatedDraws are those of one of many simulated studies: with so few the test holds its
// level just as well, and has a little less power.
const simulatedDraws = 199

// lotteryP is the p of the primary comparison of a simulated study by the plan's lottery.
func (d DryRun) lotteryP(t *panel, c comparison) (float64, error) {
	t.lottery, _ = redraw(d.Study, &Lottery{Plan: d.Plan})
	f := emptyFinding(c, d.Study.Plan.Level())
	drawn, err := t.drawOne(d.Study, &f, simulatedDraws)
	if err != nil || drawn == nil {
		return math.NaN(), err
	}
	return lotteryTest(drawn, f.side(d.Study.Plan)).P, nil
}
