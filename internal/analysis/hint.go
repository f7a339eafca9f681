package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/study"
)

// Hint is what a test with as few people, and as much scatter, does when the true
// difference is the smallest worth acting on: how often it finds it, how often what it
// finds has the wrong sign, and by how much what it finds is too large on average.
type Hint struct {
	Power        float64
	WrongSign    float64 // of what is found
	Exaggeration float64 // of what is found: 1 is none
}

// From here on what was found is told as a hint (a choice of ours): at one wrong sign in
// twenty, or when what is found is half as large again as what is there, which is so at a
// power of about 45 %.
const (
	hintWrongSign    = 0.05
	hintExaggeration = 1.5
)

// hint is why a difference that was found is no more than a hint: the size is open, and
// the panel is so small that its sign or size could well be wrong (Gelman & Carlin 2014,
// Perspect. Psychol. Sci. 9:641). nil when it is more, and where that cannot be told: what a plan that stops early
// finds, and by how much too large, is not that of one test at its end, and a warning of its own says so.
func (f *Finding) hint(plan study.AnalysisPlan) *Hint {
	if f.Kind != KindPair && f.Kind != KindGroups && f.Kind != KindFactor || f.Verdict.Code != DifferentSizeOpen ||
		f.Verdict.Against {
		return nil
	}
	if f.Looks != nil || f.Evidence != nil {
		return nil
	}
	se, df := f.standardError(), f.df(f.N)
	if !(f.Verdict.Margin > 0 && se > 0) {
		return nil
	}
	side := stats.TwoSided
	if f.Role == Primary && plan.Sides != study.TwoSided && plan.Sides != "" {
		side = stats.Greater // the difference is taken to lie on the side that is tested
	}
	r := effect.OfFinding(f.Verdict.Margin/se, df, plan.Alpha/float64(max(1, f.Family)), side)
	if r.WrongSign >= hintWrongSign || r.Exaggeration >= hintExaggeration {
		return &Hint{r.Power, r.WrongSign, r.Exaggeration}
	}
	return nil
}
