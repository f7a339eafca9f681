package analysis

import (
	"math"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/study"
)

// markStrata notes on the ratings to which stratum of the plan whoever gave them belongs.
func (d DryRun) markStrata(ratings []Rating) {
	if len(d.Plan.Stratum) == 0 {
		return
	}
	in := map[string]string{}
	for i, stratum := range d.Plan.Stratum {
		if stratum != design.Undealt {
			in[AssessorLabel(i)] = strconv.Itoa(int(stratum) + 1)
		}
	}
	for i, r := range ratings {
		ratings[i].Stratum = in[r.Assessor]
	}
}

// groupsP is the p of the primary comparison of a simulated study in which each assessor
// rates one sample, as [panel.compareGroups] finds it.
func (d DryRun) groupsP(t *panel, c comparison) (float64, error) {
	plan := d.Study.Plan
	f := emptyFinding(c, plan.Level())
	f.Kind, f.Test = KindGroups, noTest(method.ID(plan.Test))
	f.Groups.Each, _ = t.groups(c, newLeftOut(nil))
	x, y := values(f.Groups.Each[0]), values(f.Groups.Each[1])
	if min(len(x), len(y)) < FewestInGroup(plan.Alpha) {
		return math.NaN(), nil
	}
	f.Groups.Strata = stratified(d.Study, f.Groups.Each)
	switch plan.Test {
	case study.Lottery:
		return d.lotteryP(t, f)
	case study.Ordinal:
		fit, err := t.ordinalOf(d.Study, c.attribute)
		if err != nil {
			return math.NaN(), err
		}
		t.ordinal = map[study.AttributeID]ordinalFit{c.attribute.ID: fit}
		if err := f.testGroups(plan, x, y); err != nil {
			return math.NaN(), err
		}
		err = t.byOrder(plan, &f)
		return f.Test.P, err
	case study.RankSum:
		tests, _, err := f.rankTests(f.side(plan), x, y)
		if err != nil {
			return math.NaN(), err
		}
		return tests[0].P, nil
	case study.Equivalence:
		err := f.samenessOfGroups(plan, x, y)
		return f.Test.P, err
	}
	means, err := f.meanTests(f.side(plan), x, y)
	if err != nil || !math.IsNaN(means[0].P) {
		return means[0].P, err
	}
	return rankSumP(f.side(plan), x, y)
}

func rankSumP(side stats.Alternative, x, y []float64) (float64, error) {
	r, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{Alternative: side, ExactCost: exactGroupsCost})
	return r.P, err
}
