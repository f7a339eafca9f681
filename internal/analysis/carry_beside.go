package analysis

import (
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// remarkCarryOver says of the comparisons of two samples what the model of all samples
// finds on their attribute: that what was tasted just before shows. A sample that takes
// from the next is itself never next, so that it seems to have more than the others,
// however large the panel.
func remarkCarryOver(pairs, panels []Finding) {
	for _, panel := range panels {
		at := slices.IndexFunc(panel.Warnings, func(w Warning) bool { return w.Code == WarnCarryOver })
		for i := range pairs {
			if f := &pairs[i]; at >= 0 && f.Kind == KindPair && f.Attribute == panel.Attribute && f.N > 0 {
				f.warn(panel.Warnings[at])
			}
		}
	}
}

// withCarryOver is the pair in the model of all samples with what was tasted just before
// allowed for, where that shows.
func (f *Finding) withCarryOver(plan study.AnalysisPlan, all []Finding) (Recheck, bool) {
	remarked := slices.ContainsFunc(f.Warnings, func(w Warning) bool { return w.Code == WarnCarryOver })
	for _, panel := range all {
		if !remarked || panel.Kind != KindPanel || panel.Attribute != f.Attribute {
			continue
		}
		for _, x := range panel.Panel.Pairs {
			sign := f.signOfPair(x.First, x.Second)
			if sign == 0 || !(x.WithCarryOverTest.DF > 0) {
				continue
			}
			ci := x.WithCarryOverCI
			if sign < 0 {
				ci.Lo, ci.Hi = -ci.Hi, -ci.Lo
			}
			t := x.WithCarryOverTest
			return Recheck{What: method.MixedT.Title() + ", with what was tasted just before allowed for", N: panel.N,
				Value: sign * x.WithCarryOver, CI: ci, P: dist.TPValue(sign*t.Statistic, t.DF, f.side(plan))}, true
		}
	}
	return Recheck{}, false
}
