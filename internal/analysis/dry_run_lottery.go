package analysis

import (
	"math"

	"cloche/internal/study"
)

// simulatedDraws are those of one of many simulated studies: with so few the test holds its
// level just as well, and has a little less power.
const simulatedDraws = 199

// lotteryP is the p of the primary comparison of a simulated study by the plan's lottery.
func (d DryRun) lotteryP(t *panel, f Finding) (float64, error) {
	t.lottery, _ = redraw(d.Study, &Lottery{Plan: d.Plan})
	drawn, err := t.drawOne(d.Study, &f, simulatedDraws)
	if err != nil || drawn == nil {
		return math.NaN(), err
	}
	return lotteryTest(drawn, f.side(d.Study.Plan)).P, nil
}

// ordinalP is the p of the primary comparison of a simulated study by the order of answers;
// that of the t test where the model has none.
func (d DryRun) ordinalP(t *panel, c comparison) (float64, error) {
	f := emptyFinding(c, d.Study.Plan.Level())
	f.Pair.Each, _ = t.pairs(c, d.Study.Serving.Design, newLeftOut(nil))
	f.N = len(f.Pair.Each)
	fit, err := t.ordinalOf(d.Study, c.attribute)
	if err != nil {
		return math.NaN(), err
	}
	t.ordinal = map[study.AttributeID]ordinalFit{c.attribute.ID: fit}
	if err := f.measure(d.Study.Plan); err != nil {
		return math.NaN(), err
	}
	err = t.byOrder(d.Study.Plan, &f)
	return f.Test.P, err
}
