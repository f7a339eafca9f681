package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/study"
)

// recheckAmounts reckons the primary finding on amounts anew: by the ranks of what
// everybody's own line says, without whoever moves it most, and without those who were
// served, or answered, otherwise than planned. The value of each way is the slope, and of a
// dish that is laid on the line by how much it is rated above it.
func (p *panel) recheckAmounts(s *study.Study, f *Finding) error {
	if f.Verdict.Code == TooFew || math.IsNaN(f.Test.P) {
		return nil
	}
	people, own := f.ownEffects()
	if len(own) < len(f.Dose.Each) || len(own) < Fewest(s.Plan.Alpha) { // some have no line: whose ranks are others'
		own = nil
	}
	if err := f.recheckByRanks(s.Plan, own); err != nil {
		return fmt.Errorf("by ranks of people's own: %w", err)
	}
	if len(people) == 0 {
		return nil
	}
	a, _ := s.Attribute(f.Attribute)
	return p.recheckPeople(s, f, f.furthestOwn(), "whose own line is furthest from the others",
		func(what string, people []string) (Recheck, error) {
			all, err := p.without(a.ID, s.Samples, people).onAmounts(s, a)
			if err != nil {
				return Recheck{}, err
			}
			again := all[0]
			value, ci := again.onLine()
			return Recheck{What: what, N: again.N, Value: value, CI: ci, P: again.Test.P}, nil
		}, s.Plan.Alpha)
}

// onLine is what the test of a finding on amounts looks at: the slope, or by how much a dish
// is rated above the line.
func (f *Finding) onLine() (float64, stats.Interval) {
	if l := f.Dose.Laid; l != nil {
		return l.Shift.Value, l.Shift.CI
	}
	return f.Dose.Slope.Value, f.Dose.Slope.CI
}

// ownEffects are who has a line of their own, and the slope of it, or by how much they rated
// the dish that is laid on it above it.
func (f *Finding) ownEffects() (people []string, own []float64) {
	for _, x := range f.Dose.Each {
		v := x.Slope
		if l := f.Dose.Laid; l != nil {
			v = x.Laid - x.Level - x.Slope*(l.Amount-f.Dose.Centre)
		}
		if !math.IsNaN(v) {
			people, own = append(people, x.Assessor), append(own, v)
		}
	}
	return people, own
}

// furthestOwn is whose own is furthest from the mean of all.
func (f *Finding) furthestOwn() string {
	people, own := f.ownEffects()
	mean, most := stats.Mean(own), 0
	for i, v := range own {
		if math.Abs(v-mean) > math.Abs(own[most]-mean) {
			most = i
		}
	}
	return people[most]
}

// recheckByRanks reckons by the signed-rank test of everybody's own, which no single line,
// however steep, decides.
func (f *Finding) recheckByRanks(plan study.AnalysisPlan, own []float64) error {
	if len(own) == 0 {
		return nil
	}
	none := slices.Repeat([]float64{0}, len(own))
	test, _, err := rankTest(stats.TwoSided, own, none)
	if err != nil || math.IsNaN(test.P) {
		return err
	}
	middle, err := ranks.HodgesLehmannPaired(own, none, plan.Level())
	if err != nil {
		return err
	}
	f.reckoned(Recheck{Method: method.SignedRank, What: test.Name() + ", of everybody’s own", N: len(own),
		Value: middle.Estimate, CI: middle.CI, P: test.P}, plan.Alpha, 0)
	return nil
}
