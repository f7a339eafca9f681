package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// adjustSecondary adjusts the secondary findings together: the p-values of each
// method by Holm's method, so that planned tests are held against planned tests and
// rank tests against rank tests; the intervals by Bonferroni's, each at 1 − alpha/m,
// so that all m hold their differences together with confidence 1 − alpha. Holm's
// tests find at least what these intervals show (Holm 1979), and may find a
// difference whose interval still holds 0. What could not be tested does not count.
func adjustSecondary(p study.AnalysisPlan, r *Result) error {
	var family []*Finding
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Role == Secondary {
			family = append(family, f)
		}
	}
	if p.Adjust == study.NoAdjustment {
		if len(family) > 1 {
			r.Warnings = append(r.Warnings, warnNotAdjusted(len(family), p.Alpha))
		}
		return nil
	}
	m := 0
	for _, f := range family {
		if !math.IsNaN(f.Test.P) {
			m++
		}
	}
	if m < 2 { // one alone needs no adjustment
		return nil
	}
	adjustTests(family, func(f *Finding) *Test { return &f.Test })
	for _, id := range []method.ID{method.PairedT, method.SignedRank, method.Sign, method.WelchT, method.RankSum,
		method.StratifiedT, method.StratifiedRankSum, method.MixedT, method.MixedF, method.Ordinal} {
		adjustTests(family, func(f *Finding) *Test { return f.beside(id) })
	}
	return atOnce(len(family), func(i int) error {
		f := family[i]
		if math.IsNaN(f.Test.P) {
			return nil
		}
		if err := f.adjustInterval(m, p); err != nil {
			return fmt.Errorf("adjust the interval of %s: %w", f.Attribute, err)
		}
		return nil
	})
}

// beside is the test of a method among those that stand beside the planned one.
func (f *Finding) beside(id method.ID) *Test {
	for i := range f.Also {
		if f.Also[i].Method == id {
			return &f.Also[i]
		}
	}
	return nil
}

// adjustTests adjusts one test of each finding, where it has one.
func adjustTests(family []*Finding, of func(*Finding) *Test) {
	var tests []*Test
	var ps []float64
	for _, f := range family {
		if t := of(f); t != nil {
			tests, ps = append(tests, t), append(ps, t.P)
		}
	}
	for i, adjusted := range stats.Holm(ps) {
		tests[i].PAdjusted = adjusted
	}
}

// adjustInterval finds the interval at 1 − alpha/m. It stays absent when there are
// too few pairs for that level.
func (f *Finding) adjustInterval(m int, plan study.AnalysisPlan) error {
	f.Family = m
	if f.Kind == KindFactor && !f.Factor.Contrast { // it has no interval
		return nil
	}
	level := 1 - plan.Alpha/float64(m)
	e, err := f.estimatedAt(level)
	if err != nil {
		return err
	}
	if e.ci.Level >= level-1e-12 {
		f.Adjusted = e.ci
	}
	return f.locateSameness(plan, m)
}
