package analysis

import (
	"errors"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/stats/ranks"
	"cloche/internal/study"
)

// byRanks reports whether a plan looks at ranks rather than means.
func byRanks(plan study.AnalysisPlan) bool {
	return plan.Test == study.SignedRank || plan.Test == study.Friedman
}

// besideModel fills the tests of those who rated every sample. A plan by ranks puts
// Friedman's first, with pairs of its own.
func (f *Finding) besideModel(plan study.AnalysisPlan, t servings) error {
	rows := t.table(f.Panel.Each)
	rm, err := anova.Repeated(rows, anova.RepeatedOptions{Level: plan.Level(), NoPairs: true})
	if err != nil {
		return err
	}
	fr, err := ranks.Friedman(rows)
	if err != nil {
		return err
	}
	f.Panel.Complete = fr.N
	within, byRank := noTest(method.RMAnova), noTest(method.Friedman)
	within.Statistic, within.DF, within.DF2, within.P = rm.F, rm.Sphericity.GGDF1, rm.Sphericity.GGDF2,
		rm.Sphericity.GGP
	byRank.Statistic, byRank.DF, byRank.P = fr.ChiSq, fr.DF, fr.P
	if !math.IsNaN(fr.ExactP) {
		byRank.Title, byRank.P = byRank.Title+", exact", fr.ExactP
	}
	switch {
	case plan.Test == study.RMAnova:
		f.Test, f.Also = within, []Test{f.Test, byRank}
		return nil
	case !byRanks(plan):
		f.Also = []Test{within, byRank}
		return nil
	}
	f.Also, f.Test = []Test{f.Test, within}, byRank
	f.rankPairs(fr, t.samples)
	return nil
}

// rankPairs puts Conover's pairs of rank sums in the place of those of the model. They
// have no interval in points of the scale.
func (f *Finding) rankPairs(fr ranks.FriedmanResult, samples []study.SampleID) {
	f.Panel.Adjustment = method.Holm
	for i := range f.Panel.Pairs {
		p := &f.Panel.Pairs[i]
		p.Test = noTest(method.Conover)
		p.EquivalenceCI = stats.NoInterval(p.EquivalenceCI.Level)
		p.Adjusted = stats.Interval{Lo: math.NaN(), Hi: math.NaN(), Level: p.CI.Level}
		for _, r := range fr.Pairs {
			if samples[r.A] == p.First && samples[r.B] == p.Second {
				p.Test.Statistic, p.Test.DF, p.Test.P, p.Test.PAdjusted = -r.T, fr.FDF2, r.P, r.PHolm
			}
		}
	}
}

// carryOver holds a model with the sample that was tasted just before beside the one
// without: is there carry-over, and what are the differences with it allowed for? A
// serving whose forerunner is not known, because it was skipped, is left out of it.
func (f *Finding) carryOver(s *study.Study, t servings, without *mixed.Result) error {
	if !t.known {
		return nil
	}
	m, err := mixed.CarryOverModel(mixed.Servings{Rating: t.withForerunner(),
		Assessor: factorOf(assessorFactor, t.assessor, len(t.people)),
		Sample:   factorOf(sampleFactor, t.sample, len(t.samples)), Position: t.position, Sitting: t.sitting})
	if errors.Is(err, model.ErrModelData) {
		f.warn(warnOrderUnchecked("two samples are said to have come at one position"))
		return nil
	}
	if err != nil {
		return err
	}
	levels := t.levels(true)
	m.Level, m.Near, m.SmallSample = s.Plan.Level(), without, levels.several
	m.Data.Factors, m.Random = append(m.Data.Factors, levels.factors[1:]...), levels.terms
	fit, err := mixed.Fit(m)
	if errors.Is(err, model.ErrGrouping) || errors.Is(err, model.ErrNoRatings) {
		f.warn(warnCarryOpen("too few servings have a known forerunner"))
		return nil
	}
	if err != nil {
		return err
	}
	if !unexplained(fit) {
		f.warn(warnCarryOpen("nothing scatters that samples, positions and people do not explain"))
		return nil
	}
	pairs, err := fit.Differences(sampleFactor)
	if err != nil {
		return err
	}
	for _, p := range pairs {
		if math.IsNaN(p.Estimate) {
			f.warn(warnCarryOpen("which sample came before goes with the sample or the position"))
			return nil
		}
	}
	f.takeCarryOver(fit, pairs, s.Plan.Level())
	return nil
}

func (f *Finding) takeCarryOver(fit *mixed.Result, pairs []mixed.LevelPair, level float64) {
	for _, t := range fit.Anova() {
		switch t.Term[0] {
		case mixed.PreviousFactor:
			if t.DF1 < 1 {
				f.warn(warnCarryOpen("which sample came before goes with the sample or the position"))
				return
			}
			f.Checks = append(f.Checks, fCheck(method.Previous, t, level))
			if t.P < carryAlpha {
				f.warn(warnPanelCarryOver(t.P))
			}
		case sampleFactor:
			with := noTest(method.MixedFCarryOver)
			with.Statistic, with.DF, with.DF2, with.P = t.F, t.DF1, t.DF2, t.P
			f.Also = append(f.Also, with)
		}
	}
	for i, x := range pairs {
		t := noTest(method.MixedT)
		t.Statistic, t.DF, t.P = -x.T, x.DF, x.P
		f.Panel.Pairs[i].WithCarryOverTest = t
		f.Panel.Pairs[i].WithCarryOver = -x.Estimate
		f.Panel.Pairs[i].WithCarryOverCI = stats.Interval{Lo: -x.CI.Hi, Hi: -x.CI.Lo, Level: level}
	}
}

// withForerunner are the ratings, NaN where the serving before was not rated. Those of an
// assessor stand together.
func (t servings) withForerunner() []float64 {
	out, first := slices.Clone(t.rating), 0
	for i, at := range t.position {
		if t.assessor[i] != t.assessor[first] {
			first = i
		}
		if at > 1 && !t.ratedAt(first, at-1) {
			out[i] = math.NaN()
		}
	}
	return out
}

// ratedAt reports whether the assessor of a rating rated what was served at a position; first
// is the first rating of theirs.
func (t servings) ratedAt(first, position int) bool {
	for i := first; i < len(t.position) && t.assessor[i] == t.assessor[first]; i++ {
		if t.position[i] == position {
			return true
		}
	}
	return false
}
